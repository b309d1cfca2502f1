"""Hardware sizes: which widths are produced for which bolt, for which eyelet bore, and who says so."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any, Final

from boltspan.domain.errors import FieldProblem
from boltspan.domain.fields import date_from, text_from
from boltspan.domain.ids import check_id
from boltspan.domain.lengths import plain, same_size
from boltspan.domain.problems import Problems
from boltspan.domain.sources import MAKERS_OWN, Source
from boltspan.domain.statements import source_from, source_json
from boltspan.domain.value_sizes import BOLT_RANGE, BORE_RANGE, WIDTH_RANGE, size_within

MOST_WIDTHS: Final = 200
UNFIT_SOURCES: Final = ("measured", "fitted")
"""Kinds of source that speak of one part in hand, not of what is produced."""


@dataclass(frozen=True, slots=True)
class HardwareSizes:
    """What one source says is produced: the widths (mm, ascending) for one bolt.

    ``eyelet_bore_mm`` None: the source does not say for which eyelet. Immutable as a claim is; it can be withdrawn.
    ``sequence`` is the number of the event that last touched it (0 before it is stored).
    """

    id: str
    bolt_mm: Decimal
    widths_mm: tuple[Decimal, ...]
    source: Source
    eyelet_bore_mm: Decimal | None = None
    withdrawn_on: str | None = None
    withdrawn_why: str | None = None
    sequence: int = 0

    @property
    def counts(self) -> bool:
        """Whether it is not withdrawn."""
        return self.withdrawn_on is None


def produced_widths(
    rows: Iterable[HardwareSizes], bolt_mm: Decimal, eyelet_bore_mm: Decimal | None = None
) -> tuple[Decimal, ...]:
    """Return the widths (mm, ascending, each once) that some source says are produced for this bolt and eyelet bore.

    A row that names no bore serves every bore; without ``eyelet_bore_mm`` all rows of the bolt count. Nothing is
    known: (). Bolts, bores and widths within 0.03 mm are one size; of those the first spelling stays.
    """
    found: list[Decimal] = []
    for row in _serving(rows, bolt_mm, eyelet_bore_mm):
        for width in row.widths_mm:
            place = bisect_left(found, width)
            if not any(same_size(width, near) for near in found[max(place - 1, 0) : place + 1]):
                found.insert(place, width)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Produced:
    """What is found on one width: whether it is produced, and the rows it rests on.

    ``standing`` is ``provisional`` or ``unknown``, as plain agreement has it for a frame (``agreement``): nobody rules
    on what is produced, and a list that leaves a width out denies it not. ``checked_on`` is the newest day it was seen.
    """

    width_mm: Decimal
    standing: str
    rows: tuple[str, ...]
    independent: int
    checked_on: str


def produced(
    rows: Iterable[HardwareSizes], bolt_mm: Decimal, eyelet_bore_mm: Decimal | None = None
) -> tuple[Produced, ...]:
    """Return what is found on each of ``produced_widths``, in their order.

    Provisional when two independent sources name the width, or one page of its maker's own; else unknown.
    """
    serving = _serving(rows, bolt_mm, eyelet_bore_mm)
    found = []
    for width in produced_widths(serving, bolt_mm, eyelet_bore_mm):
        naming = [row for row in serving if any(same_size(width, named) for named in row.widths_mm)]
        voices = len({row.source.witness for row in naming})
        known = voices > 1 or any(row.source.kind in MAKERS_OWN for row in naming)
        standing = "provisional" if known else "unknown"
        newest = max(row.source.seen_on for row in naming)
        found.append(Produced(width, standing, tuple(row.id for row in naming), voices, newest))
    return tuple(found)


def _serving(rows: Iterable[HardwareSizes], bolt_mm: Decimal, eyelet_bore_mm: Decimal | None) -> list[HardwareSizes]:
    """Return the rows that count and serve this bolt and bore."""
    return [
        row
        for row in rows
        if row.counts
        and same_size(row.bolt_mm, bolt_mm)
        and (eyelet_bore_mm is None or row.eyelet_bore_mm is None or same_size(row.eyelet_bore_mm, eyelet_bore_mm))
    ]


def hardware_sizes_from(data: Mapping[str, Any], pointer: str = "") -> HardwareSizes:
    """Return the row in ``data`` (keys id, bolt_mm, eyelet_bore_mm, widths_mm, source, withdrawn).

    Raises InvalidInput with every problem found: an impossible size, widths that do not ascend, a source that speaks
    of one part only.
    """
    problems = Problems()
    row_id = problems.keep(lambda: check_id("hardware", data.get("id"), f"{pointer}/id"))
    source = problems.keep(lambda: source_from(data.get("source", {}), f"{pointer}/source"))
    found: list[FieldProblem] = []
    bolt = size_within(data, "bolt_mm", BOLT_RANGE, pointer, found)
    bore = size_within(data, "eyelet_bore_mm", BORE_RANGE, pointer, found)
    given = data.get("widths_mm", ())
    widths = [
        size_within({str(i): width}, str(i), WIDTH_RANGE, f"{pointer}/widths_mm", found)
        for i, width in enumerate(given)
    ]
    for problem in found:
        problems.add(problem.pointer, problem.code, problem.detail, problem.got, problem.accepted)
    if "bolt_mm" not in data:
        problems.add(f"{pointer}/bolt_mm", "field_missing", "the bolt is not named", None, "a bolt's diameter in mm")
    if not 1 <= len(given) <= MOST_WIDTHS:
        detail, accepted = "widths are missing or too many", f"1 to {MOST_WIDTHS}"
        problems.add(f"{pointer}/widths_mm", "bad_count", detail, len(given), accepted)
    known = [w for w in widths if w is not None]
    if any(b - a <= 0 for a, b in pairwise(known)):
        got = ", ".join(map(plain, known))
        problems.add(f"{pointer}/widths_mm", "not_ascending", "widths stand in ascending order, each once", got, "")
    if source is not None and source.kind in UNFIT_SOURCES:
        detail = "one part in hand does not say what is produced"
        accepted = "a page, diagram, manual, reply or chart"
        problems.add(f"{pointer}/source/kind", "not_measured_here", detail, source.kind, accepted)
    on = why = None
    if "withdrawn" in data:
        on = problems.keep(lambda: date_from(data["withdrawn"].get("on"), f"{pointer}/withdrawn/on"))
        why = problems.keep(lambda: text_from(data["withdrawn"].get("why"), f"{pointer}/withdrawn/why", 500))
    problems.raise_any()
    assert row_id is not None and bolt is not None and source is not None
    return HardwareSizes(row_id, bolt, tuple(known), source, bore, on, why)


def hardware_sizes_json(row: HardwareSizes) -> dict[str, Any]:
    """Return the JSON form of a row as it stands in the file."""
    found: dict[str, Any] = {"id": row.id, "bolt_mm": row.bolt_mm}
    if row.eyelet_bore_mm is not None:
        found["eyelet_bore_mm"] = row.eyelet_bore_mm
    found |= {"widths_mm": list(row.widths_mm), "source": source_json(row.source)}
    if row.withdrawn_on is not None:
        found["withdrawn"] = {"on": row.withdrawn_on, "why": row.withdrawn_why}
    return found
