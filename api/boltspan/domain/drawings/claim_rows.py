"""The number line: each claim where it stands, with its error bar, against the candidate sizes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from boltspan.domain.drawings.evidence_rows import EvidenceRows, short_name
from boltspan.domain.drawings.panels import HEADING, LEFT, RIGHT, ROW, Panel, heading
from boltspan.domain.drawings.shapes import THIN, line, outline, words
from boltspan.domain.drawings.svg import Coordinate, Node, group
from boltspan.domain.explanation import Explanation
from boltspan.domain.lengths import plain
from boltspan.domain.values import bolt_label, trade_width

PLOT_LEFT: Final = 118.0
PLOT_RIGHT: Final = RIGHT - 14
COVERAGE: Final = 2.0
"""Error bars reach two standard uncertainties to each side (JCGM 100, coverage factor 2)."""
LABEL_HIGH: Final = 15.0
LETTER: Final = 7.2


@dataclass(frozen=True, slots=True)
class _Stretch:
    """The stretch of millimetres that the line shows."""

    low: float
    high: float

    def x(self, mm: float) -> Coordinate:
        return PLOT_LEFT + (mm - self.low) / (self.high - self.low) * (PLOT_RIGHT - PLOT_LEFT)


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    name: str
    mm: float | None
    sd: float | None


def claim_panels(explanation: Explanation, rows: EvidenceRows) -> Iterator[Panel]:
    """Yield the number line of the widths, and that of the bolts where candidates differ in them or nobody has a width.

    None at all where no claim has a number.
    """
    widths = [_Row(n, short_name(w), w.width_mm, w.width_sd_mm) for n, w in enumerate(rows.shown, 1)]
    bolts = [_Row(n, short_name(w), w.bolt_mm, w.bolt_sd_mm) for n, w in enumerate(rows.shown, 1)]
    width_names = _candidates(explanation, "width_mm")
    bolt_names = _candidates(explanation, "bolt_mm")
    has_width = any(row.mm is not None for row in widths)
    if has_width:
        yield _panel("Width, as stated or read, mm", widths, width_names)
    if any(row.mm is not None for row in bolts) and (len(bolt_names) > 1 or not has_width):
        yield _panel("Bolt, as stated or read, mm", bolts, bolt_names)


def _candidates(explanation: Explanation, field: str) -> dict[float, str]:
    """Return the candidate sizes with the names they are written under."""
    found = {}
    for candidate in explanation.candidates:
        size = getattr(candidate.value, field)
        if size is not None:
            found[float(size)] = bolt_label(size) if field == "bolt_mm" else plain(trade_width(size))
    return found


def _panel(title: str, rows: list[_Row], names: dict[float, str]) -> Panel:
    told = [row for row in rows if row.mm is not None]
    stretch = _stretch(told, list(names))
    labels, depth = _labels(names, stretch)
    top = HEADING + 6 + depth * LABEL_HIGH
    bottom = top + ROW * len(told)
    lines = [
        line(stretch.x(mm), top - 2, stretch.x(mm), bottom, stroke_width=THIN, stroke_dasharray="4 3") for mm in names
    ]
    drawn = [_claim(row, stretch, top + ROW * (n + 0.5)) for n, row in enumerate(told)]
    scale = _axis(stretch, bottom)
    return Panel(group(heading(title), *labels, *lines, *drawn, scale), bottom + 22)


def _stretch(told: list[_Row], sizes: list[float]) -> _Stretch:
    """Return a stretch that holds every claim with its error bar and every candidate, with room at both sides."""
    reach = [(row.mm or 0, COVERAGE * (row.sd or 0)) for row in told]
    low = min([mm - far for mm, far in reach] + sizes)
    high = max([mm + far for mm, far in reach] + sizes)
    room = max((high - low) * 0.08, 0.25)
    return _Stretch(low - room, high + room)


def _labels(names: dict[float, str], stretch: _Stretch) -> tuple[list[Node], int]:
    """Return the names of the candidates above their lines, in as many rows as they need, and how many that is."""
    ends: list[float] = []
    placed = []
    for mm, name in sorted(names.items()):
        x, half = stretch.x(mm), len(name) * LETTER / 2 + 2
        row = next((n for n, end in enumerate(ends) if end <= x - half), len(ends))
        ends[row : row + 1] = [x + half]
        placed.append((x, row, name))
    return [words(x, HEADING + 14 + row * LABEL_HIGH, name, font_size=12) for x, row, name in placed], len(ends)


def _claim(row: _Row, stretch: _Stretch, y: Coordinate) -> Node:
    """Return a row: its number and name, and a diamond (a document) or a bar with a stroke (readings)."""
    x = stretch.x(row.mm or 0)
    name = words(LEFT, y + 4.5, f"{row.number} {row.name}", "start", font_size=12)
    if row.sd is None:
        mark = outline([(x - 5, y), (x, y - 5), (x + 5, y), (x, y + 5)], fill="currentColor")
        return group(name, mark)
    left, right = (stretch.x((row.mm or 0) + side * COVERAGE * row.sd) for side in (-1, 1))
    ends = [line(end, y - 4, end, y + 4) for end in (left, right)]
    return group(name, line(left, y, right, y, stroke_width=2), *ends, line(x, y - 7, x, y + 7, stroke_width=2.5))


def _axis(stretch: _Stretch, y: Coordinate) -> Node:
    step = next(s for s in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100) if (stretch.high - stretch.low) / s <= 6)
    first = int(stretch.low / step) + 1
    ticks = [first * step + n * step for n in range(7) if first * step + n * step <= stretch.high]
    return group(
        line(PLOT_LEFT, y, PLOT_RIGHT, y, stroke_width=THIN),
        *(line(stretch.x(t), y, stretch.x(t), y + 4, stroke_width=THIN) for t in ticks),
        *(words(stretch.x(t), y + 17, f"{t:.1f}".rstrip("0").rstrip("."), font_size=12) for t in ticks),
    )
