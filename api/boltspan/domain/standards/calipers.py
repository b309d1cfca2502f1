"""DIN 862: limits of error of calipers, in mm.

Seen at: two published extracts of an older edition (a table with "increase by 20 um when measuring inside and
depth"; a calibration page with 0.02 outside and 0.04 inside up to 100 mm). The digital row over 100 mm is less sure.
ISO 13385-1:2019 leaves the numbers to the makers; its limit is never below the digital step.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final


@dataclass(frozen=True, slots=True)
class CaliperRow:
    """Limit of error outside for readings up to ``up_to_mm`` of a caliper with this step."""

    kind: str
    step_mm: Decimal
    up_to_mm: Decimal
    limit_mm: Decimal
    sure: str


DIN_862: Final = (
    CaliperRow("digital_caliper", Decimal("0.01"), Decimal(100), Decimal("0.02"), "verified, 2 places"),
    CaliperRow("digital_caliper", Decimal("0.01"), Decimal(200), Decimal("0.03"), "seen once, set loosely"),
    CaliperRow("vernier_caliper", Decimal("0.02"), Decimal(100), Decimal("0.02"), "verified, 2 places"),
    CaliperRow("vernier_caliper", Decimal("0.05"), Decimal(200), Decimal("0.05"), "verified, 2 places"),
)
INSIDE_ADDS_MM: Final = Decimal("0.02")
"""Added to the limit when measuring inside (DIN 862; JIS B 7507 adds nothing)."""
