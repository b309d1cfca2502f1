"""What can be measured at a mount, and in which interval its true value lies for a nominal size."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import (
    EYELET_BORE_GRADE,
    EYELET_OUTER_WITHIN_MM,
    EYELET_WIDTH_WITHIN_MM,
    HARDWARE_WIDTH_UNDER_MM,
    SLEEVE_BORE_OVER_MM,
    TAB_GAP_OVER_MM,
)
from boltspan.domain.instruments import Instrument
from boltspan.domain.lengths import same_size
from boltspan.domain.preconditions import require_length, require_one_of, require_within
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.standards.limits_and_fits import band, tolerance_um
from boltspan.domain.standards.threads import COARSE

BOLT_FEATURES: Final = ("thread_crest", "shank", "sleeve_bore")
WIDTH_FEATURES: Final = ("tab_gap", "hardware_width")
FEATURES: Final = BOLT_FEATURES + WIDTH_FEATURES
EYELET_FEATURES: Final = ("eyelet_bore", "eyelet_width", "eyelet_outer")
"""Of a bare eyelet: its bore with the bushing out, its width over the faces with the spacers off, its outside."""
FRAME_PARTS: Final[Mapping[str, tuple[str, ...]]] = {"bolt": BOLT_FEATURES, "width": WIDTH_FEATURES}
"""What readings at a frame can be of, and the features of each part."""
EYELET_PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    part: (feature,) for part, feature in zip(("bore", "width", "outer"), EYELET_FEATURES, strict=True)
}
"""The same at the end of a shock."""
_INSIDE: Final = ("sleeve_bore", "tab_gap", "eyelet_bore")
_ASSUMED: Final = {
    "sleeve_bore": Assumed("sleeve_bore_over_mm", SLEEVE_BORE_OVER_MM),
    "tab_gap": Assumed("tab_gap_over_mm", TAB_GAP_OVER_MM),
    "hardware_width": Assumed("hardware_width_under_mm", HARDWARE_WIDTH_UNDER_MM),
    "eyelet_bore": Assumed("eyelet_bore_grade", EYELET_BORE_GRADE),
    "eyelet_width": Assumed("eyelet_width_within_mm", EYELET_WIDTH_WITHIN_MM),
    "eyelet_outer": Assumed("eyelet_outer_within_mm", EYELET_OUTER_WITHIN_MM),
}
# Inch widths that the trade also writes rounded to a tenth: 22.2 is 7/8 in, 28.6 is 1-1/8 in (common practice).
_ROUNDED_INCH_WIDTHS: Final = (Decimal("22.225"), Decimal("28.575"))

Interval = tuple[Decimal, Decimal]


def usual_side(feature: str) -> str:
    """Return the side of the instrument a feature is measured with: bores and gaps inside, all else outside."""
    return "inside" if feature in _INSIDE else "outside"


def assumed_of(feature: str) -> tuple[Assumed, ...]:
    """Return the parameters without a source in ``true_interval`` of ``feature``; none for a bolt's own limits."""
    return (_ASSUMED[feature],) if feature in _ASSUMED else ()


@lru_cache(maxsize=4096)
def true_interval(feature: str, nominal_mm: Decimal) -> Interval:
    """Return the lowest and the highest true value (mm) of ``feature`` on a part of size ``nominal_mm``.

    - thread_crest: the 6g limits (ISO 965-1) of the coarse thread, or 2A (ASME B1.1) of an inch bolt;
    - shank: d - IT13 to d (ISO 286, product grade A, h13);
    - sleeve_bore: d to d + 0.15, tab_gap: w to w + 0.5, hardware_width: w - 0.1 to w, all assumed. A width that has
      a rounded name (22.2 for 22.225) spans both, so that either spelling takes the reading;
    - eyelet_bore: d to d + IT8 (ISO 286, H8), eyelet_width: w - 0.1 to w + 0.1, eyelet_outer: 0.3 either way, all
      assumed.

    Raises BenchRefusal for an unknown feature, a size that is no length, or one that the tables do not hold.
    """
    require_one_of("feature", feature, FEATURES + EYELET_FEATURES)
    require_length("nominal_mm", nominal_mm)
    if feature in EYELET_FEATURES:
        return _eyelet(feature, nominal_mm)
    if feature == "thread_crest":
        return _crest(nominal_mm)
    if feature == "shank":
        return _shank(nominal_mm)
    if feature == "sleeve_bore":
        return nominal_mm, nominal_mm + SLEEVE_BORE_OVER_MM
    names = [nominal_mm, *(exact for exact in _ROUNDED_INCH_WIDTHS if same_size(exact, nominal_mm))]
    if feature == "tab_gap":
        return min(names), max(names) + TAB_GAP_OVER_MM
    return min(names) - HARDWARE_WIDTH_UNDER_MM, max(names)


def reading_interval(feature: str, nominal_mm: Decimal, instrument: Instrument | str, n: int = 1) -> Interval:
    """Return the lowest and the highest reading (mm) that agree with a part of size ``nominal_mm``.

    ``instrument`` may be the name of its kind, which then has its usual step and limits.
    The interval of true values is widened on both sides by the instrument's limit of error on the feature's usual
    side, which all readings share, and by half a step, which the mean of ``n`` readings (1 to 1,000) shares in
    1/sqrt(n) only, as each is rounded on its own. For a single reading of M8's crest with a digital caliper:
    7.760 - 0.02 - 0.005 to 7.972 + 0.02 + 0.005. Raises BenchRefusal as ``true_interval`` does, for a broken
    instrument and for ``n`` out of range.
    """
    if isinstance(instrument, str):
        instrument = Instrument.of_kind(instrument, longest_mm=nominal_mm)
    instrument.check()
    require_within("n", n, 1, 1000)
    lo, hi = true_interval(feature, nominal_mm)
    wider = instrument.limit_mm(usual_side(feature)) + instrument.resolution_mm / 2 / Decimal(n).sqrt()
    return lo - wider, hi + wider


def _crest(nominal_mm: Decimal) -> Interval:
    for row in COARSE:
        if same_size(row.nominal_mm, nominal_mm):
            return row.crest_min_mm, row.crest_max_mm
    names = ", ".join(row.thread for row in COARSE)
    raise BenchRefusal("interval_unknown", "nominal_mm", nominal_mm, f"a bolt of {names}, or an interval of its own")


def _shank(nominal_mm: Decimal) -> Interval:
    return nominal_mm - _tolerance_mm(13, nominal_mm), nominal_mm


def _eyelet(feature: str, nominal_mm: Decimal) -> Interval:
    if feature == "eyelet_bore":
        return nominal_mm, nominal_mm + _tolerance_mm(EYELET_BORE_GRADE, nominal_mm)
    within = EYELET_WIDTH_WITHIN_MM if feature == "eyelet_width" else EYELET_OUTER_WITHIN_MM
    return nominal_mm - within, nominal_mm + within


def _tolerance_mm(grade: int, nominal_mm: Decimal) -> Decimal:
    place = band(nominal_mm)
    if place is None:
        accepted = "over 3, at most 80 mm, or an interval of its own"
        raise BenchRefusal("interval_unknown", "nominal_mm", nominal_mm, accepted)
    return Decimal(tolerance_um(grade, place)) / 1000
