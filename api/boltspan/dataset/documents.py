"""The files of a dataset as they lie in a folder, and careful access to what may be shaped in any way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from boltspan.dataset.layout import HEADER, kind_of
from boltspan.domain.errors import BrokenJson, InvalidInput
from boltspan.domain.jsontext import loads

FOLDERS: Final = ("makes", "frames", "shocks", "hardware")
"""Folders that hold record files; whatever else lies beside them is not the dataset's."""


@dataclass(frozen=True, slots=True)
class Document:
    """One file: its path below the root, its bytes, and what they say; ``unread`` tells why they say nothing."""

    path: str
    raw: bytes
    data: Any = None
    unread: str | None = None

    @property
    def kind(self) -> str | None:
        """What the file is by its path (a key of layout.SCHEMAS), or None where no record file belongs."""
        return kind_of(self.path)


def document(path: str, raw: bytes) -> Document:
    """Return the document that ``raw`` is at ``path``."""
    try:
        return Document(path, raw, loads(raw))
    except (BrokenJson, InvalidInput) as e:
        return Document(path, raw, unread=str(e))


def documents_in(root: Path) -> Iterator[Document]:
    """Yield dataset.json and every JSON file in the record folders of ``root``, by path; none for no such folder.

    Each is read when it is asked for, so that a large dataset never lies in memory as text.
    """
    paths = [root / HEADER] + [p for folder in FOLDERS for p in (root / folder).rglob("*.json")]
    files = sorted((p.relative_to(root).as_posix(), p) for p in paths if p.is_file())
    return (document(path, file.read_bytes()) for path, file in files)


def part(data: Any, key: str) -> Any:
    """Return ``data[key]``, or None when data is no object or has no such key."""
    return data.get(key) if isinstance(data, Mapping) else None


def objects(data: Any) -> list[tuple[int, Mapping[str, Any]]]:
    """Return the objects in a list with their places; [] when data is no list."""
    return [(i, item) for i, item in enumerate(data) if isinstance(item, Mapping)] if isinstance(data, list) else []


def frames_in(data: Any) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the pointer and the object of each frame in a frames file, of each shock in a shocks file."""
    for kind in ("frames", "shocks"):
        for i, record in objects(part(data, kind)):
            yield f"/{kind}/{i}", record


def statements_in(pointer: str, frame: Mapping[str, Any], kind: str) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
    """Yield subject, pointer and object of each claim or decision (``kind`` "claims" or "decisions") of a frame."""
    subjects = part(frame, "subjects")
    if not isinstance(subjects, Mapping):
        return
    for subject, about in subjects.items():
        for i, statement in objects(part(about, kind)):
            yield subject, f"{pointer}/subjects/{subject}/{kind}/{i}", statement


def sources_in(data: Any) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the pointer and the object of each source in a file: of same_ends and sold_with, of claims, of sizes."""
    for i, row in objects(part(data, "sizes")):
        if isinstance(source := part(row, "source"), Mapping):
            yield f"/sizes/{i}/source", source
    for pointer, frame in frames_in(data):
        if isinstance(source := part(part(frame, "same_ends"), "source"), Mapping):
            yield f"{pointer}/same_ends/source", source
        for i, sold in objects(part(frame, "sold_with")):
            if isinstance(source := part(sold, "source"), Mapping):
                yield f"{pointer}/sold_with/{i}/source", source
        for _, at, claim in statements_in(pointer, frame, "claims"):
            if isinstance(source := part(claim, "source"), Mapping):
                yield f"{at}/source", source
