"""From a verdict to what will sit in the end: its kit, and the whole as a drawing needs it."""

from __future__ import annotations

from decimal import Decimal

from boltspan.domain.assumptions import TAB_GAP_OVER_MM
from boltspan.domain.fitsheet.built import BuiltEnd, Eyelet, Range, Tabs
from boltspan.domain.fitsheet.facts import OldPart, OwnReadings
from boltspan.domain.fitsheet.kits import Kit, KitPart, KitStyle, make_kit
from boltspan.domain.fitsheet.needs import Need
from boltspan.domain.fitsheet.verdicts import EndCase
from boltspan.domain.lengths import same_size
from boltspan.domain.shock_values import ShockEnd


def kit_of(case: EndCase, style: KitStyle, width: Decimal | None, own: OldPart | None) -> Kit | None:
    """Return the kit; ``own`` is the hardware that is moved or kept, whose sleeve counts as it was measured."""
    need, eyelet = case.need, case.shock_end
    if width is None or need.bolt_mm is None or eyelet is None:
        return None
    across = eyelet.eyelet_width_mm
    if across is not None and across > width:  # within a same size's tolerance: a sleeve as wide as the eyelet
        across = width
    if case.onto_bearing:
        side = None if across is None else (width - across) / 2
        parts = () if side == 0 else (KitPart("spacer", 2, inner_mm=need.bolt_mm, length_mm=side,
                                              notes=("for_bearing_eyelet",)),)  # fmt: skip
        return Kit(style, need.bolt_mm, width, parts, eyelet.eyelet_bore_mm, across)
    sleeve = None if own is None else own.sleeve_outer_mm
    return make_kit(need.bolt_mm, width, style, eyelet_bore_mm=eyelet.eyelet_bore_mm, eyelet_width_mm=across,
                    sleeve_outer_mm=sleeve)  # fmt: skip


def build_end(
    case: EndCase,
    end: str,
    shock_end: str | None,
    kit: Kit | None,
    width: Decimal | None,
    readings: OwnReadings | None,
) -> BuiltEnd:
    """Return the end as it will sit, built up from the bolt outward; the shock goes into it.

    ``width`` is the hardware's, None where there is none; ``readings`` are the asker's own of this end.
    """
    need, ring = case.need, case.shock_end or ShockEnd()
    assert need.mount is not None, "an end that the shock goes into has a mount"
    eyelet = Eyelet(ring.eyelet_bore_mm, ring.eyelet_width_mm, ring.eyelet_outer_mm)
    thickness = None if readings is None else readings.tab_thickness_mm
    tabs = None
    if need.gap is not None:
        tabs = Tabs(need.gap.mean_mm, "read", thickness)
    elif need.width_mm is not None:
        tabs = Tabs(need.width_mm, "nominal", thickness)
    clearance, clearance_is = _clearance(need, width)
    bushing = None if kit is None else kit.part("bushing")
    sleeve = None if kit is None else kit.part("sleeve") or kit.part("sleeve_half")
    return BuiltEnd(
        end=end,
        mount=need.mount,
        shock_end=shock_end,
        bolt_mm=need.bolt_mm,
        width_mm=width,
        eyelet=eyelet,
        kit=kit,
        bushing_outer_mm=None if bushing is None else bushing.outer_mm,
        bushing_inner_mm=None if bushing is None else bushing.inner_mm,
        sleeve_outer_mm=None if sleeve is None else sleeve.outer_mm,
        sleeve_length_mm=None if sleeve is None else width if sleeve.part == "sleeve_half" else sleeve.length_mm,
        spacer_mm=None if kit is None or kit.eyelet_width_mm is None else (kit.width_mm - kit.eyelet_width_mm) / 2,
        tabs=tabs,
        clearance_mm=clearance,
        clearance_is=clearance_is,
    )


def _clearance(need: Need, width: Decimal | None) -> tuple[Range | None, str | None]:
    if width is None:
        return None, None
    if need.gap is not None:
        middle, unsure = need.gap.mean_mm - width, need.gap.uncertainty_mm
        return (middle - unsure, middle + unsure), "read"
    if need.width_mm is None:
        return None, None
    under = Decimal(0) if same_size(need.width_mm, width) else need.width_mm - width
    return (under, under + TAB_GAP_OVER_MM), "assumed"
