"""Offset sleeves against plane geometry done another way, with complex numbers, and by hand."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.answers import as_mapping
from boltspan.domain.offsets import OffsetEnd, OffsetSleeveRequest, offset_sleeves
from boltspan.domain.refusals import BenchRefusal

D = Decimal
ONE = OffsetEnd(D(2), D(0))
BIKE = OffsetSleeveRequest(D(200), (ONE, ONE), D("2.6"), D(1200), D(780))

offsets = st.decimals(D(0), D(5), places=2)
angles = st.decimals(D(-360), D(360), places=1)
ends = st.lists(st.builds(OffsetEnd, offsets, angles), min_size=1, max_size=2)


@given(st.decimals(D(120), D(300), places=2), ends)
def test_length_is_the_distance_of_the_two_bolts(length: Decimal, each: list[OffsetEnd]) -> None:
    """Bolt 1 stands e_1 from eyelet 1 at 0, its angle from the line to eyelet 2 at L; bolt 2 is seen from there, on the
    same side of the line for the same angle: L - e_2 exp(-i theta_2). Their distance is the effective length.
    """
    first = cmath.rect(float(each[0].offset_mm), math.radians(float(each[0].angle_deg)))
    second = complex(float(length))
    if len(each) == 2:
        second -= cmath.rect(float(each[1].offset_mm), -math.radians(float(each[1].angle_deg)))
    answer = offset_sleeves(OffsetSleeveRequest(length, tuple(each)))
    assert float(answer.effective_eye_to_eye_mm) == pytest.approx(abs(second - first), abs=1e-6)
    shortest, longest = answer.eye_to_eye_range_mm
    assert shortest <= answer.effective_eye_to_eye_mm <= longest


@pytest.mark.parametrize(
    ("each", "effective", "lo", "hi"),
    [
        ((OffsetEnd(D(2), D(60)),), "199.007538", "198", "202"),  # sqrt(199^2 + 3) = sqrt(39604)
        ((OffsetEnd(D("1.5"), D(180)),), "201.5", "198.5", "201.5"),
        ((OffsetEnd(D(3), D(90)),), "200.022499", "197", "203"),  # sqrt(40009)
        ((OffsetEnd(D(2), D(90)), OffsetEnd(D(2), D(90))), "200", "196", "204"),  # both to one side: parallel
        ((OffsetEnd(D(2), D(90)), OffsetEnd(D(2), D(-90))), "200.039996", "196", "204"),  # sqrt(40000 + 16)
        ((OffsetEnd(D(0), D(45)),), "200", "200", "200"),
        ((OffsetEnd(D(2), D(0)), OffsetEnd(D(1), D(180))), "199", "197", "203"),
    ],
)
def test_lengths_by_hand(each: tuple[OffsetEnd, ...], effective: str, lo: str, hi: str) -> None:
    answer = offset_sleeves(OffsetSleeveRequest(D(200), each))
    assert answer.effective_eye_to_eye_mm == D(effective)
    assert answer.eye_to_eye_range_mm == (D(lo), D(hi))


def test_longer_shock_turns_all_three_changes_round() -> None:
    """201.5: rise 2.6 x -1.5 = -3.9; atan(-3.9/1200) = -0.18621 degrees; -3.9 x 780/1200 = -2.535."""
    answer = offset_sleeves(replace(BIKE, ends=(OffsetEnd(D("1.5"), D(180)),)))
    assert answer.axle_rise_mm == D("-3.9")
    assert answer.head_angle_change_deg == pytest.approx(D("-0.186210"), abs=D("1e-6"))
    assert answer.bottom_bracket_drop_mm == D("-2.535")


def test_only_what_is_known_is_answered() -> None:
    """Rise needs the leverage; head angle and bottom bracket need wheelbase and front centre too."""
    for change, absent in (
        ({"leverage": None}, {"axle_rise_mm", "head_angle_change_deg", "bottom_bracket_drop_mm"}),
        ({"wheelbase_mm": None}, {"head_angle_change_deg", "bottom_bracket_drop_mm"}),
        ({"front_centre_mm": None}, {"head_angle_change_deg", "bottom_bracket_drop_mm"}),
    ):
        answer = as_mapping(offset_sleeves(replace(BIKE, **change)))  # type: ignore[arg-type]
        changes = {"axle_rise_mm", "head_angle_change_deg", "bottom_bracket_drop_mm"}
        assert changes - set(answer) == absent


def test_offsets_longer_than_the_shock_give_no_negative_length() -> None:
    """Circles of 3 and 0 around points 2 apart: from 1 to 5. Nobody can bolt it up, and nothing is below 0."""
    answer = offset_sleeves(OffsetSleeveRequest(D(2), (OffsetEnd(D(3), D(0)),)))
    assert answer.eye_to_eye_range_mm == (D(1), D(5))
    assert answer.effective_eye_to_eye_mm == 1
    both = offset_sleeves(OffsetSleeveRequest(D(2), (OffsetEnd(D(2), D(0)), OffsetEnd(D(2), D(0)))))
    assert both.eye_to_eye_range_mm == (D(0), D(6))


def test_cautions_are_told() -> None:
    assert {"check_full_travel", "offset_lowers_everything", "offset_sleeve_may_turn"} <= set(
        offset_sleeves(BIKE).cautions
    )


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"eye_to_eye_mm": D(0)}, "eye_to_eye_mm"),
        ({"ends": ()}, "ends"),
        ({"ends": (ONE, ONE, ONE)}, "ends"),
        ({"ends": (ONE, OffsetEnd(D("-0.1"), D(0)))}, "ends/1/offset_mm"),
        ({"ends": (OffsetEnd(D(1), D(361)),)}, "ends/0/angle_deg"),
        ({"ends": (OffsetEnd(D(1), D("NaN")),)}, "ends/0/angle_deg"),
        ({"leverage": D(0)}, "leverage"),
        ({"wheelbase_mm": D(0)}, "wheelbase_mm"),
        ({"front_centre_mm": D(2001)}, "front_centre_mm"),
    ],
)
def test_refusals(change: dict[str, object], field: str) -> None:
    with pytest.raises(BenchRefusal) as caught:
        replace(BIKE, **change)  # type: ignore[arg-type]
    assert caught.value.field == field


@given(ends.map(tuple))
def test_swapping_the_ends_changes_nothing(each: tuple[OffsetEnd, ...]) -> None:
    assert offset_sleeves(replace(BIKE, ends=each)) == offset_sleeves(replace(BIKE, ends=each[::-1]))


@given(offsets, offsets, st.integers(0, 89))
def test_more_offset_toward_the_other_eyelet_is_never_longer(small: Decimal, more: Decimal, angle: int) -> None:
    one, two = (
        offset_sleeves(OffsetSleeveRequest(D(200), (OffsetEnd(offset, D(0)), OffsetEnd(D(1), D(angle)))))
        for offset in (small, small + more)
    )
    assert two.effective_eye_to_eye_mm <= one.effective_eye_to_eye_mm
