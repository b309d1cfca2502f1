"""The files of a release: written and checked here, from plain records and encoded answers."""
