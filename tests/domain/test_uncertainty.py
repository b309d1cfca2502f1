"""Uncertainty against the Guide's own example H.1 and against GTC, an implementation of the Guide."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from GTC import dof, type_a, type_b, uncertainty, ureal
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.instruments import Instrument
from boltspan.domain.uncertainty import combined, effective_freedom, expanded_mm, mean_and_spread, rectangular

D = Decimal

# JCGM 100:2008, H.1 (end-gauge calibration): contributions to the length in nm with their degrees of freedom.
# l_s 25 (18); d0 5.8 (24), d1 3.9 (5), d2 6.7 (8); alpha difference 1e-6/sqrt 3 x 0.1 K x 50 mm = 2.9 (50);
# temperature difference 0.05/sqrt 3 K x 11.5e-6 x 50 mm = 16.6 (2).
H1 = (
    (25.0, 18.0),
    (5.8, 24.0),
    (3.9, 5.0),
    (6.7, 8.0),
    (rectangular(1e-6) * 0.1 * 50_000_623, 50.0),
    (11.5e-6 * rectangular(0.05) * 50_000_623, 2.0),
)


def test_contributions_of_gum_h1() -> None:
    """Published components: 25, 5.8, 3.9, 6.7, 2.9 and 16.6 nm."""
    assert [round(part, 1) for part, _ in H1] == [25.0, 5.8, 3.9, 6.7, 2.9, 16.6]


def test_result_of_gum_h1() -> None:
    """Published: u = 32 nm with 16 degrees of freedom (16.7 cut down), U99 = 93 nm.

    By hand: 625 + 33.64 + 15.21 + 44.89 + 8.33 + 275.5 = 1002.6, root 31.66. k99 = t(0.995; 16) = 2.92, 2.92 x 31.66
    = 92.5, printed as 93 with the rounded 32: 93.4.
    """
    total = combined([part for part, _ in H1])
    freedom = effective_freedom(H1)
    assert round(total) == 32
    assert math.floor(freedom) == 16
    assert math.floor(2.92 * round(total)) == 93


def test_gum_h1_agrees_with_gtc() -> None:
    """GTC 1.5.1 on the same inputs: u and degrees of freedom by its own Welch-Satterthwaite."""
    total = sum(ureal(0, part, freedom) for part, freedom in H1)
    assert combined([part for part, _ in H1]) == pytest.approx(uncertainty(total), rel=1e-12)
    assert effective_freedom(H1) == pytest.approx(dof(total), rel=1e-9)


@given(st.lists(st.tuples(st.floats(0.001, 100), st.floats(1, 1000)), min_size=1, max_size=6))
def test_any_sum_agrees_with_gtc(parts: list[tuple[float, float]]) -> None:
    total = sum((ureal(0, part, freedom) for part, freedom in parts), ureal(0, 0))
    assert combined([part for part, _ in parts]) == pytest.approx(uncertainty(total), rel=1e-9)
    assert effective_freedom(parts) == pytest.approx(dof(total), rel=1e-6)


def test_rectangular_agrees_with_gtc() -> None:
    assert rectangular(0.02) == pytest.approx(type_b.uniform(0.02), rel=1e-12)


def test_nothing_is_certain() -> None:
    assert combined([]) == 0
    assert effective_freedom([]) == math.inf
    assert effective_freedom([(1.0, math.inf)]) == math.inf


@given(st.lists(st.decimals(D(5), D(70), places=2), min_size=2, max_size=20))
def test_spread_agrees_with_gtc(readings: list[Decimal]) -> None:
    """type_a.standard_deviation is n - 1 in the divisor (JCGM 100:2008, 4.2.2)."""
    mean, spread = mean_and_spread(readings)
    numbers = list(map(float, readings))
    assert float(mean) == pytest.approx(type_a.mean(numbers), rel=1e-12)
    assert float(spread) == pytest.approx(type_a.standard_deviation(numbers), rel=1e-6, abs=1e-9)


def test_order_makes_no_difference_to_the_last_digit() -> None:
    """28 digits: 1000.1 + 6E-25 rounds up to + 1E-24, twice to + 2E-24; 1.2E-24 + 1000.1 rounds to + 1E-24."""
    readings = [D("1000.1"), D("6E-25"), D("6E-25")]
    assert mean_and_spread(readings) == mean_and_spread(readings[::-1])
    assert sum(readings) != sum(readings[::-1])


def test_expanded_uncertainty_by_hand_and_by_gtc() -> None:
    """Digital caliper inside, one reading: 0.04^2/3 + 0.01^2/12 = 0.00054167, root 0.023274, twice 0.046548, up 0.047.

    Three readings 22.24, 22.25, 22.26 add 0.01^2/3 = 0.0000333: root 0.023979, twice 0.047958, up 0.048.
    """
    caliper = Instrument.of_kind("digital_caliper")
    assert expanded_mm([D("22.25")], caliper, "inside") == D("0.047")
    readings = [D("22.24"), D("22.25"), D("22.26")]
    assert expanded_mm(readings, caliper, "inside") == D("0.048")
    total = type_a.estimate([22.24, 22.25, 22.26]) + ureal(0, type_b.uniform(0.04)) + ureal(0, type_b.uniform(0.005))
    assert float(expanded_mm(readings, caliper, "inside")) == pytest.approx(2 * uncertainty(total), abs=0.001)
