"""ISO 286: tolerance grades and the deviations of f, g and h shafts, for nominal sizes over 3 up to 80 mm.

Seen at: h grades in two published tables; H7 to H14 in an extract of DIN ISO 286-2; f7 in a bearing maker's shaft
column; the package pressfit 0.1.0 (PyPI) agrees. Verified in two or three places; g6 in that package only.
Trap: one published dimension table prints h6 as 0.010, 0.012, 0.015 for 6-10, 10-18, 18-30; right are 0.009, 0.011,
0.013.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

BANDS_UP_TO_MM: Final = tuple(map(Decimal, (6, 10, 18, 30, 50, 80)))
"""A band is over a, up to and including b: 6, 10 and 18 mm belong to the lower band. The first is over 3."""
OVER_MM: Final = Decimal(3)

GRADES_UM: Final = (
    (6, (8, 9, 11, 13, 16, 19)),
    (7, (12, 15, 18, 21, 25, 30)),
    (8, (18, 22, 27, 33, 39, 46)),
    (9, (30, 36, 43, 52, 62, 74)),
    (10, (48, 58, 70, 84, 100, 120)),
    (11, (75, 90, 110, 130, 160, 190)),
    (12, (120, 150, 180, 210, 250, 300)),
    (13, (180, 220, 270, 330, 390, 460)),
)
"""Width of the tolerance IT6 to IT13 in micrometres, one number a band."""

SHAFT_UPPER_UM: Final = (
    ("f", (-10, -13, -16, -20, -25, -30)),
    ("g", (-4, -5, -6, -7, -9, -10)),
    ("h", (0, 0, 0, 0, 0, 0)),
)
"""Upper deviation es of a shaft in micrometres, one number a band. An H bore's lower deviation is 0."""


def band(nominal_mm: Decimal) -> int | None:
    """Return the place of ``nominal_mm`` among the bands, or None outside over 3 up to 80 mm."""
    if nominal_mm <= OVER_MM:
        return None
    return next((place for place, up_to in enumerate(BANDS_UP_TO_MM) if nominal_mm <= up_to), None)


def tolerance_um(grade: int, place: int) -> int:
    """Return the tolerance of ``grade`` (6 to 13) in band ``place``. Raises KeyError for another grade."""
    return dict(GRADES_UM)[grade][place]


def shaft_upper_um(letter: str, place: int) -> int:
    """Return es of an f, g or h shaft in band ``place``. Raises KeyError for another letter."""
    return dict(SHAFT_UPPER_UM)[letter][place]
