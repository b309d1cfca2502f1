"""Writes the files of a release into a folder: the same bytes for the same records, whenever and wherever."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TextIO, TypeVar

from boltspan.dataset.contents import FrameEntry, ShockEntry, claim_order, frame_order, hardware_order
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
from boltspan.dataset.releasing.lines import (
    ANSWERS_FILE,
    FRAMES_FILE,
    SHOCK_ANSWERS_FILE,
    SHOCKS_FILE,
    SortedAnswers,
    frame_line,
    shock_line,
)
from boltspan.dataset.releasing.readme import LICENCE_FILE, README_FILE, readme
from boltspan.dataset.releasing.rows import (
    Row,
    claim_row,
    end_rows,
    frame_row,
    hardware_rows,
    make_row,
    model_row,
    shock_end_rows,
    shock_row,
    shock_size_row,
    size_made_rows,
)
from boltspan.dataset.releasing.tables import (
    CLAIMS,
    END_ROWS,
    FRAMES,
    HARDWARE,
    MAKES,
    MODELS,
    SHOCK_ENDS,
    SHOCK_MODELS,
    SHOCK_SIZES,
    SHOCKS,
    SIZES_MADE,
    TABLES,
    Table,
)
from boltspan.dataset.text import text_of
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.jsontext import dumps, loads
from boltspan.domain.review import rulings
from boltspan.domain.shocks import Shock, ShockModel

_SPOOL: Final = ".answers"
_SHOCK_SPOOL: Final = ".shock_answers"
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ReleasedFrame:
    """A frame of the release: what is said of it, and the encoded answer for it (None when it answers no more)."""

    entry: FrameEntry
    answer: bytes | None


@dataclass(frozen=True, slots=True)
class ReleasedShocks:
    """All that a release tells besides frames: models, shocks with their answers, what is produced in hardware.

    ``models`` by make and slug, ``shocks`` by ``frame_order``, each with the answer for it (None when it answers no
    more), ``hardware`` without rows that were withdrawn, by ``hardware_order``.
    """

    models: Sequence[ShockModel] = ()
    shocks: Sequence[tuple[ShockEntry, Mapping[str, Any] | None]] = ()
    hardware: Sequence[HardwareSizes] = ()


def write_release(
    folder: Path,
    head: ReleaseHead,
    makes: Iterable[Make],
    models: Iterable[Model],
    frames: Iterable[ReleasedFrame],
    licence_text: str,
    previous: Path | None,
    shocks: ReleasedShocks = ReleasedShocks(),
) -> dict[str, Any]:
    """Write every file of a release into the empty ``folder`` and return the manifest.

    ``makes`` by slug, ``models`` by make and slug, ``frames`` by ``frame_order``; the frames are read once, one at a
    time. ``previous`` is the folder of the release to compare with. Raises ValueError when a list is out of its
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
        records.add_shocks(shocks)
        counts = records.finish()
    facts = {name: facts_of(folder / name, count) for name, count in counts.items()}
    _write_text(folder / DATAPACKAGE_FILE, text_of(datapackage(head, facts)))
    _write_text(folder / README_FILE, readme(head))
    _write_text(folder / LICENCE_FILE, licence_text)
    with (folder / CHANGES_FILE).open("w", encoding="utf-8", newline="\n") as file:
        frame_changes = changes_between(_there(previous, ANSWERS_FILE), folder / ANSWERS_FILE, records.gone)
        shock_changes = changes_between(
            _there(previous, SHOCK_ANSWERS_FILE), folder / SHOCK_ANSWERS_FILE, records.gone_shocks
        )
        write_changes(file, _changes_header(head), frame_changes, shock_changes)
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


def _there(previous: Path | None, name: str) -> Path | None:
    """Return a file of the release before; None where there is no such release, or it has no such file."""
    return previous / name if previous is not None and (previous / name).is_file() else None


def _changes_header(head: ReleaseHead) -> dict[str, Any]:
    found: dict[str, Any] = {"release": head.version, "event": head.event, "built_on": head.built_on, "demo": head.demo}
    return found | ({"previous": head.previous} if head.previous is not None else {})


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


class _Records:
    """The files with one record a line while they are being written.

    ``gone`` holds frames, ``gone_shocks`` shocks that answer no more.
    """

    def __init__(self, folder: Path, head: ReleaseHead, models: Iterable[Model], files: ExitStack) -> None:
        self._folder, self._files = folder, files
        self._demo: Row = {"demo": True} if head.demo else {}
        self._models = {(m.make, m.slug): m for m in models}
        self._tables = {table.name: CsvFile(self._open(table), table.column_names) for table in TABLES}
        self._lines = files.enter_context((folder / FRAMES_FILE).open("wb"))
        self._answers = SortedAnswers(folder / _SPOOL)
        self._shock_answers = SortedAnswers(folder / _SHOCK_SPOOL)
        files.callback(self._answers.close)
        files.callback(self._shock_answers.close)
        self._shock_lines = files.enter_context((folder / SHOCKS_FILE).open("wb"))
        self._frames = self._shocks = 0
        self.gone: dict[str, Frame] = {}
        self.gone_shocks: dict[str, Shock] = {}

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

    def add_shocks(self, released: ReleasedShocks) -> None:
        """Write shocks and hardware sizes into every file that tells of them."""
        for model in _ascending(released.models, lambda m: (m.make, m.slug)):
            self.put(SHOCK_MODELS, model_row(model))
        models = {(m.make, m.slug): m for m in released.models}
        for entry, answer in _ascending(released.shocks, lambda found: frame_order(found[0].shock)):
            self.put(SHOCKS, shock_row(entry.shock))
            self._shock_lines.write(shock_line(models[entry.shock.make, entry.shock.model], entry))
            self._shocks += 1
            if answer is None:
                self.gone_shocks[entry.shock.id] = entry.shock
                continue
            self._shock_answers.add(entry.shock.id, dumps(answer).encode() + b"\n")
            for row in shock_end_rows(answer):
                self.put(SHOCK_ENDS, row)
            for row in size_made_rows(answer):
                self.put(SIZES_MADE, row)
        for sizes in _ascending(released.hardware, hardware_order):
            for row in hardware_rows(sizes):
                self.put(HARDWARE, row)

    def finish(self) -> dict[str, int]:
        """Close all files and return how many records each holds, by name."""
        lines = {
            FRAMES_FILE: self._frames,
            ANSWERS_FILE: self._answers.finish(self._folder / ANSWERS_FILE),
            SHOCKS_FILE: self._shocks,
            SHOCK_ANSWERS_FILE: self._shock_answers.finish(self._folder / SHOCK_ANSWERS_FILE),
        }
        self._files.close()
        rows = {table.file: self._tables[table.name].rows for table in TABLES}
        return rows | lines


def counting_claims(entry: FrameEntry) -> list[Claim]:
    """Return the reviewed claims that count, by subject, then as in the record files."""
    found = []
    for subject in entry.frame.subjects:
        refused = rulings(entry.decisions_on(subject)).refused
        counting = [c for c in entry.claims_on(subject) if c.state == "accepted" and c.id not in refused]
        found += sorted(counting, key=claim_order)
    return found


def _ascending(items: Iterable[T], key: Callable[[T], tuple[Any, ...]]) -> Iterator[T]:
    """Yield ``items``; raise ValueError at the first that does not come after the one before it."""
    before: tuple[Any, ...] | None = None
    for item in items:
        here = key(item)
        if before is not None and here <= before:
            raise ValueError(f"{here} comes after {before}: the records are not in their order")
        before = here
        yield item
