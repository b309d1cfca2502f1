"""An eyelet cut along the bolt's axis, a caliper whose inside jaws stand in it, and what names its parts."""

from __future__ import annotations

from typing import Final

from boltspan.domain.drawings.caliper import caliper
from boltspan.domain.drawings.shapes import Point, hatched, leader, words
from boltspan.domain.drawings.svg import Coordinate, Node, group

HOLE_Y: Final = 70.0


def walls(
    left: Coordinate,
    right: Coordinate,
    inner: Coordinate,
    outer: Coordinate,
    *,
    spacing: Coordinate,
    leans: str = "right",
    at: Coordinate = HOLE_Y,
) -> Node:
    """Return both walls of a tube around the axis ``at``, by half of its inside and outside diameter."""
    length, wall = right - left, outer - inner
    return group(
        hatched(left, at - outer, length, wall, spacing=spacing, leans=leans),
        hatched(left, at + inner, length, wall, spacing=spacing, leans=leans),
    )


def inside_from_the_right(half: Coordinate, beam: Coordinate = 232) -> Node:
    """Return a caliper that lies across the axis, its inside jaws in a hole of that half width."""
    turned = caliper(HOLE_Y - half, HOLE_Y + half, 0, within=-82)
    return group(turned, transform=f"translate({beam:g} 0) matrix(0 1 1 0 0 0)")


def label(text: str, y: Coordinate, dot: Point) -> Node:
    """Return a word at the left with its leader."""
    return group(words(28, y, text, "start", font_size=12), leader([dot, (80, y - 4)]))
