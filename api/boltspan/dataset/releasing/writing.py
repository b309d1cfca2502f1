"""Writes the files of a release into a folder: the same bytes for the same records, whenever and wherever."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TextIO, TypeVar

from boltspan.dataset.contents import FrameEntry, claim_order, frame_order
from boltspan.dataset.releasing.cells import CsvFile
from boltspan.dataset.releasing.changes import CHANGES_FILE, changes_between, write_changes
from boltspan.dataset.releasing.datapackage import DATAPACKAGE_FILE, datapackage
from boltspan.dataset.releasing.files import (
    CHECKSUMS_FILE,
    MANIFEST_FILE,
    FileFacts,
    checksums,
    facts_of,
    manifest,
)
from boltspan.dataset.releasing.head import ReleaseHead
from boltspan.dataset.releasing.lines import ANSWERS_FILE, FRAMES_FILE, SortedAnswers, frame_line
from boltspan.dataset.releasing.readme import LICENCE_FILE, README_FILE, readme
from boltspan.dataset.releasing.rows import (
    Row,
    claim_row,
    end_rows,
    frame_row,
    make_row,
    model_row,
    shock_size_row,
)
from boltspan.dataset.releasing.tables import CLAIMS, END_ROWS, FRAMES, MAKES, MODELS, SHOCK_SIZES, TABLES, Table
from boltspan.dataset.text import text_of
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.jsontext import loads
from boltspan.domain.review import rulings

_SPOOL: Final = ".answers"
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ReleasedFrame:
    """A frame of the release: what is said of it, and the encoded answer for it (None when it answers no more)."""

    entry: FrameEntry
    answer: bytes | None


def write_release(
    folder: Path,
    head: ReleaseHead,
    makes: Iterable[Make],
    models: Iterable[Model],
    frames: Iterable[ReleasedFrame],
    licence_text: str,
    previous: Path | None,
) -> dict[str, Any]:
    """Write every file of a release into the empty ``folder`` and return the manifest.

    ``makes`` by slug, ``models`` by make and slug, ``frames`` by ``frame_order``; the frames are read once, one at a
    time. ``previous`` is the answers file of the release to compare with. Raises ValueError when a list is out of its
    order, since the bytes would then depend on the store, and KeyError when a frame's model is not among ``models``.
    """
    listed = list(models)
    with ExitStack() as files:
        records = _Records(folder, head, listed, files)
        for make in _ascending(makes, lambda m: (m.slug,)):
            records.put(MAKES, make_row(make))
        for model in _ascending(listed, lambda m: (m.make, m.slug)):
            records.put(MODELS, model_row(model))
        for frame in _ascending(frames, lambda f: frame_order(f.entry.frame)):
            records.add(frame)
        counts = records.finish()
    facts = {name: facts_of(folder / name, count) for name, count in counts.items()}
    _write_text(folder / DATAPACKAGE_FILE, text_of(datapackage(head, facts)))
    _write_text(folder / README_FILE, readme(head))
    _write_text(folder / LICENCE_FILE, licence_text)
    with (folder / CHANGES_FILE).open("w", encoding="utf-8", newline="\n") as file:
        changes = changes_between(previous, folder / ANSWERS_FILE, records.gone)
        write_changes(file, _changes_header(head), changes)
    for name in (DATAPACKAGE_FILE, README_FILE, LICENCE_FILE, CHANGES_FILE):
        facts[name] = facts_of(folder / name)
    return _write_lists(folder, head, facts)


def _write_lists(folder: Path, head: ReleaseHead, facts: dict[str, FileFacts]) -> dict[str, Any]:
    listed = manifest(head, facts.values())
    _write_text(folder / MANIFEST_FILE, text_of(listed))
    hashes = {name: f.sha256 for name, f in facts.items()}
    hashes[MANIFEST_FILE] = facts_of(folder / MANIFEST_FILE).sha256
    _write_text(folder / CHECKSUMS_FILE, checksums(hashes))
    return listed


def _changes_header(head: ReleaseHead) -> dict[str, Any]:
    found: dict[str, Any] = {"release": head.version, "event": head.event, "built_on": head.built_on, "demo": head.demo}
    return found | ({"previous": head.previous} if head.previous is not None else {})


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


class _Records:
    """The files with one record a line while they are being written; ``gone`` holds frames that answer no more."""

    def __init__(self, folder: Path, head: ReleaseHead, models: Iterable[Model], files: ExitStack) -> None:
        self._folder, self._files = folder, files
        self._demo: Row = {"demo": True} if head.demo else {}
        self._models = {(m.make, m.slug): m for m in models}
        self._tables = {table.name: CsvFile(self._open(table), table.column_names) for table in TABLES}
        self._lines = files.enter_context((folder / FRAMES_FILE).open("wb"))
        self._answers = SortedAnswers(folder / _SPOOL)
        files.callback(self._answers.close)
        self._frames = 0
        self.gone: dict[str, Frame] = {}

    def _open(self, table: Table) -> TextIO:
        return self._files.enter_context((self._folder / table.file).open("w", encoding="utf-8", newline=""))

    def put(self, table: Table, row: Row) -> None:
        """Write a row of a table."""
        self._tables[table.name].write(row | self._demo)

    def add(self, released: ReleasedFrame) -> None:
        """Write a frame into every file that tells of it."""
        entry, frame = released.entry, released.entry.frame
        self.put(FRAMES, frame_row(frame))
        self._lines.write(frame_line(self._models[frame.make, frame.model], entry))
        self._frames += 1
        for claim in counting_claims(entry):
            self.put(CLAIMS, claim_row(claim))
        if released.answer is None:
            self.gone[frame.id] = frame
            return
        self._answers.add(frame.id, released.answer)
        answer = loads(released.answer)
        for row in end_rows(answer):
            self.put(END_ROWS, row)
        self.put(SHOCK_SIZES, shock_size_row(answer))

    def finish(self) -> dict[str, int]:
        """Close all files and return how many records each holds, by name."""
        answers = self._answers.finish(self._folder / ANSWERS_FILE)
        self._files.close()
        rows = {table.file: self._tables[table.name].rows for table in TABLES}
        return rows | {FRAMES_FILE: self._frames, ANSWERS_FILE: answers}


def counting_claims(entry: FrameEntry) -> list[Claim]:
    """Return the reviewed claims that count, by subject, then as in the record files."""
    found = []
    for subject in entry.frame.subjects:
        refused = rulings(entry.decisions_on(subject)).refused
        counting = [c for c in entry.claims_on(subject) if c.state == "accepted" and c.id not in refused]
        found += sorted(counting, key=claim_order)
    return found


def _ascending(items: Iterable[T], key: Callable[[T], tuple[str | int, ...]]) -> Iterator[T]:
    """Yield ``items``; raise ValueError at the first that does not come after the one before it."""
    before: tuple[str | int, ...] | None = None
    for item in items:
        here = key(item)
        if before is not None and here <= before:
            raise ValueError(f"{here} comes after {before}: the records are not in their order")
        before = here
        yield item
