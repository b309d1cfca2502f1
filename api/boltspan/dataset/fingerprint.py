"""One number for the whole content of a dataset folder, to tell whether the files changed."""

from __future__ import annotations

import hashlib
from pathlib import Path


def fingerprint(root: Path) -> str:
    """Return the SHA-256 over names and bytes of all JSON files below ``root``, in order of their names."""
    found = hashlib.sha256()
    for path in sorted(root.rglob("*.json"), key=lambda p: p.relative_to(root).as_posix()):
        found.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return found.hexdigest()
