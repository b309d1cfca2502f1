"""Measurement uncertainty as the Guide (JCGM 100:2008, GUM) has it: the few formulas the bench needs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from typing import Final

from boltspan.domain.instruments import Instrument

COVERAGE: Final = 2
"""k of the expanded uncertainty: about 95 % (GUM 6.2)."""


def rectangular(limit: float) -> float:
    """Return the standard uncertainty of a value known only to lie within +/- ``limit``: a / sqrt(3) (GUM 4.3.7)."""
    return limit / math.sqrt(3)


def combined(parts: Sequence[float]) -> float:
    """Return the root of the sum of squares of independent contributions c_i u_i (GUM 5.1.2); 0 for none."""
    return math.hypot(*parts)


def effective_freedom(parts: Sequence[tuple[float, float]]) -> float:
    """Return the degrees of freedom of a combined uncertainty by Welch-Satterthwaite (GUM G.4.1).

    ``parts`` are pairs of a contribution c_i u_i and its degrees of freedom (infinity where it is exactly known).
    Infinity when nothing limits it, with no parts too.
    """
    total = combined([part for part, _ in parts])
    shares = math.fsum(part**4 / freedom for part, freedom in parts)
    return total**4 / shares if shares else math.inf


def mean_and_spread(readings_mm: Sequence[Decimal]) -> tuple[Decimal, Decimal]:
    """Return the mean of one or more readings and their sample standard deviation (n - 1; 0 for one reading).

    The order of the readings makes no difference, not even in the last digit: they are added in size order.
    """
    ordered = sorted(readings_mm)
    mean = sum(ordered, Decimal(0)) / len(ordered)
    if len(ordered) == 1:
        return mean, Decimal(0)
    squares = sum(((reading - mean) ** 2 for reading in ordered), Decimal(0))
    return mean, (squares / (len(ordered) - 1)).sqrt()


def expanded_mm(readings_mm: Sequence[Decimal], instrument: Instrument, side: str) -> Decimal:
    """Return the expanded uncertainty (k = 2, mm) of the mean of ``readings_mm``, rounded up to whole micrometres.

    Contributions: the instrument's limit on ``side`` and half its step, both rectangular, and the readings' own
    spread. This is the ``uncertainty_mm`` that a size choice from a reading needs.
    """
    _, spread = mean_and_spread(readings_mm)
    parts = (
        rectangular(float(instrument.limit_mm(side))),
        rectangular(float(instrument.resolution_mm) / 2),
        float(spread) / math.sqrt(len(readings_mm)),
    )
    return Decimal(COVERAGE * combined(parts)).quantize(Decimal("0.001"), rounding=ROUND_CEILING)
