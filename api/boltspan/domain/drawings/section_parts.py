"""The parts of a cross-section, each cut along the bolt's axis. Places are in mm from the middle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.drawings.scale import Scale
from boltspan.domain.drawings.section_sizes import SectionSizes, has_bearing
from boltspan.domain.drawings.shapes import axis, box, circle, hatched, hatching, line, outline, stroke
from boltspan.domain.drawings.svg import Coordinate, Node, group
from boltspan.domain.fitsheet.built import BuiltEnd

BEYOND: Final = Decimal(5)
"""How much of the bolt is shown beyond each tab, in mm."""
TAB_OVER: Final = Decimal(3)
O_RING_THICK: Final = Decimal("1.4")
WASHER: Final = Decimal("0.8")
"""By eye: what nobody states and what only has to look like itself."""
BY_EYE: Final = "5 3"
HATCHES: Final = {
    "tab": (7.0, "right"),
    "spacer": (4.5, "left"),
    "eyelet": (8.5, "right"),
    "metal": (2.8, "left"),
    "polymer": (5.0, "both"),
    "sleeve": (4.5, "right"),
    "other_half": (4.5, "left"),
}
"""Spacing and lean of each kind of part, so that neighbours differ also in black and white."""


@dataclass(frozen=True, slots=True)
class Part:
    """What a balloon points at: the part's name, its drawing, and a place on it."""

    name: str
    drawn: Node
    dot: tuple[Coordinate, Coordinate]


@dataclass(frozen=True, slots=True)
class _Tube:
    """A tube around the bolt's axis: where it begins and ends along it, its inside and outside diameter, in mm."""

    start: Decimal
    end: Decimal
    inner: Decimal
    outer: Decimal

    def walls(self, scale: Scale, hatch: str, *, by_eye: bool = False) -> Node:
        """Return both walls as cut faces."""
        spacing, leans = HATCHES[hatch]
        edge: dict[str, str | Coordinate] = {"stroke_dasharray": BY_EYE} if by_eye else {}
        long, wall = scale.long(self.end - self.start), scale.long((self.outer - self.inner) / 2)
        tops = (scale.y(self.outer / 2), scale.y(-self.inner / 2))
        return group(*(hatched(scale.x(self.start), y, long, wall, spacing=spacing, leans=leans, **edge) for y in tops))

    def dot(self, scale: Scale, share: str = "0.5") -> tuple[Coordinate, Coordinate]:
        """Return a place in the upper wall, ``share`` of the way along."""
        return scale.x(self.start + (self.end - self.start) * Decimal(share)), scale.y((self.inner + self.outer) / 4)


def reach(sizes: SectionSizes) -> tuple[Decimal, Decimal]:
    """Return how long and how high the whole drawing is, in mm."""
    return sizes.gap + 2 * (sizes.tab + BEYOND), max(sizes.outer, sizes.spacer_outer + 2 * TAB_OVER)


def parts(end: BuiltEnd, sizes: SectionSizes, scale: Scale) -> Iterator[Part]:
    """Yield the parts from the left tab inwards, in the order of their balloons."""
    yield _tabs(sizes, scale)
    if end.kit is not None and sizes.side > 0:
        yield from _sides(end, sizes, scale)
    yield _eyelet(sizes, scale)
    if has_bearing(end):
        yield _bearing(sizes, scale)
    elif end.kit is not None:
        yield _bushing(end, sizes, scale)
        yield _sleeve(end, sizes, scale)
    yield _bolt(sizes, scale)


def _tabs(sizes: SectionSizes, scale: Scale) -> Part:
    half, high = sizes.gap / 2, reach(sizes)[1]
    left, right = (_Tube(start, start + sizes.tab, sizes.bolt, high) for start in (-half - sizes.tab, half))
    drawn = group(*(tab.walls(scale, "tab", by_eye="tab" in sizes.by_eye) for tab in (left, right)))
    bolt = sizes.bolt / 2  # the inner faces are where the opening says, also where the tabs' thickness is by eye
    inner = [
        line(scale.x(x), scale.y(up * high / 2), scale.x(x), scale.y(up * bolt))
        for x in (-half, half)
        for up in (-1, 1)
    ]
    return Part("tab", group(drawn, *inner), left.dot(scale))


def _sides(end: BuiltEnd, sizes: SectionSizes, scale: Scale) -> Iterator[Part]:
    """Yield what stands beside the eyelet: crush washers, spacers and O-rings. A sleeve in two halves has its own."""
    kit, half, face = end.kit, sizes.width / 2, sizes.eyelet_width / 2
    if kit is None:
        return
    by_eye = "eyelet_width" in sizes.by_eye
    if kit.part("spacer") is not None:
        washer = min(WASHER, sizes.side / 2) if kit.part("crush_washer") is not None else Decimal(0)
        if washer:
            yield _washers(sizes, scale, washer)
        tubes = [
            _Tube(start, start + sizes.side - washer, sizes.sleeve, sizes.spacer_outer)
            for start in (-half + washer, face)
        ]
        drawn = group(*(tube.walls(scale, "spacer", by_eye=by_eye) for tube in tubes))
        yield Part("spacer", drawn, tubes[0].dot(scale, "0.4"))
    if not has_bearing(end):
        yield _o_rings(sizes, scale, min(O_RING_THICK, sizes.side), face)


def _washers(sizes: SectionSizes, scale: Scale, thick: Decimal) -> Part:
    """Return the washers: plates whose raised middle looks outward, to the tab."""
    half, low, high = sizes.width / 2, sizes.sleeve / 2, sizes.spacer_outer / 2
    raised, shapes = low + (high - low) / 2, []
    for side in (-1, 1):
        for up in (-1, 1):
            points = [(half - thick, low), (half, low), (half, raised), (half - thick / 2, high), (half - thick, high)]
            places = [(scale.x(side * x), scale.y(up * y)) for x, y in points]
            shapes.append(outline(places, fill="currentColor"))
    return Part("crush_washer", group(*shapes), (scale.x(-half + thick / 2), scale.y(raised)))


def _o_rings(sizes: SectionSizes, scale: Scale, thick: Decimal, face: Decimal) -> Part:
    """Return the O-rings in black, as thin cuts are drawn, on the sleeve where the spacer meets the eyelet."""
    radius = scale.long(thick / 2)
    across = (sizes.sleeve + thick) / 2
    places = [(scale.x(x), scale.y(y)) for x in (-face - thick / 2, face + thick / 2) for y in (across, -across)]
    return Part("o_ring", group(*(circle(*place, radius, fill="currentColor") for place in places)), places[0])


def _eyelet(sizes: SectionSizes, scale: Scale) -> Part:
    face = sizes.eyelet_width / 2
    ring = _Tube(-face, face, sizes.bore, sizes.outer)
    drawn = ring.walls(scale, "eyelet", by_eye=bool(sizes.by_eye & {"eyelet_width", "outer", "bore"}))
    return Part("eyelet", drawn, ring.dot(scale, "0.2"))


def _bushing(end: BuiltEnd, sizes: SectionSizes, scale: Scale) -> Part:
    face = sizes.eyelet_width / 2
    polymer = end.kit is not None and end.kit.style.bushing == "polymer"
    ring = _Tube(-face, face, sizes.sleeve, sizes.bore)
    drawn = ring.walls(scale, "polymer" if polymer else "metal", by_eye=bool(sizes.by_eye & {"sleeve", "bore"}))
    return Part("bushing", drawn, ring.dot(scale, "0.42"))


def _sleeve(end: BuiltEnd, sizes: SectionSizes, scale: Scale) -> Part:
    half, by_eye = sizes.width / 2, "sleeve" in sizes.by_eye
    if end.kit is not None and end.kit.style.sleeve == "two_piece":
        return _sleeve_halves(sizes, scale, by_eye=by_eye)
    tube = _Tube(-half, half, sizes.bolt, sizes.sleeve)
    dot = _Tube(-sizes.eyelet_width / 2, sizes.eyelet_width / 2, sizes.bolt, sizes.sleeve).dot(scale, "0.64")
    return Part("sleeve", tube.walls(scale, "sleeve", by_eye=by_eye), dot)


def _sleeve_halves(sizes: SectionSizes, scale: Scale, *, by_eye: bool) -> Part:
    """Return two halves that meet in the middle, each with its spacer as a shoulder outside the eyelet."""
    half, face, zero = sizes.width / 2, sizes.eyelet_width / 2, Decimal(0)
    edge: dict[str, str | Coordinate] = {"stroke_dasharray": BY_EYE} if by_eye else {}
    drawn = []
    for side, hatch in ((-1, "sleeve"), (1, "other_half")):
        for up in (-1, 1):
            profile = [
                (zero, sizes.bolt), (half, sizes.bolt), (half, sizes.spacer_outer), (face, sizes.spacer_outer),
                (face, sizes.sleeve), (zero, sizes.sleeve),
            ]  # fmt: skip
            drawn.append(outline([(scale.x(side * x), scale.y(up * d / 2)) for x, d in profile], **edge))
            for start, stop, outer in ((zero, face, sizes.sleeve), (face, half, sizes.spacer_outer)):
                drawn.append(
                    _fill(
                        scale, hatch, sorted((side * start, side * stop)), sorted((up * sizes.bolt / 2, up * outer / 2))
                    )
                )
    whole = _Tube(-face, face, sizes.bolt, sizes.sleeve)
    return Part("sleeve_half", group(*drawn), whole.dot(scale, "0.64"))


def _fill(scale: Scale, hatch: str, along: list[Decimal], across: list[Decimal]) -> Node:
    spacing, leans = HATCHES[hatch]
    width, height = scale.long(along[1] - along[0]), scale.long(across[1] - across[0])
    return hatching(scale.x(along[0]), scale.y(across[1]), width, height, spacing=spacing, leans=leans)


def _bearing(sizes: SectionSizes, scale: Scale) -> Part:
    """Return the bearing as a box with an upright cross in it (ISO 8826-1, simplified representation)."""
    face = sizes.eyelet_width / 2
    x, long, wall = scale.x(-face), scale.long(sizes.eyelet_width), scale.long((sizes.bore - sizes.bolt) / 2)
    drawn = []
    for top in (scale.y(sizes.bore / 2), scale.y(-sizes.bolt / 2)):
        middle, across = x + long / 2, top + wall / 2
        drawn += [
            box(x, top, long, wall),
            line(middle - wall / 3, across, middle + wall / 3, across),
            line(middle, across - wall / 3, middle, across + wall / 3),
        ]
    return Part("bearing", group(*drawn), (scale.x(face / 2), scale.y((sizes.bore + sizes.bolt) / 4)))


def _bolt(sizes: SectionSizes, scale: Scale) -> Part:
    """Return the bolt uncut, as bolts are drawn (ISO 128-3), broken off at both sides."""
    end, radius = sizes.gap / 2 + sizes.tab + BEYOND, sizes.bolt / 2
    left, right, top, bottom = scale.x(-end), scale.x(end), scale.y(radius), scale.y(-radius)
    drawn = group(
        line(left, top, right, top),
        line(left, bottom, right, bottom),
        _break(left, top, bottom),
        _break(right, top, bottom),
        axis(left - 8, scale.y0, right + 8, scale.y0),
    )
    return Part("bolt", drawn, (scale.x(sizes.eyelet_width * Decimal("0.36")), scale.y(radius / 2)))


def _break(x: Coordinate, top: Coordinate, bottom: Coordinate) -> Node:
    """Return a zigzag: here the part goes on (ISO 128-2, line type 02)."""
    quarter = (bottom - top) / 4
    return stroke([(x, top), (x + 3, top + quarter), (x - 3, top + 3 * quarter), (x, bottom)], stroke_width=1)
