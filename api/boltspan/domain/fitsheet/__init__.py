"""The fit sheet: the whole answer for one frame and one shock, from facts alone. Pure; no I/O."""
