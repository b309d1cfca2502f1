"""How soon a case wants a look: what is at stake when it waits, as points that add up and can be read.

The weights are judgement. A wrong answer that shops sell by comes first, then what nobody can answer though many ask.
Every day of waiting adds a point, so nothing is overtaken for ever.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

ASKED: Final = 10
FLAG: Final = 40
UNSAFE: Final = 80
WAITS_FOR_CONTRIBUTOR: Final = -30
UNSURE: Final[Mapping[str, int]] = {
    "contested": 50,
    "disputed": 40,
    "provisional": 20,
    "unknown": 15,
    "settled": 5,
    "withheld": 5,
    "proposal": 10,
}
_EPOCH: Final = datetime.date(2020, 1, 1)


@dataclass(frozen=True, slots=True)
class Stakes:
    """What is at stake: how the subject stands (a key of UNSURE), how often it was asked for, flags, what it waits for.

    ``stocked`` counts articles of shops that a change would touch, where that is known.
    """

    standing: str
    asked: int = 0
    flags: int = 0
    unsafe: bool = False
    waits_for_contributor: bool = False
    stocked: int = 0


def points(stakes: Stakes) -> dict[str, int]:
    """Return the points by what they are for, those without effect left out.

    Being asked for twice as often adds the same again (whole part of the base-2 logarithm, which needs no float).
    """
    found = {
        "unsure": UNSURE[stakes.standing],
        "asked": ASKED * _doublings(stakes.asked),
        "stock": ASKED * _doublings(stakes.stocked),
        "flags": UNSAFE if stakes.unsafe else FLAG if stakes.flags else 0,
        "waits_for_contributor": WAITS_FOR_CONTRIBUTOR if stakes.waits_for_contributor else 0,
    }
    return {name: number for name, number in found.items() if number}


def rank(stakes: Stakes, opened_on: str) -> int:
    """Return the place of a case in the queue: the lower, the sooner.

    It is the day since which the case would have to wait to be as urgent by waiting alone, so it never needs to be
    reckoned anew as days go by.
    """
    return (datetime.date.fromisoformat(opened_on) - _EPOCH).days - sum(points(stakes).values())


def _doublings(count: int) -> int:
    return (count + 1).bit_length() - 1
