"""The REST API: parses, calls one service with the acting person first, and renders; nothing else."""
