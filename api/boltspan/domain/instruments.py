"""What a reading was taken with, and how far that may be off."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.assumptions import STEEL_RULE_LIMIT_MM, STEEL_RULE_STEP_MM, TAPE_LIMIT_MM, TAPE_STEP_MM
from boltspan.domain.preconditions import require_amount, require_length, require_one_of
from boltspan.domain.standards.calipers import DIN_862, INSIDE_ADDS_MM

KINDS: Final = ("digital_caliper", "vernier_caliper", "steel_rule", "tape")
SIDES: Final = ("outside", "inside")
ASSUMED_KINDS: Final = ("steel_rule", "tape")
"""Kinds whose limits no standard vouches for."""

_USUAL_STEP_MM: Final = {
    "digital_caliper": Decimal("0.01"),
    "vernier_caliper": Decimal("0.05"),
    "steel_rule": STEEL_RULE_STEP_MM,
    "tape": TAPE_STEP_MM,
}
_ASSUMED_LIMIT_MM: Final = {"steel_rule": STEEL_RULE_LIMIT_MM, "tape": TAPE_LIMIT_MM}


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument with its step and its limits of error (plus or minus) outside and inside, all in mm."""

    kind: str
    resolution_mm: Decimal
    limit_outside_mm: Decimal
    limit_inside_mm: Decimal

    @classmethod
    def of_kind(cls, kind: str, resolution_mm: Decimal | None = None, longest_mm: Decimal = Decimal(0)) -> Instrument:
        """Return an instrument of ``kind`` with the limits its standard gives for readings up to ``longest_mm``.

        ``resolution_mm`` is the usual step of the kind when absent. Calipers follow DIN 862: the row of the step
        (the coarsest of the kind when the step is none of the table's), the last row beyond its end; the limit is
        never below the step (ISO 13385-1). Rule and tape are assumed. Raises BenchRefusal for an unknown kind or a
        step that is no length.
        """
        require_one_of("instrument/kind", kind, KINDS)
        require_length("instrument/resolution_mm", resolution_mm)
        step = _USUAL_STEP_MM[kind] if resolution_mm is None else resolution_mm
        if kind in ASSUMED_KINDS:
            limit = max(_ASSUMED_LIMIT_MM[kind], step)
            return cls(kind, step, limit, limit)
        outside = max(_din_862_mm(kind, step, longest_mm), step)
        return cls(kind, step, outside, outside + INSIDE_ADDS_MM)

    def limit_mm(self, side: str) -> Decimal:
        """Return the limit of error on ``side``, one of ``outside`` and ``inside``."""
        return self.limit_inside_mm if side == "inside" else self.limit_outside_mm

    def check(self) -> None:
        """Raise BenchRefusal for an unknown kind, a step that is no length or a limit that is no tolerance."""
        require_one_of("instrument/kind", self.kind, KINDS)
        require_length("instrument/resolution_mm", self.resolution_mm)
        require_amount("instrument/limit_outside_mm", self.limit_outside_mm)
        require_amount("instrument/limit_inside_mm", self.limit_inside_mm)


def _din_862_mm(kind: str, step_mm: Decimal, longest_mm: Decimal) -> Decimal:
    of_kind = [row for row in DIN_862 if row.kind == kind]
    rows = [row for row in of_kind if row.step_mm == step_mm] or [
        row for row in of_kind if row.step_mm == max(each.step_mm for each in of_kind)
    ]
    return next((row.limit_mm for row in rows if longest_mm <= row.up_to_mm), rows[-1].limit_mm)
