"""Size, hash and kind of a release's files, and the lists of them: the manifest and the checksums."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from boltspan.dataset.releasing.head import ReleaseHead
from boltspan.dataset.schemas import versions

MANIFEST_FILE: Final = "release.json"
CHECKSUMS_FILE: Final = "SHA256SUMS"
UNLISTED: Final = frozenset({MANIFEST_FILE, CHECKSUMS_FILE})
"""Files that the manifest cannot list: itself, and the checksums, which hold its own."""
_MEDIA_TYPES: Final = {
    ".csv": "text/csv",
    ".jsonl": "application/x-ndjson",
    ".json": "application/json",
    ".txt": "text/plain",
    "": "text/plain",
}


@dataclass(frozen=True, slots=True)
class FileFacts:
    """What can be said of a file without reading it again; ``records`` for those with one record a line."""

    name: str
    bytes: int
    sha256: str
    records: int | None = None

    @property
    def media_type(self) -> str:
        """The media type, by the name's ending."""
        return media_type(self.name)


def media_type(name: str) -> str:
    """Return the media type of a release's file by its name. Raises KeyError for an ending no release has."""
    return _MEDIA_TYPES[Path(name).suffix]


def facts_of(path: Path, records: int | None = None) -> FileFacts:
    """Return size and hash of the file at ``path``, read piece by piece."""
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return FileFacts(path.name, path.stat().st_size, digest, records)


def manifest(head: ReleaseHead, facts: Iterable[FileFacts]) -> dict[str, Any]:
    """Return the content of ``release.json`` (schema release/1), files by name."""
    return {
        "schema": "release/1",
        "version": head.version,
        "event": head.event,
        **({"event_hash": head.event_hash} if head.event_hash is not None else {}),
        "built_on": head.built_on,
        "demo": head.demo,
        "title": head.title,
        "licence": head.licence,
        "schemas": dict(sorted(versions().items())),
        "files": [_listed(f) for f in sorted(facts, key=lambda f: f.name)],
    }


def _listed(facts: FileFacts) -> dict[str, Any]:
    found: dict[str, Any] = {
        "path": facts.name,
        "bytes": facts.bytes,
        "sha256": facts.sha256,
        "media_type": facts.media_type,
    }
    return found | ({"records": facts.records} if facts.records is not None else {})


def checksums(hashes: Mapping[str, str]) -> str:
    """Return the text of ``SHA256SUMS`` for hashes by file name, as ``sha256sum --check`` reads it."""
    return "".join(f"{sha256}  {name}\n" for name, sha256 in sorted(hashes.items()))
