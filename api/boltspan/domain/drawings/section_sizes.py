"""The sizes a cross-section is drawn with: what is known, and by eye what is not, with a list of which is which."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.fitsheet.built import BuiltEnd

# How large a part is drawn whose size is not known, in mm: so that it looks like what it is, and no more.
BORE_OVER_BOLT: Final = Decimal(7)
OUTER_OVER_BORE: Final = Decimal(8)
SPACER_OVER_BORE: Final = Decimal(3)
TAB: Final = Decimal(6)
EYELET_SHARE: Final = Decimal("0.7")
SLEEVE_SHARE: Final = Decimal("0.6")


@dataclass(frozen=True, slots=True)
class SectionSizes:
    """Every size in mm, diameters and lengths; ``by_eye`` names those that nobody gave and that are only drawn so."""

    bolt: Decimal
    width: Decimal
    gap: Decimal
    tab: Decimal
    eyelet_width: Decimal
    bore: Decimal
    outer: Decimal
    sleeve: Decimal
    spacer_outer: Decimal
    by_eye: frozenset[str]

    @property
    def side(self) -> Decimal:
        """Length of the hardware beside the eyelet, on each side."""
        return (self.width - self.eyelet_width) / 2


def sizes_of(end: BuiltEnd) -> SectionSizes | None:
    """Return what ``end`` is drawn with; None where there is nothing to draw to scale.

    That is so for a mount without a bolt through an eyelet (trunnion, a maker's own part), and as long as the bolt or
    every length along it is not known.
    """
    width = _width(end)
    if end.bolt_mm is None or width is None or end.mount not in ("hardware", "bearing", "open_eyelet"):
        return None
    bolt, eyelet, tabs, guessed = end.bolt_mm, end.eyelet, end.tabs, set[str]()
    if end.sleeve_length_mm is None and end.kit is not None and end.kit.part("crush_washer") is not None:
        guessed.add("sleeve_length")

    def known(name: str, given: Decimal | None, by_eye: Decimal) -> Decimal:
        if given is None:
            guessed.add(name)
            return by_eye
        return given

    bare, rolls = end.mount == "open_eyelet", has_bearing(end)
    eyelet_width = known("eyelet_width", _eyelet_width(end, width), width if bare else width * EYELET_SHARE)
    bore = known("bore", eyelet.bore_mm, bolt if bare else bolt + BORE_OVER_BOLT)
    sleeve = bolt + (bore - bolt) * SLEEVE_SHARE
    outer = known("outer", eyelet.outer_mm, bore + OUTER_OVER_BORE)
    return SectionSizes(
        bolt=bolt,
        width=width,
        gap=known("gap", tabs.gap_mm if tabs else None, width),
        tab=known("tab", tabs.thickness_mm if tabs else None, TAB),
        eyelet_width=eyelet_width,
        bore=bore,
        outer=outer,
        sleeve=bolt if bare or rolls else known("sleeve", end.sleeve_outer_mm or end.bushing_inner_mm, sleeve),
        spacer_outer=min(bore + SPACER_OVER_BORE, outer),
        by_eye=frozenset(guessed),
    )


def has_bearing(end: BuiltEnd) -> bool:
    """Return whether a bearing sits in the eyelet, so that there is neither bushing nor sleeve."""
    return end.mount == "bearing" or (end.kit is not None and end.kit.part("bushing") is None)


def _width(end: BuiltEnd) -> Decimal | None:
    """Return the length that stands between the tabs."""
    if end.mount == "open_eyelet":
        return end.eyelet.width_mm or end.width_mm
    return end.width_mm


def _eyelet_width(end: BuiltEnd, width: Decimal) -> Decimal | None:
    if end.eyelet.width_mm is not None or end.spacer_mm is None:
        return end.eyelet.width_mm
    return width - 2 * end.spacer_mm
