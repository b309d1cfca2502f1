"""Where to put the caliper, one drawing for each feature, with the place that is usually taken instead.

What is right and what is usual at the bench: common practice, no source. The drawings are not to scale.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from boltspan.domain.drawings import eyelet_places
from boltspan.domain.drawings.caliper import caliper
from boltspan.domain.drawings.eyelet_cut import HOLE_Y, inside_from_the_right, label, walls
from boltspan.domain.drawings.shapes import (
    THIN,
    Point,
    arrow_head,
    axis,
    box,
    circle,
    hatched,
    leader,
    line,
    outline,
    right_mark,
    words,
    wrong_mark,
)
from boltspan.domain.drawings.svg import Coordinate, Node, drawing, group
from boltspan.domain.features import EYELET_FEATURES, FEATURES
from boltspan.domain.preconditions import require_one_of

MISTAKE: Final = "bushing_bore"
PLACES: Final = (*FEATURES, MISTAKE, *EYELET_FEATURES)
"""Every feature that is measured, those of a shock's eyelet last, and the bore that must not be taken for the bolt."""

TITLES: Final = {
    "thread_crest": "Bolt, over the thread",
    "shank": "Bolt, on the plain shank",
    "sleeve_bore": "Bore of the sleeve",
    "tab_gap": "Between the tabs",
    "hardware_width": "Over both spacers",
    MISTAKE: "Not this: bore of the bushing or the eyelet",
    **eyelet_places.TITLES,
}
ADVICE: Final = {
    "thread_crest": "Lay the flat of the jaws over the tops of the thread, so that they span several turns. Never let "
    "the tips drop into a groove: that reads far too small.",
    "shank": "Measure the plain part between head and thread, where it is not worn or painted. Turn the bolt a quarter "
    "and measure again.",
    "sleeve_bore": "Put the inside jaws into the hole that the frame bolt goes through, and take the largest reading. "
    "The bushing or the eyelet around the sleeve is not the bolt's hole.",
    "tab_gap": "Measure between the bare inner faces of the two tabs, near the bolt hole, without the bolt. Take the "
    "smallest reading. Not over the outside of the tabs.",
    "hardware_width": "Measure over the outer faces of both spacers, with sleeve and spacers in the eyelet and pushed "
    "home. Not over the eyelet alone.",
    MISTAKE: "With the sleeve out, the hole is the bushing's or the eyelet's, often 12.7 or 15 mm. It says "
    "nothing about the bolt. Measure the sleeve's own hole, or the bolt.",
    **eyelet_places.ADVICE,
}
"""What to do, in a sentence or two; the text equivalent of each drawing says the same."""

WIDTH: Final = 320
HEIGHT: Final = 190


def caliper_place(feature: str) -> str:
    """Return the drawing (SVG text) of where to put the caliper for ``feature``, one of ``PLACES``.

    ``MISTAKE`` shows the usual mistake, marked as wrong. Raises BenchRefusal for another feature.
    """
    require_one_of("feature", feature, PLACES)
    return drawing(WIDTH, HEIGHT, TITLES[feature], ADVICE[feature], _DRAWN[feature]())


BOLT_X: Final = 74.0
CREST: Final = 17.0
ROOT: Final = 12.0
TURN: Final = 9.0
TIP: Final = 16.0
THREAD_END: Final = 88.0
HEAD: Final = 142.0


def _thread_crest() -> Node:
    at, turns = (TIP + THREAD_END) / 2, 8
    across = caliper(202 - CREST, 202 + CREST, 34, over=136)
    return group(
        _bolt(),
        _here(at),
        right_mark(14, at),
        words(20, at + 25, "tops", font_size=12),
        leader([(BOLT_X + ROOT + 1, THREAD_END - TURN - 3), (BOLT_X + 34, THREAD_END + 6)]),
        wrong_mark(BOLT_X + 43, THREAD_END + 11),
        words(BOLT_X + 43, THREAD_END + 33, "groove", font_size=12),
        across,
        circle(202, 108, CREST),
        circle(202, 108, ROOT, stroke_width=THIN, stroke_dasharray=f"{turns * 7} 19"),
        axis(202, 82, 202, 134),
        words(WIDTH / 2, 183, "Over the tops of the thread"),
    )


def _shank() -> Node:
    at = (THREAD_END + HEAD) / 2
    return group(
        _bolt(),
        _here(at),
        right_mark(14, at),
        leader([(BOLT_X + CREST + 1, TIP + 22), (BOLT_X + 34, TIP + 16)]),
        wrong_mark(BOLT_X + 43, TIP + 12),
        words(BOLT_X + 43, TIP + 34, "thread", font_size=12),
        caliper(202 - CREST, 202 + CREST, 34, over=136),
        circle(202, 108, CREST),
        axis(202, 82, 202, 134),
        words(WIDTH / 2, 183, "On the plain part, between head and thread"),
    )


BORE, SLEEVE, BUSHING, EYELET = 15.0, 24.0, 32.0, 52.0
"""Half of each diameter, from the hole of the sleeve outwards."""


def _sleeve_bore() -> Node:
    return group(
        walls(96, 206, BORE, SLEEVE, spacing=5),
        _eyelet(),
        inside_from_the_right(BORE),
        right_mark(132, HOLE_Y),
        label("eyelet", 22, _EYELET_DOT),
        label("bushing", 46, _BUSHING_DOT),
        label("sleeve", 70, (101.0, HOLE_Y - 20)),
        wrong_mark(14, 18),
        wrong_mark(14, 42),
        right_mark(14, 66),
        words(WIDTH / 2, 183, "In the hole that the bolt goes through"),
    )


def _bushing_bore() -> Node:
    return group(
        _eyelet(),
        inside_from_the_right(SLEEVE),
        wrong_mark(134, HOLE_Y),
        label("eyelet", 22, _EYELET_DOT),
        label("bushing", 46, _BUSHING_DOT),
        words(28, 74, "no sleeve", "start", font_size=12),
        words(WIDTH / 2, 183, "Not this bore: it is not the bolt’s"),
    )


_EYELET_DOT: Final = (118.0, HOLE_Y - 44)
_BUSHING_DOT: Final = (118.0, HOLE_Y - 28)


def _eyelet() -> Node:
    """Return an eyelet with its bushing, cut along the bolt's axis."""
    return group(
        walls(112, 190, SLEEVE, BUSHING, spacing=3.5, leans="left"),
        walls(112, 190, BUSHING, EYELET, spacing=8),
        axis(96, HOLE_Y, 122, HOLE_Y),
    )


def _tab_gap() -> Node:
    left, right, wall = 84.0, 184.0, 18.0
    bolt_hole = (30.0, 58.0)
    return group(
        *(_tab(x, wall, bolt_hole) for x in (left - wall, right)),
        axis(left - wall - 14, 44, right + wall + 14, 44),
        caliper(left, right, 112, within=62),
        right_mark((left + right) / 2, 20),
        leader([(right + wall + 1, 76), (right + wall + 28, 66)]),
        wrong_mark(right + wall + 38, 63),
        words(right + wall + 52, 67, "outside", "start"),
        words(left - wall - 10, 90, "tab", "end"),
        words(WIDTH / 2, 183, "Between the bare tabs, near the bolt hole"),
    )


def _hardware_width() -> Node:
    eyelet, spacer, y = (110.0, 174.0), 26.0, 104.0
    left, right = eyelet[0] - spacer, eyelet[1] + spacer
    middle, under = (left + right) / 2, y + 42
    return group(
        box(eyelet[0], y - 30, eyelet[1] - eyelet[0], 60, rx=5),
        *(box(x, y - 17, spacer, 34) for x in (left, eyelet[1])),
        axis(left - 14, y, right + 14, y),
        caliper(left, right, 22, over=y + 12),
        right_mark(middle, 58),
        words(middle, y - 8, "eyelet", font_size=12),
        *(line(x, y + 33, x, under + 3, stroke_width=THIN) for x in eyelet),
        line(*(eyelet[0] + 5, under), *(eyelet[1] - 5, under), stroke_width=THIN),
        arrow_head(eyelet[0], under, "left"),
        arrow_head(eyelet[1], under, "right"),
        wrong_mark(eyelet[1] + 18, under),
        leader([(left + 8, y + 11), (left - 22, y + 34)]),
        words(left - 26, y + 44, "spacer", font_size=12),
        words(WIDTH / 2, 183, "Over the outer faces of both spacers"),
    )


def _bolt() -> Node:
    """Return a bolt standing on its head: thread above, plain shank below it."""
    x = BOLT_X
    left, right = _thread_side(-1), _thread_side(1)
    tops = [(a, b) for a, b in zip(left, right, strict=True) if abs(a[0] - x) == CREST]
    return group(
        outline([*left, (x - CREST, HEAD), (x + CREST, HEAD), *reversed(right)]),
        *(line(*a, *b, stroke_width=THIN) for a, b in tops),
        line(x - CREST, THREAD_END, x + CREST, THREAD_END),
        box(x - 28, HEAD, 56, 20, rx=2),
        *(line(x + off, HEAD, x + off, HEAD + 20, stroke_width=THIN) for off in (-13, 13)),
        axis(x, TIP - 10, x, HEAD + 26),
    )


def _thread_side(side: int) -> list[Point]:
    points, y = [(BOLT_X + ROOT * side, TIP)], TIP
    while y + TURN <= THREAD_END:
        points += [(BOLT_X + CREST * side, y + TURN / 2), (BOLT_X + ROOT * side, y + TURN)]
        y += TURN
    points[-1] = (BOLT_X + CREST * side, THREAD_END)
    return points


def _here(y: Coordinate) -> Node:
    """Return two arrows that press on the bolt from both sides."""
    left, right = BOLT_X - CREST, BOLT_X + CREST
    return group(
        line(left - 27, y, left - 5, y), arrow_head(left, y, "right"),
        line(right + 27, y, right + 5, y), arrow_head(right, y, "left"),
    )  # fmt: skip


def _tab(x: Coordinate, wall: Coordinate, hole: tuple[Coordinate, Coordinate]) -> Node:
    top, bottom = 10.0, 96.0
    return group(
        hatched(x, top, wall, hole[0] - top, spacing=5),
        box(x, hole[0], wall, hole[1] - hole[0]),
        hatched(x, hole[1], wall, bottom - hole[1], spacing=5),
    )


_DRAWN: Final[dict[str, Callable[[], Node]]] = {
    "thread_crest": _thread_crest,
    "shank": _shank,
    "sleeve_bore": _sleeve_bore,
    "tab_gap": _tab_gap,
    "hardware_width": _hardware_width,
    MISTAKE: _bushing_bore,
    **eyelet_places.DRAWN,
}
