"""Random draws that come out the same on every machine."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Mapping, Sequence
from typing import TypeVar

T = TypeVar("T")


class Chances:
    """A stream of draws named by a path such as ``(seed, "model", 17)``; equal paths give equal draws.

    Only ``random.Random.random`` is drawn from, whose sequence Python promises to keep, and what is made of it takes
    no more than sums and products, which IEEE 754 fixes to the last bit; logarithms and the like differ between
    machines.
    """

    __slots__ = ("_draw",)

    def __init__(self, *path: int | str) -> None:
        digest = hashlib.sha256("/".join(map(str, path)).encode()).digest()
        self._draw = random.Random(int.from_bytes(digest[:16], "big")).random

    def happens(self, probability: float) -> bool:
        """Return True with this probability."""
        return self._draw() < probability

    def below(self, bound: int) -> int:
        """Return a whole number from 0 to ``bound`` - 1, all alike."""
        return int(self._draw() * bound)

    def among(self, low: int, high: int) -> int:
        """Return a whole number from ``low`` to ``high``, both included, all alike."""
        return low + self.below(high - low + 1)

    def between(self, low: float, high: float) -> float:
        """Return a number from ``low`` to ``high``, all alike."""
        return low + (high - low) * self._draw()

    def normal(self, sd: float) -> float:
        """Return a number spread about 0 with this standard deviation: twelve even draws less six (Irwin-Hall)."""
        return sd * (sum(self._draw() for _ in range(12)) - 6)

    def one_of(self, items: Sequence[T]) -> T:
        """Return one of ``items``, all alike."""
        return items[self.below(len(items))]

    def weighed(self, weights: Mapping[T, float]) -> T:
        """Return a key of ``weights``, each as often as its weight says."""
        left = self._draw() * sum(weights.values())
        for key, weight in weights.items():
            left -= weight
            if left < 0:
                return key
        return key  # rounding left a trace of the last weight
