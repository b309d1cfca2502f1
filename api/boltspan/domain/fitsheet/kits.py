"""What one kit of mounting hardware is made of: which parts, how many, and their dimensions.

Styles and counts are common practice, no source. A dimension that the facts do not give is None, never a guess.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.assumptions import BUSHING_INNER_MM, EYELET_BORE_TOLERANCE_MM

BUSHINGS: Final = {
    "metal": "A thin metal bushing with a sliding layer, pressed into the eyelet with tools.",
    "polymer": "A bushing of plastic, mostly in two flanged halves, put in and taken out by hand.",
}
SLEEVES: Final = {
    "one_piece": "One sleeve from tab to tab, with a spacer pushed on at each side.",
    "two_piece": "The old style: two halves that meet in the middle of the eyelet and come apart by hand. Each half is "
    "spacer and sleeve in one.",
}
O_RINGS: Final = {
    "loose": "An O-ring a side lies between eyelet and spacer.",
    "in_spacers": "The O-rings are built into the spacers.",
}
SIDES: Final = {
    "spacer": "One spacer a side.",
    "spacer_and_crush_washer": "A spacer and a crush washer a side; the washer's raised side looks outward, to the "
    "tab.",
}
PARTS: Final = {
    "bushing": "Pressed into the eyelet.",
    "sleeve": "Slides in the bushing; the frame's bolt goes through.",
    "sleeve_half": "Half a sleeve with its spacer in one piece; the two meet inside the eyelet.",
    "o_ring": "Keeps dirt out between eyelet and spacer.",
    "spacer": "Fills the room between eyelet and tab.",
    "crush_washer": "Between spacer and tab, its raised side outward.",
}
PART_NOTES: Final = {
    "pressed_in": "Its outside is the eyelet's bore; the press is its maker's affair.",
    "two_flanged_halves": "Two halves, one from each side, each with its flange outward.",
    "with_flange": "The length is that of spacer and bushing flange together.",
    "may_end_at_washers": "Whether it goes through the crush washers or ends at them differs from maker to maker: "
    "measure it.",
    "o_ring_built_in": "Has its O-ring built in; there is no loose one.",
    "with_crush_washer": "The length is that of spacer and crush washer together.",
    "raised_side_outward": "The raised side looks outward, to the tab.",
    "for_bearing_eyelet": "For the bearing that is in the eyelet; there is no bushing. The length counts from the "
    "eyelet's face: it is less where the bearing's inner rings stand out.",
    "with_its_half_of_the_sleeve": "The length is from the tab to the middle of the eyelet.",
}


@dataclass(frozen=True, slots=True)
class KitStyle:
    """How a kit is made; each word is a key of BUSHINGS, SLEEVES, O_RINGS and SIDES."""

    bushing: str = "metal"
    sleeve: str = "one_piece"
    o_rings: str = "loose"
    sides: str = "spacer"


@dataclass(frozen=True, slots=True)
class KitPart:
    """One kind of part: how many of it, and its outside, inside and length in mm where they follow from the facts.

    ``notes`` are codes of PART_NOTES.
    """

    part: str
    count: int
    outer_mm: Decimal | None = None
    inner_mm: Decimal | None = None
    length_mm: Decimal | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kit:
    """One end's kit: its size by name, the eyelet it is for (mm, None where not known), and its parts."""

    style: KitStyle
    bolt_mm: Decimal
    width_mm: Decimal
    parts: tuple[KitPart, ...]
    eyelet_bore_mm: Decimal | None = None
    eyelet_width_mm: Decimal | None = None

    def part(self, name: str) -> KitPart | None:
        """Return the part of that name, or None when the kit has none."""
        return next((each for each in self.parts if each.part == name), None)


def make_kit(
    bolt_mm: Decimal,
    width_mm: Decimal,
    style: KitStyle,
    *,
    eyelet_bore_mm: Decimal | None = None,
    eyelet_width_mm: Decimal | None = None,
    sleeve_outer_mm: Decimal | None = None,
) -> Kit:
    """Return one kit of the size ``bolt_mm`` by ``width_mm`` for an eyelet, with the dimensions that follow.

    The spacers fill (width - eyelet width) / 2 a side; a sleeve as wide as the eyelet has neither spacers nor O-rings.
    ``sleeve_outer_mm`` as measured goes before the usual size for the eyelet's bore. The width is at least the
    eyelet's, which the caller has checked.
    """
    outer = sleeve_outer_mm or usual_sleeve_outer(eyelet_bore_mm, style)
    if outer is not None and outer <= bolt_mm:  # the usual sleeve has no wall around such a bolt
        outer = None
    side = None if eyelet_width_mm is None else (width_mm - eyelet_width_mm) / 2
    parts = [_bushing(style, eyelet_bore_mm, outer, eyelet_width_mm), *_sleeve(style, bolt_mm, width_mm, outer)]
    if side is None or side > 0:
        if style.o_rings == "loose":
            parts.append(KitPart("o_ring", 2, inner_mm=outer))
        if style.sleeve == "one_piece":
            parts += _sides(style, outer, side)
    return Kit(style, bolt_mm, width_mm, tuple(parts), eyelet_bore_mm, eyelet_width_mm)


def usual_sleeve_outer(eyelet_bore_mm: Decimal | None, style: KitStyle) -> Decimal | None:
    """Return the outside of the sleeve that a metal bushing in this bore takes; None where no usual one is known."""
    if eyelet_bore_mm is None or style.bushing != "metal":
        return None
    near = [(abs(bore - eyelet_bore_mm), inner) for bore, inner in BUSHING_INNER_MM]
    away, inner = min(near)
    return inner if away <= EYELET_BORE_TOLERANCE_MM else None


def _bushing(style: KitStyle, bore: Decimal | None, inner: Decimal | None, length: Decimal | None) -> KitPart:
    if style.bushing == "polymer":
        return KitPart("bushing", 2, bore, inner, notes=("two_flanged_halves",))
    return KitPart("bushing", 1, bore, inner, length, ("pressed_in",))


def _sleeve(style: KitStyle, bolt: Decimal, width: Decimal, outer: Decimal | None) -> list[KitPart]:
    if style.sleeve == "one_piece":
        if style.sides == "spacer_and_crush_washer":
            return [KitPart("sleeve", 1, outer, bolt, notes=("may_end_at_washers",))]
        return [KitPart("sleeve", 1, outer, bolt, width)]
    notes = ("with_its_half_of_the_sleeve", *(("o_ring_built_in",) if style.o_rings == "in_spacers" else ()))
    return [KitPart("sleeve_half", 2, outer, bolt, width / 2, notes)]


def _sides(style: KitStyle, inner: Decimal | None, side: Decimal | None) -> list[KitPart]:
    washers = style.sides == "spacer_and_crush_washer"
    notes = (
        *(("o_ring_built_in",) if style.o_rings == "in_spacers" else ()),
        *(("with_crush_washer",) if washers else ()),
        *(("with_flange",) if style.bushing == "polymer" else ()),
    )
    spacers = KitPart("spacer", 2, inner_mm=inner, length_mm=side, notes=notes)
    return [spacers, KitPart("crush_washer", 2, notes=("raised_side_outward",))] if washers else [spacers]
