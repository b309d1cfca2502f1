"""Which claims a picture of evidence shows one by one, numbered, and what the others come to together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.explanation import ClaimWeight

MOST: Final = 12
"""How many claims have a row of their own; more cannot be read on one page."""


@dataclass(frozen=True, slots=True)
class EvidenceRows:
    """The claims shown, in the order they were given, and the number and the summed weight of those that are not."""

    shown: tuple[ClaimWeight, ...]
    others: int
    others_log10_odds: float


def heaviest(weights: Sequence[ClaimWeight]) -> EvidenceRows:
    """Return the ``MOST`` heaviest claims, for or against; at equal weight the earlier one."""
    order = sorted(range(len(weights)), key=lambda n: (-abs(weights[n].log10_odds), n))
    kept, left = sorted(order[:MOST]), order[MOST:]
    return EvidenceRows(tuple(weights[n] for n in kept), len(left), sum(weights[n].log10_odds for n in left))


def short_name(weight: ClaimWeight) -> str:
    """Return what a row is called: the kind of its source ("Spec page")."""
    return weight.kind.replace("_", " ").capitalize()
