"""What a claim states in sizes: its value, or what its readings can be readings of."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

from boltspan.domain.assumptions import CREST_UNDER_MM
from boltspan.domain.claims import Claim
from boltspan.domain.instruments import Instrument
from boltspan.domain.readings import nominal_from_readings, reading_interval
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.sources import Measurement
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM
from boltspan.domain.values import EndValue, Value, agree

_HARDWARE_IN_HAND: Final = ("sleeve_bore", "hardware_width")


@dataclass(frozen=True, slots=True)
class Statement:
    """A claim with what it says. ``value`` is None when its readings settle no size; ``mistake`` is a code or None."""

    claim: Claim
    value: Value | None
    mistake: str | None

    def allows(self, value: Value) -> bool:
        """Return whether ``value`` can be true if the claim is right.

        A stated value must agree. Readings without one must lie in the interval that a size's feature and the
        instrument's limit span; a reading of 22.05 of old hardware allows 22.1 and 22, and not 22.2.
        """
        if self.claim.value is not None:
            return agree(self.claim.value, value)
        measurement = self.claim.source.measurement
        if measurement is None or not isinstance(value, EndValue):
            return False
        if value.mount is not None and value.mount not in _mounts(measurement):
            return False
        return _reads_as(
            measurement.bolt_readings_mm, measurement.bolt_feature, measurement, value.bolt_mm
        ) and _reads_as(measurement.width_readings_mm, measurement.width_feature, measurement, value.width_mm)


def statement_of(claim: Claim) -> Statement:
    """Return what ``claim`` states; bare readings become a size when just one is likely (p >= 0.90)."""
    measurement = claim.source.measurement
    if measurement is None:
        return Statement(claim, claim.value, None)
    tool = (measurement.instrument, measurement.resolution_mm)
    bolt, bolt_mistake = _choice(measurement.bolt_readings_mm, measurement.bolt_feature, tool, None)
    width, width_mistake = _choice(measurement.width_readings_mm, measurement.width_feature, tool, TRADE_WIDTHS_MM)
    mistake = bolt_mistake or width_mistake
    if claim.value is not None:
        return Statement(claim, claim.value, mistake)
    if bolt is None and width is None:
        return Statement(claim, None, mistake)
    mount = "hardware" if _mounts(measurement) == ("hardware",) else None
    return Statement(claim, EndValue(mount, bolt, width), mistake)


def _mounts(measurement: Measurement) -> tuple[str, ...]:
    """Return the mounts a measurement can be of: a sleeve or its spacers in hand are hardware."""
    in_hand = {measurement.bolt_feature, measurement.width_feature} & set(_HARDWARE_IN_HAND)
    return ("hardware",) if in_hand else ("hardware", "bearing")


@lru_cache(maxsize=32768)  # about 20 MB; each step of a first fill reads every claim again
def _choice(
    readings: tuple[Decimal, ...],
    feature: str | None,
    tool: tuple[str, Decimal],
    candidates: tuple[Decimal, ...] | None,
) -> tuple[Decimal | None, str | None]:
    if feature is None or not readings:
        return None, None
    instrument, resolution = tool
    answer = nominal_from_readings(readings, feature, instrument, candidates, resolution_mm=resolution)
    return answer.choice_mm, answer.mistake.code if answer.mistake is not None else None


def _reads_as(
    readings: tuple[Decimal, ...], feature: str | None, measurement: Measurement, nominal: Decimal | None
) -> bool:
    if nominal is None or feature is None or not readings:
        return True
    try:
        lo, hi = reading_interval(feature, nominal, measurement.instrument)
    except BenchRefusal:  # a bolt such as 12.7, whose thread no table holds
        wider = Instrument.of_kind(measurement.instrument).limit_outside_mm
        lo, hi = nominal - CREST_UNDER_MM - wider, nominal + wider
    return lo <= sum(readings, Decimal(0)) / len(readings) <= hi
