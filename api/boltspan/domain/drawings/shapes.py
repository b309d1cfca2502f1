"""The marks that all drawings are made of: lines, boxes, rings, hatching, arrows, right and wrong, words."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from boltspan.domain.drawings.svg import Coordinate, Node, group, node, number

Point = tuple[Coordinate, Coordinate]

THIN: Final = 0.9
ARROW_LONG: Final = 7.0
ARROW_HALF: Final = 2.6


def line(x1: Coordinate, y1: Coordinate, x2: Coordinate, y2: Coordinate, **look: str | Coordinate) -> Node:
    """Return a straight line."""
    return node("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)


def box(x: Coordinate, y: Coordinate, width: Coordinate, height: Coordinate, **look: str | Coordinate) -> Node:
    """Return a rectangle by its upper left corner."""
    return node("rect", x=x, y=y, width=width, height=height, **look)


def circle(x: Coordinate, y: Coordinate, radius: Coordinate, **look: str | Coordinate) -> Node:
    """Return a circle by its centre."""
    return node("circle", cx=x, cy=y, r=radius, **look)


def outline(points: Iterable[Point], **look: str | Coordinate) -> Node:
    """Return a closed shape through ``points``."""
    return node("path", d=f"M{_joined(points)}Z", **look)


def stroke(points: Iterable[Point], **look: str | Coordinate) -> Node:
    """Return an open line through ``points``."""
    return node("path", d=f"M{_joined(points)}", **look)


def words(x: Coordinate, y: Coordinate, text: str, anchor: str = "middle", **look: str | Coordinate) -> Node:
    """Return a line of text; ``anchor`` is start, middle or end."""
    return node("text", text, x=x, y=y, text_anchor=anchor, fill="currentColor", stroke="none", **look)


def axis(x1: Coordinate, y1: Coordinate, x2: Coordinate, y2: Coordinate) -> Node:
    """Return a centre line: long dash, short dash (ISO 128-2, line type 10)."""
    return line(x1, y1, x2, y2, stroke_width=THIN, stroke_dasharray="12 3 2 3")


def hatched(
    x: Coordinate,
    y: Coordinate,
    width: Coordinate,
    height: Coordinate,
    *,
    spacing: Coordinate = 6,
    leans: str = "right",
    **edge: str | Coordinate,
) -> Node:
    """Return a cut face: a box with its edge (look ``edge``), filled by ``hatching``."""
    return group(box(x, y, width, height, **edge), hatching(x, y, width, height, spacing=spacing, leans=leans))


def hatching(
    x: Coordinate, y: Coordinate, width: Coordinate, height: Coordinate, *, spacing: Coordinate, leans: str = "right"
) -> Node:
    """Return lines at 45 degrees within a box (ISO 128-3, cuts), ``spacing`` apart; none where no line falls in it.

    ``leans`` right (/), left (\\) or both. Faces that touch lean to different sides or differ in spacing; boxes of one
    look that touch read as one face, for all lines lie on one grid.
    """
    slants = {"right": (1,), "left": (-1,), "both": (1, -1)}[leans]
    lines = [ends for side in slants for ends in _slanted(x, y, width, height, spacing * math.sqrt(2), side)]
    if not lines:
        return group()
    return node("path", d="".join(f"M{_joined(ends)}" for ends in lines), stroke_width=THIN)


def arrow_head(x: Coordinate, y: Coordinate, towards: str) -> Node:
    """Return a filled arrow head with its tip at the place; ``towards`` is left, right, up or down."""
    long, half = ARROW_LONG, ARROW_HALF
    back = {
        "left": ((x + long, y - half), (x + long, y + half)),
        "right": ((x - long, y - half), (x - long, y + half)),
        "up": ((x - half, y + long), (x + half, y + long)),
        "down": ((x - half, y - long), (x + half, y - long)),
    }[towards]
    return outline([(x, y), *back], fill="currentColor", stroke="none")


def leader(points: list[Point]) -> Node:
    """Return a leader line that ends in a dot on what it names (ISO 128-2, leader lines)."""
    x, y = points[0]
    return group(stroke(points, stroke_width=THIN), circle(x, y, 1.8, fill="currentColor", stroke="none"))


def right_mark(x: Coordinate, y: Coordinate) -> Node:
    """Return a tick in a ring: the right place."""
    return group(circle(x, y, 8), stroke([(x - 4, y), (x - 1, y + 3.5), (x + 4.5, y - 4)]), stroke_width=2)


def wrong_mark(x: Coordinate, y: Coordinate) -> Node:
    """Return a cross in a square: the wrong place. Square, so that it differs from ``right_mark`` at a glance."""
    cross = (line(x - 4, y - 4, x + 4, y + 4), line(x - 4, y + 4, x + 4, y - 4))
    return group(box(x - 8, y - 8, 16, 16), *cross, stroke_width=2)


def _joined(points: Iterable[Point]) -> str:
    return "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _slanted(
    x: Coordinate, y: Coordinate, width: Coordinate, height: Coordinate, step: Coordinate, side: int
) -> list[tuple[Point, Point]]:
    """Return the lines x + y = n step (``side`` 1: rising) or x - y = n step (-1: falling) within a box."""
    top, bottom = (y, y + height) if side == 1 else (-y - height, -y)  # falling lines are rising ones, mirrored
    found: list[tuple[Point, Point]] = []
    at = math.floor((x + top) / step + 1) * step
    while at < x + width + bottom:
        right, left = min(x + width, at - top), max(x, at - bottom)
        found.append(((left, (at - left) * side), (right, (at - right) * side)))
        at += step
    return found
