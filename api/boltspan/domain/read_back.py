"""What a claim's readings come to, said back to who typed them before anything is sent."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.lengths import plain
from boltspan.domain.readings import nominal_from_readings
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM
from boltspan.domain.values import bolt_label, trade_width


@dataclass(frozen=True, slots=True)
class ReadBack:
    """What the readings of one part (``bolt`` or ``width``) come to.

    ``size`` is as the trade writes it, the chosen one or the likeliest, None when nothing is likely; ``p`` its
    probability; ``chosen`` whether just that one is likely. ``mistake`` is a code of ``mistakes.ADVICE``; ``next`` says
    what to measure besides when no size is chosen.
    """

    part: str
    feature: str
    readings_mm: tuple[Decimal, ...]
    size: str | None
    p: float
    chosen: bool
    mistake: str | None = None
    next: str | None = None


LEAST_WORTH_A_LINE: Final = 0.05


def read_back(claim: Claim) -> tuple[ReadBack, ...]:
    """Return what each part's readings come to, bolt first; () for a claim that is no measurement.

    Held against the same sizes as ``statement_readings`` does, so that what is said back is what will be published.
    """
    measured = claim.source.measurement
    if measured is None:
        return ()
    parts = (
        ("bolt", measured.bolt_feature, measured.bolt_readings_mm, None),
        ("width", measured.width_feature, measured.width_readings_mm, TRADE_WIDTHS_MM),
    )
    found = []
    for part, feature, readings, sizes in parts:
        if feature is None or not readings:
            continue
        answer = nominal_from_readings(
            readings, feature, measured.instrument, sizes, resolution_mm=measured.resolution_mm
        )
        best = answer.probabilities[0]
        size = None
        if best.p >= LEAST_WORTH_A_LINE:
            size = bolt_label(best.nominal_mm) if part == "bolt" else f"{plain(trade_width(best.nominal_mm))} mm"
        mistake = None if answer.mistake is None else answer.mistake.code
        chosen = answer.choice_mm is not None
        found.append(ReadBack(part, feature, readings, size, best.p, chosen, mistake, answer.next))
    return tuple(found)
