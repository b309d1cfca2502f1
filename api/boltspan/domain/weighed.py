"""What the evidence says of one end: probabilities, an outcome, and how many independent witnesses there are.

Plain figures of the numerical core, for whoever decides on them. The core itself stands in ``evidence``.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.values import EndValue

OUTCOMES: Final = ("accept", "conflict", "insufficient")
MODELLED_BOLTS_MM: Final = tuple(map(Decimal, ("6", "8", "10", "12", "12.7")))
"""The bolts that the evidence tells apart; a test holds them to the evidence's own parameters."""
WIDTH_TOLERANCE_MM: Final = Decimal("0.051")
BOLT_TOLERANCE_MM: Final = Decimal("0.06")
"""Within these a stated size is the size the evidence speaks of (as in the evidence's parameters, judgement)."""


@dataclass(frozen=True, slots=True)
class WeighedCandidate:
    """A value an end may have, its probability, and the ids of the claims that go with it.

    ``p`` is conditional on the end having one value. A claim goes with a value when no other value makes it much
    likelier (the ratio stands in the evidence's parameters). Nobody may have named the value: then ``claims`` is empty.
    """

    value: EndValue
    p: float
    claims: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Weighed:
    """What all claims on one end add up to, with the rates of one snapshot.

    ``outcome`` is one of OUTCOMES. ``candidates`` descend by probability; what they lack to 1 is the chance of a size
    that nobody sells or names. ``split_probability`` is the chance that the end has two true values (a running
    change). ``witnesses`` counts each person who measured and each document.
    """

    outcome: str
    candidates: tuple[WeighedCandidate, ...]
    split_probability: float
    witnesses: int
    model_version: str
    snapshot: str

    @property
    def best(self) -> WeighedCandidate | None:
        """The likeliest value; None when every value is too unlikely to be a candidate."""
        return self.candidates[0] if self.candidates else None

    def p_of(self, value: EndValue) -> float:
        """Return the probability that ``value`` holds: that of all candidates it agrees with, 0 for none.

        What ``value`` leaves open is left open: of a width alone, every bolt with that width counts.
        """
        return min(1.0, sum(c.p for c in self.candidates if same_end(value, c.value)))


def same_end(value: EndValue, candidate: EndValue) -> bool:
    """Return whether ``value`` can be what ``candidate`` says, as far as the evidence tells sizes apart.

    Only hardware has sizes there: of a bearing or an open eyelet it knows the mount alone. A size without a mount is
    taken for hardware.
    """
    if (value.mount or "hardware") != candidate.mount:
        return False
    if candidate.mount != "hardware":
        return True
    bolt_mm, width_mm = value.bolt_mm, value.width_mm
    bolt_goes = bolt_mm is None or candidate.bolt_mm is None or abs(bolt_mm - candidate.bolt_mm) <= BOLT_TOLERANCE_MM
    return bolt_goes and (width_mm is None or candidate.width_mm is None or same_width(width_mm, candidate.width_mm))


def same_width(a: Decimal, b: Decimal) -> bool:
    """Return whether the evidence takes two widths for one."""
    return abs(a - b) <= WIDTH_TOLERANCE_MM
