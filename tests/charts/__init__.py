"""An invented chart of 300 rows, messy as charts are, with what must become of each row."""
