"""The distribution function against the standard library's, one number at a time."""

from __future__ import annotations

import math

import numpy as np

from boltspan.evidence.normal import cumulative


def test_as_exact_as_a_float_allows() -> None:
    z = np.random.default_rng(20260401).uniform(-9.0, 9.0, 20_000)
    exact = np.array([0.5 * math.erfc(-x / math.sqrt(2.0)) for x in z])
    assert np.abs(cumulative(z) - exact).max() < 5e-16


def test_far_out_it_keeps_its_last_value() -> None:
    assert cumulative(np.array([-1e9]))[0] == cumulative(np.array([-8.5]))[0] < 1e-16
    assert cumulative(np.array([1e9]))[0] == 1.0


def test_shape_is_kept_and_nothing_gives_nothing() -> None:
    assert cumulative(np.zeros((2, 3))).tolist() == [[0.5] * 3] * 2
    assert cumulative(np.zeros(0)).shape == (0,)
