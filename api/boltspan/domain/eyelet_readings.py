"""What readings of a shock's bare eyelet come to, and the mistakes that show beside what others say of the same end.

A bore is held against the usual bores, as a bolt is. There is no list of usual widths and outsides: there the mean
itself is the size, to a tenth of a millimetre, when the instrument is good enough for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from boltspan.domain.assumptions import BUSHING_INNER_MM, MISTAKE_TOLERANCE_MM
from boltspan.domain.features import reading_interval, true_interval, usual_side
from boltspan.domain.instruments import Instrument
from boltspan.domain.lengths import INCH_MM, plain, same_size
from boltspan.domain.problems import Problems
from boltspan.domain.readings import nominal_from_readings
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.sources import Measurement
from boltspan.domain.uncertainty import expanded_mm, mean_and_spread
from boltspan.domain.value_sizes import EYELET_OUTER_RANGE, EYELET_WIDTH_RANGE

FIELD_OF: Final = {"bore": "eyelet_bore_mm", "width": "eyelet_width_mm", "outer": "eyelet_outer_mm"}
"""The field of a shock's end that readings of each part speak of."""
PART_OF_MISTAKE: Final = {"measured_bushing_bore": "bore", "measured_over_spacers": "width"}
"""The part whose readings each mistake of ``mistake_beside`` is of."""
_RANGES: Final = {"eyelet_width": EYELET_WIDTH_RANGE, "eyelet_outer": EYELET_OUTER_RANGE}
_TENTH: Final = Decimal("0.1")


def end_read(measured: Measurement) -> tuple[ShockEnd | None, str | None]:
    """Return what an end is by its readings alone, and the usual mistake they look like; None for what does not show.

    Readings tell no mount: an eyelet, an open one and one for a bearing look alike to a caliper.
    """
    sizes: dict[str, Any] = {}
    mistakes = []
    for part, feature, readings in measured.parts:
        size, mistake = size_read(feature, readings, measured.instrument, measured.resolution_mm)
        if size is not None:
            sizes[FIELD_OF[part]] = size
        mistakes += [mistake] if mistake is not None else []
    return ShockEnd(**sizes) if sizes else None, mistakes[0] if mistakes else None


@lru_cache(maxsize=4096)  # a claim is read again whenever its shock is asked for
def size_read(
    feature: str, readings: tuple[Decimal, ...], instrument: str, resolution_mm: Decimal
) -> tuple[Decimal | None, str | None]:
    """Return the size (mm) that readings of an eyelet's ``feature`` come to, and a mistake's code.

    A width or outside is None when twice its standard uncertainty is over what such a part may be off its size
    (``features.true_interval``), as with a rule, or when no eyelet is that large.
    """
    if feature == "eyelet_bore":
        answer = nominal_from_readings(readings, feature, instrument, resolution_mm=resolution_mm)
        return answer.choice_mm, answer.mistake.code if answer.mistake is not None else None
    mean, _ = mean_and_spread(readings)
    lo, hi = _RANGES[feature]
    if not lo < mean <= hi:
        return None, "wrong_unit" if lo < mean * INCH_MM <= hi else None
    lowest, highest = true_interval(feature, mean)
    tool = Instrument.of_kind(instrument, resolution_mm, mean)
    if expanded_mm(readings, tool, usual_side(feature)) > (highest - lowest) / 2:
        return None, None
    return mean.quantize(_TENTH).normalize() + 0, None


def check_eyelet(measured: Measurement, value: object, pointer: str, problems: Problems) -> None:
    """Add to ``problems`` what cannot be: an eyelet's readings of a trunnion, an outside no larger than the bore."""
    if isinstance(value, ShockEnd) and value.mount == "trunnion":
        detail, accepted = "a trunnion has no eyelet to measure", "another mount, or another kind of source"
        problems.add(f"{pointer}/value/mount", "no_eyelet_here", detail, "trunnion", accepted)
    bore, outer = measured.bore_readings_mm, measured.outer_readings_mm
    if bore and outer and max(outer) <= min(bore):
        detail = "the eyelet's outside reads no larger than its bore"
        accepted = f"over {plain(min(bore))}"
        problems.add(f"{pointer}/source/readings_mm/outer", "outer_within_bore", detail, plain(max(outer)), accepted)


def reads_as(measured: Measurement, end: ShockEnd) -> bool:
    """Return whether the readings can be of ``end``: none but a trunnion, which has no eyelet, is ruled out by kind.

    Each mean must lie in the interval that the size's limits and the instrument's span; what ``end`` does not state is
    no difference.
    """
    if end.mount == "trunnion":
        return False
    for part, feature, readings in measured.parts:
        nominal = getattr(end, FIELD_OF[part])
        if nominal is None:
            continue
        tool = Instrument.of_kind(measured.instrument, measured.resolution_mm, nominal)
        lo, hi = reading_interval(feature, nominal, tool, len(readings))
        if not lo <= mean_and_spread(readings)[0] <= hi:
            return False
    return True


def mistake_beside(measured: Measurement, others: Sequence[ShockEnd]) -> str | None:
    """Return the mistake that readings look like beside what ``others`` state of the same end, or None.

    - ``measured_bushing_bore``: the bore read is that of the bushing that belongs into the bore stated;
    - ``measured_over_spacers``: the width read is over the width stated by more than the tolerance of a mistake.

    Both are common practice without a source.
    """
    for part, feature, readings in measured.parts:
        mean, _ = mean_and_spread(readings)
        stated = [size for end in others if (size := getattr(end, FIELD_OF[part])) is not None]
        if feature == "eyelet_bore" and any(_is_bushing_in(mean, bore) for bore in stated):
            return "measured_bushing_bore"
        if feature == "eyelet_width" and any(_is_over_spacers(mean, width, measured) for width in stated):
            return "measured_over_spacers"
    return None


def _is_bushing_in(mean_mm: Decimal, bore_mm: Decimal) -> bool:
    return any(
        same_size(bore_mm, eyelet) and abs(mean_mm - inner) <= MISTAKE_TOLERANCE_MM
        for eyelet, inner in BUSHING_INNER_MM
    )


def _is_over_spacers(mean_mm: Decimal, width_mm: Decimal, measured: Measurement) -> bool:
    tool = Instrument.of_kind(measured.instrument, measured.resolution_mm, width_mm)
    _, hi = reading_interval("eyelet_width", width_mm, tool)
    return mean_mm > hi + MISTAKE_TOLERANCE_MM
