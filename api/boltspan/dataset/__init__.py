"""The dataset as files: reading, writing, checking, merging and comparing. Imports the domain only."""
