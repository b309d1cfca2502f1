"""What a claim states in sizes: its value, or what its readings can be readings of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Final

from boltspan.domain.assumptions import CREST_UNDER_MM
from boltspan.domain.claims import Claim
from boltspan.domain.eyelet_readings import end_read, mistake_beside, reads_as
from boltspan.domain.instruments import Instrument
from boltspan.domain.readings import nominal_from_readings, reading_interval
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.sources import Measurement
from boltspan.domain.subjects import kind_of
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
        if measurement is not None and isinstance(value, ShockEnd):
            return reads_as(measurement, value)
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
    if kind_of(claim.frame) == "shock":
        end, eyelet_mistake = end_read(measurement)
        open_eyelet = isinstance(claim.value, ShockEnd) and claim.value.mount == "open_eyelet"
        return Statement(claim, claim.value or end, None if open_eyelet else eyelet_mistake)
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


def statements_of(claims: Sequence[Claim]) -> list[Statement]:
    """Return what claims on one subject state, in their order; a shock's readings beside what is written of it."""
    found = [statement_of(claim) for claim in claims]
    written = [s.value for s in found if s.claim.source.measurement is None and isinstance(s.value, ShockEnd)]
    return [_beside(said, written) for said in found] if written else found


def beside_others(claim: Claim, others: Sequence[Claim]) -> Statement:
    """Return what ``claim`` states beside what ``others`` on its subject say; those that count no more say nothing."""
    return statements_of([claim, *(c for c in others if c.counts and c.id != claim.id)])[0]


def _beside(said: Statement, written: Sequence[ShockEnd]) -> Statement:
    measurement = said.claim.source.measurement
    if measurement is None or said.mistake is not None:
        return said
    mistake = mistake_beside(measurement, written)
    return said if mistake is None else replace(said, mistake=mistake)


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
