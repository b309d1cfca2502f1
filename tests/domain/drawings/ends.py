"""Ends to draw, with sizes that are easily checked by hand."""

from __future__ import annotations

from decimal import Decimal

from boltspan.domain.fitsheet.built import BuiltEnd, Eyelet, Range, Tabs
from boltspan.domain.fitsheet.kits import KitStyle, make_kit, usual_sleeve_outer

mm = Decimal
"""Lengths in mm, exact."""
EYELET = Eyelet(bore_mm=mm(15), width_mm=mm(22), outer_mm=mm(26))


def built(
    bolt: str = "8",
    width: str = "30",
    *,
    mount: str = "hardware",
    eyelet: Eyelet = EYELET,
    style: KitStyle | None = None,
    tabs: Tabs | None = None,
    clearance: Range | None = None,
) -> BuiltEnd:
    """Return an end with one kit (none unless the mount is hardware), its usual sleeve, and spacers that fill it up."""
    style = style or KitStyle()
    kit = None
    if mount == "hardware":
        sizes = {"eyelet_bore_mm": eyelet.bore_mm, "eyelet_width_mm": eyelet.width_mm}
        kit = make_kit(mm(bolt), mm(width), style, **sizes)
    sleeve = usual_sleeve_outer(eyelet.bore_mm, style)
    return BuiltEnd(
        end="upper",
        mount=mount,
        shock_end="body",
        bolt_mm=mm(bolt),
        width_mm=mm(width),
        eyelet=eyelet,
        kit=kit,
        bushing_outer_mm=eyelet.bore_mm,
        bushing_inner_mm=sleeve,
        sleeve_outer_mm=sleeve,
        sleeve_length_mm=mm(width),
        spacer_mm=None if eyelet.width_mm is None else (mm(width) - eyelet.width_mm) / 2,
        tabs=tabs,
        clearance_mm=clearance,
        clearance_is=None if clearance is None else "read",
    )


WITH_WASHERS = KitStyle("polymer", "one_piece", "in_spacers", "spacer_and_crush_washer")
OPEN = Tabs(mm("22.3"), "read")
FULL = built(tabs=Tabs(mm("30.2"), "read", mm(6)), clearance=(mm("0.1"), mm("0.3")))
"""30 between tabs 30.2 apart, each 6 thick: eyelet 22, so 4 a side."""
CASES = {
    "full": FULL,
    "long": built(width="54", tabs=Tabs(mm(54), "nominal")),
    "crush_washer": built("10", "22.225", eyelet=Eyelet(mm(15), mm(20)), style=WITH_WASHERS),
    "two_piece": built("6", "40", eyelet=Eyelet(mm("12.7"), mm("12.7"), mm(22)), style=KitStyle("metal", "two_piece")),
    "eyelet_not_known": built(width="24", eyelet=Eyelet()),
    "sleeve_as_wide_as_the_eyelet": built(width="22"),
    "bearing": built(width="20", mount="bearing", eyelet=Eyelet(mm(22), mm(20), mm(30))),
    "open_eyelet": built(width="22", mount="open_eyelet", eyelet=Eyelet(mm(8), mm(22), mm(20)), tabs=OPEN),
}
