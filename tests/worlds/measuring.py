"""Readings of invented hardware, with the errors of part, instrument and hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from boltspan.domain.lengths import same_size, trimmed
from boltspan.domain.sources import Measurement
from boltspan.domain.standards.threads import COARSE
from tests.worlds.chances import Chances
from tests.worlds.people import Person
from tests.worlds.rates import Rates

BOLT_FEATURES: Final = {"thread_crest": 0.35, "shank": 0.25, "sleeve_bore": 0.40}
WIDTH_FEATURES: Final = {"hardware_width": 0.80, "tab_gap": 0.20}
CALIPER_NOISE_MM: Final = 0.03
RULER_NOISE_MM: Final = 0.30
TAIL: Final = 0.08
"""Share of readings that are five times as noisy (judgement)."""


def measure(
    chances: Chances, rates: Rates, person: Person, bolt_mm: Decimal | None, width_mm: Decimal | None
) -> tuple[Measurement, list[str]]:
    """Return what ``person`` reads of a bolt and a width, and the marks it earns; at least one of both is given."""
    marks: list[str] = []
    bolt_feature = None if bolt_mm is None else chances.weighed(BOLT_FEATURES)
    width_feature = None if width_mm is None else chances.weighed(WIDTH_FEATURES)
    repeats = 3 if chances.happens(0.3) else 1
    bolts: tuple[Decimal, ...] = ()
    widths: tuple[Decimal, ...] = ()
    if bolt_mm is not None and bolt_feature is not None:
        true = _bolt(chances, bolt_feature, bolt_mm)
        if chances.happens(rates.bushing_bore):
            true = chances.one_of((12.7, 15.0)) + chances.between(0.0, 0.08)
            marks.append("bushing_bore")
        bolts = tuple(_reading(chances, person, true) for _ in range(repeats))
    if width_mm is not None and width_feature is not None:
        true = float(width_mm)
        if width_feature == "tab_gap":
            true += chances.between(0.02, 0.25)
        elif chances.happens(rates.worn):
            true -= chances.between(0.08, 0.45)
            marks.append("worn")
        widths = tuple(_reading(chances, person, true) for _ in range(repeats))
    if person.has_ruler:
        marks.append("ruler")
    elif person.zero_mm:
        marks.append("zero_offset")
    found = Measurement(person.instrument, person.resolution_mm, bolt_feature, width_feature, bolts, widths)
    return found, marks


def _bolt(chances: Chances, feature: str, bolt_mm: Decimal) -> float:
    if feature == "thread_crest":
        row = next((row for row in COARSE if same_size(row.nominal_mm, bolt_mm)), None)
        if row is not None:
            return chances.between(float(row.crest_min_mm), float(row.crest_max_mm))
        return float(bolt_mm) - chances.between(0.02, 0.25)
    if feature == "shank":
        return float(bolt_mm) - chances.between(0.0, 0.043)
    return float(bolt_mm) + chances.between(0.0, 0.15)


def _reading(chances: Chances, person: Person, true_mm: float) -> Decimal:
    noise = RULER_NOISE_MM if person.has_ruler else CALIPER_NOISE_MM
    off = chances.normal(noise * (5 if chances.happens(TAIL) else 1))
    step = person.resolution_mm
    return trimmed(step * round((true_mm + float(person.zero_mm) + off) / float(step)))
