"""From millimetres to places on a drawing."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from boltspan.domain.drawings.svg import Coordinate


@dataclass(frozen=True, slots=True)
class Scale:
    """The same scale along and across: ``per_mm`` user units a millimetre, with 0 mm at (``x0``, ``y0``)."""

    per_mm: Coordinate
    x0: Coordinate = 0.0
    y0: Coordinate = 0.0

    def x(self, mm: Decimal) -> Coordinate:
        """Return the place ``mm`` to the right of 0."""
        return self.x0 + self.long(mm)

    def y(self, mm: Decimal) -> Coordinate:
        """Return the place ``mm`` above 0."""
        return self.y0 - self.long(mm)

    def long(self, mm: Decimal) -> Coordinate:
        """Return how long ``mm`` is."""
        return float(mm) * self.per_mm


def fitting(along_mm: Decimal, across_mm: Decimal, width: Coordinate, height: Coordinate) -> Coordinate:
    """Return the largest scale at which ``along_mm`` by ``across_mm`` goes into ``width`` by ``height``; all over 0."""
    return min(width / float(along_mm), height / float(across_mm))
