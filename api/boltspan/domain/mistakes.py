"""Usual mistakes with a caliper, named from a reading that fits no size.

Each rule is common practice without a published source; the order is that of their cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.assumptions import ROOT_TOLERANCE_MM
from boltspan.domain.features import BOLT_FEATURES, Interval, true_interval
from boltspan.domain.lengths import INCH_MM
from boltspan.domain.standards.threads import COARSE, CrestRow, root_mm

ADVICE: Final = {
    "measured_bushing_or_eyelet_bore": "This is the bore of a bushing or an eyelet. Take the pin out of it and measure "
    "the pin's own bore, or the bolt.",
    "width_equals_eyelet_spacers_missing": "This is the width of the eyelet: the spacers were off. Put both spacers on "
    "and measure over their outsides, or measure between the frame's tabs.",
    "measured_outside_of_tabs": "This is the width over the outsides of the tabs. Measure the opening between them.",
    "measured_thread_root": "This is the bottom of a thread. Measure over the crests with the flat of the jaws, or the "
    "plain part of the bolt. A size read at the root is never a bolt's size.",
    "measured_sleeve_bore": "This is the bore of the pin, as wide as a bolt. For the eyelet's own bore take pin and "
    "bushing out. If the bolt runs straight through the eyelet, say that it is an open eyelet.",
    "measured_bushing_bore": "This is the bushing's bore, not the eyelet's: the bushing was still in. Take it out and "
    "measure the bare eyelet, or look its bore up on the maker's page.",
    "measured_over_spacers": "This is wider than the eyelet is said to be: the spacers were still on. Take them off "
    "and measure the eyelet over its own faces.",
    "wrong_unit": "The number fits when inches and millimetres are exchanged. Set the instrument to millimetres and "
    "measure again.",
}
ROOT_FEATURES: Final = ("thread_crest", "shank")
BOLTS_MM: Final = (Decimal(6), Decimal(8), Decimal(10))
_ROOTS_OF: Final = ("M6", "M8", "M10")


@dataclass(frozen=True, slots=True)
class Mistake:
    """A mistake's code and what to do about it."""

    code: str
    advice: str


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known around a reading: the intervals of the sizes in question and the parts beside it, in mm."""

    feature: str
    intervals_mm: Sequence[Interval]
    eyelet_bores_mm: Sequence[Decimal]
    eyelet_width_mm: Decimal | None
    tab_thickness_mm: Decimal | None
    tolerance_mm: Decimal


def name_mistake(reading_mm: Decimal, around: Circumstances) -> Mistake | None:
    """Return the first usual mistake that explains ``reading_mm``, or None.

    The caller asks only when no size explains it. Bounds count as inside. Nothing known around it: only a thread's
    root can be named.
    """
    code = _code(reading_mm, around)
    return None if code is None else Mistake(code, ADVICE[code])


def roots_near(reading_mm: Decimal, feature: str) -> tuple[CrestRow, ...]:
    """Return the coarse threads M6, M8, M10 whose root lies within 0.15 mm of a crest or shank reading."""
    if feature not in ROOT_FEATURES:
        return ()
    return tuple(
        row for row in COARSE if row.thread in _ROOTS_OF and abs(reading_mm - root_mm(row)) <= ROOT_TOLERANCE_MM
    )


def _code(reading_mm: Decimal, around: Circumstances) -> str | None:
    feature, tolerance = around.feature, around.tolerance_mm
    if feature in BOLT_FEATURES and any(abs(reading_mm - bore) <= tolerance for bore in around.eyelet_bores_mm):
        return "measured_bushing_or_eyelet_bore"
    if feature == "eyelet_bore" and any(_reads_as_pin(reading_mm, bolt, tolerance) for bolt in BOLTS_MM):
        return "measured_sleeve_bore"
    eyelet = around.eyelet_width_mm
    if feature == "hardware_width" and eyelet is not None and abs(reading_mm - eyelet) <= tolerance:
        return "width_equals_eyelet_spacers_missing"
    tab = around.tab_thickness_mm
    if feature == "tab_gap" and tab is not None and _explained(reading_mm - 2 * tab, around):
        return "measured_outside_of_tabs"
    if roots_near(reading_mm, feature):
        return "measured_thread_root"
    if _explained(reading_mm * INCH_MM, around) or _explained(reading_mm / INCH_MM, around):
        return "wrong_unit"
    return None


def _reads_as_pin(reading_mm: Decimal, bolt_mm: Decimal, tolerance_mm: Decimal) -> bool:
    lo, hi = true_interval("sleeve_bore", bolt_mm)
    return lo - tolerance_mm <= reading_mm <= hi + tolerance_mm


def _explained(value_mm: Decimal, around: Circumstances) -> bool:
    wider = around.tolerance_mm
    return any(lo - wider <= value_mm <= hi + wider for lo, hi in around.intervals_mm)
