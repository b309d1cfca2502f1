"""The outline of a caliper: jaws for outside sizes below the beam, jaws for inside sizes above it."""

from __future__ import annotations

from typing import Final

from boltspan.domain.drawings.shapes import Point, box, line, outline
from boltspan.domain.drawings.svg import Coordinate, Node, group

BEAM: Final = 13.0
SHORT: Final = 16.0
"""How far the pair of jaws reaches that is not in use."""


def caliper(
    left: Coordinate,
    right: Coordinate,
    beam: Coordinate,
    *,
    over: Coordinate | None = None,
    within: Coordinate | None = None,
) -> Node:
    """Return a caliper whose measuring faces stand at ``left`` and ``right``, the beam's upper edge at ``beam``.

    ``over`` is where the tips of the outside jaws (pointing down) end, ``within`` those of the inside jaws (pointing
    up); a pair without a place is drawn short.
    """
    below = beam + BEAM
    tips = below + SHORT if over is None else over
    points = beam - SHORT if within is None else within
    return group(
        _beam(left, right, beam),
        outline(_outside_jaw(left, below, tips, -1), stroke_width=1.8),
        outline(_outside_jaw(right, below, tips, 1), stroke_width=1.8),
        outline(_inside_jaw(left, beam, points, 1), stroke_width=1.8),
        outline(_inside_jaw(right, beam, points, -1), stroke_width=1.8),
    )


def _beam(left: Coordinate, right: Coordinate, beam: Coordinate) -> Node:
    start, slide = left - 26, right + 50
    end = slide + 20
    marks = [line(x, beam + BEAM - 5, x, beam + BEAM, stroke_width=0.8) for x in _steps(slide + 5, end - 2, 5)]
    return group(
        box(start, beam, right - start, BEAM),
        box(right, beam - 4, slide - right, BEAM + 4, rx=2),
        box(right + 14, beam + 0.5, 28, BEAM - 1, rx=1, stroke_width=1),
        box(slide, beam, end - slide, BEAM),
        *marks,
    )


def _outside_jaw(face: Coordinate, root: Coordinate, tip: Coordinate, side: int) -> list[Point]:
    """Return a jaw whose flat face is at ``face`` and whose body lies to ``side`` of it (-1 left, 1 right)."""
    return [(face, root), (face, tip), (face + 5 * side, tip), (face + 18 * side, root + 10), (face + 18 * side, root)]


def _inside_jaw(face: Coordinate, root: Coordinate, tip: Coordinate, side: int) -> list[Point]:
    return [(face, root), (face, tip), (face + 2.5 * side, tip), (face + 9 * side, root)]


def _steps(first: Coordinate, last: Coordinate, step: Coordinate) -> list[Coordinate]:
    return [first + n * step for n in range(int((last - first) // step) + 1)]
