"""What offset sleeves do to a shock's length and, to first order, to the bike.

The bolt's axis lies e from the eyelet's axis; theta is the angle between that offset and the line to the other eyelet.
With L the length from eye to eye:

    L' = sqrt((L - sum e_i cos theta_i)^2 + (e_1 sin theta_1 - e_2 sin theta_2)^2)

which is plane geometry. Axle rise, head angle and bottom bracket are small-angle estimates (common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.bench_cautions import WITH_OFFSET
from boltspan.domain.lengths import PLACES
from boltspan.domain.preconditions import require_amount, require_entries, require_length, require_within
from boltspan.domain.refusals import BenchRefusal

MOST_LEVERAGE: Final = 100
LARGEST_CHANGE: Final = 1e9
"""No change of a bike has this many millimetres; beyond it the estimate means nothing."""
Range = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class OffsetEnd:
    """One offset sleeve: offset in mm, angle in degrees, 0 toward the other eyelet, 180 away from it."""

    offset_mm: Decimal
    angle_deg: Decimal


@dataclass(frozen=True, slots=True)
class OffsetSleeveRequest:
    """A shock's length, one or two offset ends, and the bike's figures where they are known (mm; leverage is a ratio).

    Angles lie from -360 to 360, leverage is over 0 and at most 100. Raises BenchRefusal for anything out of range.
    """

    eye_to_eye_mm: Decimal
    ends: tuple[OffsetEnd, ...]
    leverage: Decimal | None = None
    wheelbase_mm: Decimal | None = None
    front_centre_mm: Decimal | None = None

    def __post_init__(self) -> None:
        require_length("eye_to_eye_mm", self.eye_to_eye_mm)
        require_entries("ends", self.ends, least=1, most=2)
        for place, end in enumerate(self.ends):
            require_amount(f"ends/{place}/offset_mm", end.offset_mm)
            require_within(f"ends/{place}/angle_deg", end.angle_deg, -360, 360)
        if self.leverage is not None:
            require_within("leverage", self.leverage, 0, MOST_LEVERAGE, open_below=True)
        require_length("wheelbase_mm", self.wheelbase_mm)
        require_length("front_centre_mm", self.front_centre_mm)


@dataclass(frozen=True, slots=True)
class OffsetSleeveAnswer:
    """Lengths in mm and an angle in degrees, to six places; the three changes are negative for a longer shock.

    ``eye_to_eye_range_mm`` is from the shortest to the longest that turning the sleeves can give.
    """

    effective_eye_to_eye_mm: Decimal
    eye_to_eye_range_mm: Range
    axle_rise_mm: Decimal | None = None
    head_angle_change_deg: Decimal | None = None
    bottom_bracket_drop_mm: Decimal | None = None
    cautions: tuple[str, ...] = WITH_OFFSET


def offset_sleeves(request: OffsetSleeveRequest) -> OffsetSleeveAnswer:
    """Return the length with the sleeves as they stand, its range when they turn, and the change of the bike.

    Axle rise = leverage (L - L'), with leverage only. With wheelbase and front centre too: the head angle slackens by
    atan(rise / wheelbase), the bottom bracket drops by rise x front centre / wheelbase. An offset of 0 changes nothing.
    Raises BenchRefusal ``out_of_range`` for a wheelbase so short that the estimate means nothing.

    >>> from decimal import Decimal
    >>> one = OffsetEnd(Decimal(2), Decimal(0))
    >>> offset_sleeves(OffsetSleeveRequest(Decimal(200), (one, one))).effective_eye_to_eye_mm
    Decimal('196.000000')
    """
    length = float(request.eye_to_eye_mm)
    effective = _effective(length, request.ends)
    rise = None if request.leverage is None else float(request.leverage) * (length - effective)
    angle = drop = None
    if rise is not None and request.wheelbase_mm is not None and request.front_centre_mm is not None:
        wheelbase, front_centre = float(request.wheelbase_mm), float(request.front_centre_mm)
        # A wheelbase so short that the quotients are no numbers any more is no wheelbase.
        if wheelbase * LARGEST_CHANGE < abs(rise) * max(front_centre, 1):
            raise BenchRefusal("out_of_range", "wheelbase_mm", request.wheelbase_mm, "the wheelbase of a bike")
        angle = math.degrees(math.atan(rise / wheelbase)) if rise else 0.0
        drop = rise * front_centre / wheelbase if rise else 0.0
    return OffsetSleeveAnswer(
        effective_eye_to_eye_mm=_six_places(effective),
        eye_to_eye_range_mm=_range(request),
        axle_rise_mm=None if rise is None else _six_places(rise),
        head_angle_change_deg=None if angle is None else _six_places(angle),
        bottom_bracket_drop_mm=None if drop is None else _six_places(drop),
    )


def _effective(length: float, ends: tuple[OffsetEnd, ...]) -> float:
    along, across = length, 0.0
    for sign, end in zip((1, -1), ends, strict=False):
        offset, angle = float(end.offset_mm), math.radians(float(end.angle_deg))
        along -= offset * math.cos(angle)
        across += sign * offset * math.sin(angle)
    return math.hypot(along, across)


def _range(request: OffsetSleeveRequest) -> Range:
    """Shortest and longest distance of two points on circles around the eyelets: L -/+ all offsets."""
    length, offsets = request.eye_to_eye_mm, [end.offset_mm for end in request.ends]
    longest = length + sum(offsets)
    # Offsets longer than the shock itself cannot be bolted up; the distance is then still one, and never below 0.
    shortest = max(Decimal(0), *(2 * each - longest for each in (length, *offsets)))
    return shortest, longest


def _six_places(value: float) -> Decimal:
    return round(Decimal(value), PLACES)
