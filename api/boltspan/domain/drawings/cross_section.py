"""An end as it will sit, cut along the bolt's axis and to scale: what stands between the tabs, with its dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from textwrap import wrap
from typing import Final

from boltspan.domain.drawings import section_words
from boltspan.domain.drawings.dimension import along, balloon, scale_bar
from boltspan.domain.drawings.scale import Scale, fitting
from boltspan.domain.drawings.section_parts import Part, parts, reach
from boltspan.domain.drawings.section_sizes import SectionSizes, sizes_of
from boltspan.domain.drawings.shapes import words
from boltspan.domain.drawings.svg import Coordinate, Node, drawing
from boltspan.domain.fitsheet.built import BuiltEnd

WIDTH: Final = 340.0
MARGIN: Final = 14.0
TOP: Final = 48.0
TALLEST: Final = 150.0
LINE: Final = 18.0
ROW: Final = 22.0
LETTERS: Final = 46
"""How many letters a line of the list holds; wide ones still fit."""


def section_list(end: BuiltEnd) -> tuple[str, ...]:
    """Return the words of the numbers in the drawing of ``end``, from 1 on; nothing where there is no drawing."""
    sizes = sizes_of(end)
    if sizes is None:
        return ()
    return tuple(section_words.part_words(part.name, end, sizes) for part in parts(end, sizes, Scale(1)))


def section_notes(end: BuiltEnd) -> tuple[str, ...]:
    """Return what stands under that list: how the opening is known, the clearance, and what is drawn by eye."""
    sizes = sizes_of(end)
    return () if sizes is None else tuple(section_words.notes(end, sizes))


def cross_section(end: BuiltEnd, *, listed: bool = True) -> str | None:
    """Return the drawing (SVG text) of ``end``; None where there is nothing to draw to scale.

    Without ``listed`` the list of parts is left out, for a page that has ``section_list`` beside it.

    There is nothing for a trunnion or a maker's own part, nor as long as bolt or width are not known. A size that is
    not known is drawn by eye, dashed, and named as such. The hardware stands in the middle of the opening, so that the
    clearance, to scale as well, shows at both sides.
    """
    sizes = sizes_of(end)
    if sizes is None:
        return None
    long, high = reach(sizes)
    per_mm = fitting(long, high, WIDTH - 2 * MARGIN, TALLEST)
    scale = Scale(per_mm, WIDTH / 2, TOP + per_mm * float(high) / 2)
    drawn = list(parts(end, sizes, scale))
    bottom = scale.y(-high / 2)
    dimensions, below = _dimensions(end, sizes, scale, bottom)
    lines = [*_numbered(section_list(end)), *section_notes(end)] if listed else []
    legend, height = _legend(lines, scale, below + LINE + 8)
    names = [part.name for part in drawn]
    text = section_words.description(end, sizes, names)
    return drawing(
        WIDTH, height, section_words.title(end), text,
        *(part.drawn for part in drawn), *_balloons(drawn), *dimensions, *legend,
    )  # fmt: skip


def _balloons(drawn: list[Part]) -> list[Node]:
    """Return the numbers in a row above the drawing, in the order of the parts, so that no leaders cross."""
    between = (WIDTH - 2 * MARGIN - 18) / max(len(drawn) - 1, 1)
    step = min(between, 44.0)
    first = (WIDTH - step * (len(drawn) - 1)) / 2
    return [balloon(first + step * n, 14, n + 1, part.dot) for n, part in enumerate(drawn)]


def _dimensions(end: BuiltEnd, sizes: SectionSizes, scale: Scale, bottom: Coordinate) -> tuple[list[Node], Coordinate]:
    """Return the dimensions below the drawing, the shortest next to it, and where the last one stands."""
    half, face, rows = sizes.width / 2, sizes.eyelet_width / 2, count(1)
    eyelet_edge, hardware_edge = scale.y(-sizes.outer / 2) + 2, scale.y(-sizes.spacer_outer / 2) + 2
    found, at = [], bottom
    if "eyelet_width" not in sizes.by_eye:
        at = bottom + ROW * next(rows)
        found.append(along(scale.x(-face), scale.x(face), at, eyelet_edge, section_words.length(sizes.eyelet_width)))
        if end.kit is not None and sizes.side > 0:
            side = section_words.length(sizes.side)
            found.append(along(scale.x(-half), scale.x(-face), at, hardware_edge, side, -1))
            found.append(along(scale.x(face), scale.x(half), at, hardware_edge, side, 1))
    if sizes.side > 0 or not found:
        at = bottom + ROW * next(rows)
        width = section_words.width_text(sizes)
        found.append(along(scale.x(-half), scale.x(half), at, hardware_edge, width))
    opening = section_words.opening_words(end, sizes)
    if opening:
        at = bottom + ROW * next(rows)
        found.append(along(scale.x(-sizes.gap / 2), scale.x(sizes.gap / 2), at, bottom + 2, opening))
    return found, at


def _numbered(texts: Sequence[str]) -> list[str]:
    return [f"{n} {text}" for n, text in enumerate(texts, 1)]


def _legend(lines: Sequence[str], scale: Scale, first: Coordinate) -> tuple[list[Node], Coordinate]:
    """Return the list of parts and notes under the drawing with a scale bar, and the drawing's whole height."""
    rows = [row for text in lines for row in wrap(text, LETTERS, subsequent_indent="\u2003")]
    nodes = [words(MARGIN, first + LINE * n, text, "start") for n, text in enumerate(rows)]
    end_of_list = first + LINE * len(rows)
    nodes.append(scale_bar(MARGIN, end_of_list, scale.per_mm * 10, "10 mm; all sizes in mm"))
    return nodes, end_of_list + 10
