"""Limits of the outside (crest) of a bolt's thread: ISO 965-1 class 6g, and ASME B1.1 class 2A for inch bolts.

Trap: two of the charts below print 8.972 as the largest M9 x 1 6g; the rule gives 8.974, as their own M8 x 1 and
M10 x 1 rows show (.974). A chart on the web is not loaded unchecked.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

_CHARTS: Final = "external thread charts of apporo-cnc.com and oeandl.com"


@dataclass(frozen=True, slots=True)
class CrestRow:
    """Smallest and largest outside diameter of a thread, in mm; ``pitch_mm`` in mm, ``nominal_mm`` of the bolt."""

    thread: str
    nominal_mm: Decimal
    pitch_mm: Decimal
    crest_max_mm: Decimal
    crest_min_mm: Decimal
    seen_at: str
    sure: str


def _metric(thread: str, pitch: str, limits: tuple[str, str], seen_at: str, sure: str) -> CrestRow:
    largest, smallest = map(Decimal, limits)
    seen = f"ISO 965-1 6g: {seen_at}"
    return CrestRow(thread, Decimal(thread[1:]), Decimal(pitch), largest, smallest, seen, sure)


ISO_965_6G: Final = (
    _metric("M5", "0.8", ("4.976", "4.826"), f"{_CHARTS}; amesweb.info (ASME B1.13M); two more", "verified, 4 places"),
    _metric(
        "M6", "1", ("5.974", "5.794"), f"{_CHARTS}; amesweb.info (ASME B1.13M, max); two more", "verified, 4 places"
    ),
    _metric("M6", "0.75", ("5.978", "5.838"), _CHARTS, "verified, 1 place and by the rule"),
    _metric("M8", "1.25", ("7.972", "7.760"), f"{_CHARTS}; one with allowances", "verified, 3 places"),
    _metric("M8", "1", ("7.974", "7.794"), f"{_CHARTS}; one with allowances", "verified, 3 places"),
    _metric("M8", "0.75", ("7.978", "7.838"), _CHARTS, "verified, 1 place and by the rule"),
    _metric("M10", "1.5", ("9.968", "9.732"), f"{_CHARTS}; one with allowances", "verified, 3 places"),
    _metric("M10", "1.25", ("9.972", "9.760"), f"{_CHARTS}; one with allowances", "verified, 3 places"),
    _metric("M10", "1", ("9.974", "9.794"), _CHARTS, "verified, 1 place and by the rule"),
    _metric("M12", "1.75", ("11.966", "11.701"), "two suppliers' charts to 2 decimals", "2 decimals and by the rule"),
    _metric("M12", "1.5", ("11.968", "11.732"), "a supplier's chart (max)", "max to 2 decimals; min by the rule"),
    _metric("M12", "1.25", ("11.972", "11.760"), "oeandl.com", "verified, 1 place and by the rule"),
    _metric("M12", "1", ("11.974", "11.794"), "oeandl.com", "verified, 1 place and by the rule"),
    _metric("M14", "2", ("13.962", "13.682"), "a supplier's chart (13.960 max)", "max to 2 decimals; min by the rule"),
    _metric("M14", "1.5", ("13.968", "13.732"), "not seen", "by the rule only (pitch of M10 x 1.5, which is seen)"),
)
"""ISO 965-1 class 6g, outside diameter; the first row of each size is its coarse thread (ISO 261)."""


def _inch(thread: str, nominal: str, per_inch: int, largest: str, smallest: str) -> CrestRow:
    inch = Decimal("25.4")
    return CrestRow(
        thread, Decimal(nominal) * inch, inch / per_inch, Decimal(largest) * inch, Decimal(smallest) * inch,
        "ASME B1.1 class 2A", "from memory; tolerance 0.060 P^(2/3) in gives the same, and the rows of charts seen up "
        "to size 12 follow that rule",
    )  # fmt: skip


ASME_B1_1_2A: Final = (
    _inch("1/4-20 UNC", "0.25", 20, "0.2489", "0.2408"),
    _inch("5/16-18 UNC", "0.3125", 18, "0.3113", "0.3026"),
    _inch("3/8-16 UNC", "0.375", 16, "0.3737", "0.3643"),
)
"""ASME B1.1 class 2A coarse threads, outside diameter, turned to mm."""

ROOT_DEPTH_FACTOR: Final = Decimal("1.2269")
"""Root diameter of an outside thread is d - 1.2269 P (ISO 68-1 profile, d3 of ISO 724 tables; from memory)."""


def _coarse() -> tuple[CrestRow, ...]:
    first: dict[Decimal, CrestRow] = {}
    for row in (*ISO_965_6G, *ASME_B1_1_2A):
        first.setdefault(row.nominal_mm, row)
    return tuple(first.values())


COARSE: Final = _coarse()
"""The coarse thread of each bolt, metric sizes first."""


def root_mm(row: CrestRow) -> Decimal:
    """Return the diameter at the thread's root, which must never be taken for a bolt's size (M8: 6.466)."""
    return row.nominal_mm - ROOT_DEPTH_FACTOR * row.pitch_mm
