"""What a claim's readings come to, said back to who typed them before anything is sent."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.eyelet_readings import PART_OF_MISTAKE, size_read
from boltspan.domain.lengths import plain
from boltspan.domain.readings import NEXT, nominal_from_readings
from boltspan.domain.sources import Measurement
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM
from boltspan.domain.values import bolt_label, trade_width


@dataclass(frozen=True, slots=True)
class ReadBack:
    """What the readings of one part (of ``sources.PARTS``) come to.

    ``size`` is as the trade writes it, the chosen one or the likeliest, None when nothing is likely; ``p`` its
    probability, None where the mean itself is the size and nothing was weighed; ``chosen`` whether just that one is
    likely. ``mistake`` is a code of ``mistakes.ADVICE``; ``next`` says what to measure besides when no size is chosen.
    """

    part: str
    feature: str
    readings_mm: tuple[Decimal, ...]
    size: str | None
    p: float | None
    chosen: bool
    mistake: str | None = None
    next: str | None = None


LEAST_WORTH_A_LINE: Final = 0.05


def read_back(claim: Claim, mistake: str | None = None) -> tuple[ReadBack, ...]:
    """Return what each part's readings come to, in the order of ``sources.PARTS``; () for a claim that is no
    measurement. ``mistake`` is the code of one that shows beside other claims; it is told with the part it is of.

    Held against the same sizes as ``statement_readings`` does, so that what is said back is what will be published.
    """
    measured = claim.source.measurement
    if measured is None:
        return ()
    found = [_part(measured, *of_part) for of_part in measured.parts]
    part = PART_OF_MISTAKE.get(mistake or "")
    return tuple(replace(r, mistake=mistake, chosen=False) if r.part == part else r for r in found)


def _part(measured: Measurement, part: str, feature: str, readings: tuple[Decimal, ...]) -> ReadBack:
    if feature in ("eyelet_width", "eyelet_outer"):
        return _mean(measured, part, feature, readings)
    sizes = TRADE_WIDTHS_MM if part == "width" else None
    answer = nominal_from_readings(readings, feature, measured.instrument, sizes, resolution_mm=measured.resolution_mm)
    best = answer.probabilities[0]
    size = None
    if best.p >= LEAST_WORTH_A_LINE:
        size = _written(part, best.nominal_mm)
    mistake = None if answer.mistake is None else answer.mistake.code
    return ReadBack(part, feature, readings, size, best.p, answer.choice_mm is not None, mistake, answer.next)


def _written(part: str, size_mm: Decimal) -> str:
    if part == "bolt":
        return bolt_label(size_mm)
    return f"{plain(trade_width(size_mm) if part == 'width' else size_mm)} mm"


def _mean(measured: Measurement, part: str, feature: str, readings: tuple[Decimal, ...]) -> ReadBack:
    size, mistake = size_read(feature, readings, measured.instrument, measured.resolution_mm)
    written = None if size is None else f"{plain(size)} mm"
    following = None if size is not None else NEXT[feature]
    return ReadBack(part, feature, readings, written, None, size is not None, mistake, following)
