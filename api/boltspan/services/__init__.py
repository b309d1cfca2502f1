"""Use cases, the acting person first. They reach storage only through the protocols here and never commit."""
