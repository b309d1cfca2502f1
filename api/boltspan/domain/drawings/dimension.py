"""Dimension lines (ISO 129-1: extension line, line with arrows, value above it), a scale bar, numbered balloons."""

from __future__ import annotations

from typing import Final

from boltspan.domain.drawings.shapes import THIN, arrow_head, circle, line, stroke, words
from boltspan.domain.drawings.svg import Coordinate, Node, group

LETTER: Final = 7.0
"""About as wide as a letter of the drawings' usual size."""
OUTSIDE: Final = 16.0
"""How far arrows reach out that press on a short length from outside."""


def along(left: Coordinate, right: Coordinate, at: Coordinate, edge: Coordinate, text: str, side: int = 1) -> Node:
    """Return a dimension of the length ``left`` to ``right`` on the line ``at``, with extension lines from ``edge``.

    A length too short for its value has arrows and value outside it, on ``side`` (1: right, -1: left).
    """
    ends = [line(x, edge, x, at + 4, stroke_width=THIN) for x in (left, right)]
    if right - left >= len(text) * LETTER + 8:
        inside = (
            line(left + 4, at, right - 4, at, stroke_width=THIN),
            arrow_head(left, at, "left"),
            arrow_head(right, at, "right"),
        )
        return group(*ends, *inside, words((left + right) / 2, at - 4, text))
    far, anchor = (right + OUTSIDE + 2, "start") if side == 1 else (left - OUTSIDE - 2, "end")
    pressing = (
        line(left - OUTSIDE, at, left - 4, at, stroke_width=THIN),
        line(right + 4, at, right + OUTSIDE, at, stroke_width=THIN),
        arrow_head(left, at, "right"),
        arrow_head(right, at, "left"),
    )
    return group(*ends, *pressing, words(far, at + 4.5, text, anchor))


def upright(top: Coordinate, bottom: Coordinate, at: Coordinate, edge: Coordinate, text: str) -> Node:
    """Return a dimension of the length ``top`` to ``bottom`` on the line ``at``, its value to the left of it.

    Its extension lines come from ``edge``, at the right. For lengths over two arrows.
    """
    return group(
        *(line(edge, y, at - 4, y, stroke_width=THIN) for y in (top, bottom)),
        line(at, top + 4, at, bottom - 4, stroke_width=THIN),
        arrow_head(at, top, "up"),
        arrow_head(at, bottom, "down"),
        words(at - 4, (top + bottom) / 2 + 4.5, text, "end"),
    )


def scale_bar(x: Coordinate, y: Coordinate, long: Coordinate, text: str) -> Node:
    """Return a bar of a known length with its name, from ``x`` to the right."""
    bar = stroke([(x, y - 4), (x, y), (x + long, y), (x + long, y - 4)], stroke_width=2)
    return group(bar, words(x + long + 6, y + 1, text, "start", font_size=12))


def balloon(x: Coordinate, y: Coordinate, number: int, dot: tuple[Coordinate, Coordinate]) -> Node:
    """Return a part's number in a ring, with a leader to a dot on the part."""
    return group(
        line(x, y + 9, *dot, stroke_width=1.1),
        circle(*dot, 2.2, fill="currentColor", stroke="none"),
        circle(x, y, 9, stroke_width=1.2),
        words(x, y + 4.2, str(number), font_size=12),
    )
