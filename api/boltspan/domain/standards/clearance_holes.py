"""ISO 273: clearance holes for bolts, in mm.

Seen at: one published table that names ISO 273 (fine H12, medium H13, coarse H14); verified.
Trap: the table shipped in the package bd-warehouse 0.4.0 differs from M12 up (M12 13, 14, 15).
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

ISO_273: Final = tuple(
    (thread, Decimal(fine), Decimal(medium), Decimal(coarse))
    for thread, fine, medium, coarse in (
        ("M5", "5.3", "5.5", "5.8"),
        ("M6", "6.4", "6.6", "7.0"),
        ("M8", "8.4", "9.0", "10.0"),
        ("M10", "10.5", "11.0", "12.0"),
        ("M12", "13.0", "13.5", "14.5"),
        ("M14", "15.0", "15.5", "16.5"),
    )
)
"""Thread, then the hole of the fine, medium and coarse series."""
