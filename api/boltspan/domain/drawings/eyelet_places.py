"""Where to put the caliper on a bare eyelet: hardware off, bushing and sleeve out (common practice, no source)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from boltspan.domain.drawings.caliper import caliper
from boltspan.domain.drawings.dimension import along, upright
from boltspan.domain.drawings.eyelet_cut import HOLE_Y, inside_from_the_right, label, walls
from boltspan.domain.drawings.shapes import arrow_head, axis, box, circle, leader, line, right_mark, words, wrong_mark
from boltspan.domain.drawings.svg import Node, group

TITLES: Final = {
    "eyelet_bore": "Bore of the bare eyelet",
    "eyelet_width": "Width of the eyelet",
    "eyelet_outer": "Outside of the eyelet",
}
ADVICE: Final = {
    "eyelet_bore": "Sleeve and bushing out, inside jaws across the bore, at two angles, the largest reading of each. "
    "With the bushing in, leave it empty: 12.7 mm is most often the bushing’s bore.",
    "eyelet_width": "Over the eyelet’s own two faces, along the bolt, with spacers and O-rings off.",
    "eyelet_outer": "Across the outside of the eye at its largest, clear of the shock’s neck and of any fitting or "
    "ridge.",
}
"""What to do, in a sentence or two; the text equivalent of each drawing says the same."""

MIDDLE: Final = 160.0
CAPTION: Final = 183.0


def _bore() -> Node:
    left, right, half, outer = 128.0, 200.0, 28.0, 50.0
    return group(
        walls(left, right, half, outer, spacing=8),
        axis(left - 9, HOLE_Y, left + 11, HOLE_Y),
        inside_from_the_right(half, beam=244),
        upright(HOLE_Y - half, HOLE_Y + half, left - 16, left - 2, "bore"),
        right_mark(left + 22, HOLE_Y),
        label("eyelet", 30, (left + 10, HOLE_Y - 40)),
        _with_its_bushing(),
        words(MIDDLE, CAPTION, "Across the bare bore, bushing and sleeve out"),
    )


def _with_its_bushing() -> Node:
    """Return the place that is usually taken: the same eyelet with the bushing still in it."""
    left, right, y = 24.0, 62.0, 142.0
    return group(
        walls(left, right, 13, 23, spacing=8, at=y),
        walls(left, right, 8, 13, spacing=3, leans="left", at=y),
        axis(left - 8, y, right + 8, y),
        wrong_mark(86, y),
        words(100, y + 4, "bushing still in", "start", font_size=12),
    )


def _width() -> Node:
    left, right, y, half, spacer = 128.0, 192.0, 104.0, 30.0, 22.0
    off = ((left - 68, left - 16, "left"), (right + 68 - spacer, right + 16, "right"))
    return group(
        box(left, y - half, right - left, 2 * half, rx=5),
        axis(left - 10, y, right + 10, y),
        caliper(left, right, 22, over=y + 12),
        right_mark(MIDDLE, 56),
        words(MIDDLE, y - 8, "eyelet", font_size=12),
        *(_taken_off(x, spacer, y, start, side) for x, start, side in off),
        along(left, right, y + half + 22, y + half + 2, "width"),
        words(MIDDLE, CAPTION, "Over the bare eyelet’s faces, spacers off"),
    )


def _taken_off(x: float, long: float, y: float, start: float, side: str) -> Node:
    """Return a spacer beside the eyelet, with an arrow from the eyelet to it."""
    tip = x + long + 4 if side == "left" else x - 4
    shaft = tip + 6 if side == "left" else tip - 6
    return group(
        box(x, y - 17, long, 34),
        line(start, y, shaft, y),
        arrow_head(tip, y, side),
        wrong_mark(x + long / 2, y - 32),
        words(x + long / 2, y + 33, "spacer", font_size=12),
    )


def _outer() -> Node:
    x, y, half, neck = 140.0, 66.0, 34.0, 17.0
    at_neck = x + (half**2 - neck**2) ** 0.5
    across = group(caliper(y - half, y + half, 0, over=x + 12 - 20), transform="translate(20 0) matrix(0 1 1 0 0 0)")
    return group(
        circle(x, y, half),
        circle(x, y, 20),
        axis(x - 40, y, x + 26, y),
        axis(x, y - half - 8, x, y + half + 8),
        *(line(at_neck, y + side * neck, 220, y + side * neck) for side in (-1, 1)),
        box(220, y - 27, 86, 54, rx=3),
        box(186, y - neck - 15, 15, 15, rx=2),
        across,
        upright(y - half, y + half, 98, x, "outside"),
        right_mark(66, y - 17),
        leader([(193.5, y - neck - 8), (212, 24)]),
        wrong_mark(222, 20),
        words(236, 24, "fitting", "start", font_size=12),
        words(263, y + 4, "shock", font_size=12),
        leader([(x + 19, y + 19), (194, 122)]),
        words(198, 127, "eyelet", "start", font_size=12),
        words(MIDDLE, CAPTION, "Across the eye, clear of neck and fittings"),
    )


DRAWN: Final[dict[str, Callable[[], Node]]] = {
    "eyelet_bore": _bore,
    "eyelet_width": _width,
    "eyelet_outer": _outer,
}
