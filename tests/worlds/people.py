"""Who says things about invented frames: contributors with their instruments, and shops with their charts."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from tests.worlds.chances import Chances
from tests.worlds.ids import numbered_id
from tests.worlds.rates import Rates

FEWEST: Final = 40
FRAMES_A_PERSON: Final = 6
SHOPS: Final = 12
LEADERS: Final = 4
"""The first shops measure and read for themselves; each of the others follows one of them."""
_STEPS: Final = {"digital_caliper": "0.01", "vernier_caliper": "0.05", "steel_rule": "0.5", "tape": "1"}


@dataclass(frozen=True, slots=True)
class Person:
    """A contributor: what they measure with, by how much that is off at zero, and whether they care."""

    id: str
    instrument: str
    zero_mm: Decimal
    careless: bool

    @property
    def resolution_mm(self) -> Decimal:
        """The step that is read."""
        return Decimal(_STEPS[self.instrument])

    @property
    def has_ruler(self) -> bool:
        """Whether a rule or tape is all they have."""
        return self.instrument in ("steel_rule", "tape")

    def as_json(self) -> dict[str, Any]:
        """Return what there is to know of them, ready for JSON."""
        found: dict[str, Any] = {"person": self.id, "instrument": self.instrument, "careless": self.careless}
        return found | ({"zero_mm": self.zero_mm} if self.zero_mm else {})


def people_of(frames: int) -> int:
    """Return how many contributors a world of so many frames has."""
    return max(FEWEST, frames // FRAMES_A_PERSON)


@lru_cache(maxsize=20_000)
def person(seed: int, rates: Rates, number: int) -> Person:
    """Return contributor ``number`` of world ``seed``."""
    chances = Chances(seed, "person", number)
    zero = Decimal(0)
    if chances.happens(rates.ruler_people):
        instrument = "steel_rule" if chances.happens(0.7) else "tape"
    else:
        instrument = "digital_caliper" if chances.happens(0.8) else "vernier_caliper"
        if chances.happens(rates.zero_offset_people):
            zero = Decimal(chances.among(6, 30)) / 100 * (1 if chances.happens(0.5) else -1)
    return Person(numbered_id("person", seed, number), instrument, zero, chances.happens(rates.careless_people))


def somebody(chances: Chances, seed: int, rates: Rates, count: int) -> Person:
    """Return one of ``count`` contributors; a few are heard often, most hardly ever."""
    part = chances.between(0, 1)
    return person(seed, rates, int(count * part * part))


def leader_of(shop: int) -> int | None:
    """Return the shop that ``shop`` copies from, None for one that stands on its own."""
    return None if shop < LEADERS else shop % LEADERS
