"""Caliper widths at a glance, against worked sums."""

from __future__ import annotations

import math
import statistics

import pytest

from boltspan.evidence import EvidenceInputError, caliper_widths, summarise_widths
from tests.evidence.test_likelihoods import claim


def test_two_figures_of_equal_weight_by_hand() -> None:
    summary = summarise_widths([10.0, 12.0], [1.0, 1.0])
    assert summary.mean_mm == 11.0
    assert summary.standard_uncertainty_mm == pytest.approx(1 / math.sqrt(2))
    assert summary.birge_ratio == pytest.approx(math.sqrt(2))
    assert summary.enlarged_uncertainty_mm == pytest.approx(1.0)


def test_equal_weights_give_the_plain_mean_and_its_standard_error() -> None:
    figures = [22.18, 22.21, 22.35, 22.02]
    spread = statistics.stdev(figures)
    summary = summarise_widths(figures, [0.01] * 4)
    assert summary.mean_mm == pytest.approx(statistics.fmean(figures))
    assert summary.birge_ratio == pytest.approx(spread / 0.01)
    assert summary.enlarged_uncertainty_mm == pytest.approx(spread / 2)


def test_figures_that_agree_are_not_made_surer() -> None:
    summary = summarise_widths([22.2, 22.2], [0.05, 0.1])
    assert summary.birge_ratio == pytest.approx(0.0, abs=1e-12)
    assert summary.enlarged_uncertainty_mm == summary.standard_uncertainty_mm == pytest.approx(1 / math.sqrt(500))


def test_one_figure_has_no_ratio() -> None:
    summary = summarise_widths([22.2], [0.05])
    assert summary.birge_ratio is None
    assert summary.enlarged_uncertainty_mm == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("widths", "uncertainties"),
    [([], []), ([1.0], []), ([1.0], [0.0]), ([1.0], [-1.0]), ([1.0], [math.nan]), ([1.0], [math.inf])],
)
def test_what_is_no_set_of_figures_is_refused(widths: list[float], uncertainties: list[float]) -> None:
    with pytest.raises(ValueError, match="uncertainties"):
        summarise_widths(widths, uncertainties)


def test_one_figure_for_each_contributor() -> None:
    rows = [
        claim(1, "caliper", contributor="b", width_mm=[22.1, 22.3]),
        claim(2, "caliper", contributor="b", width_mm=[22.5]),
        claim(3, "caliper", contributor="a", width_mm=[22.0]),
        claim(4, "caliper", contributor="c", bolt_mm=[7.9]),
        claim(5, "ruler", contributor="d", width_mm=[22.0]),
        claim(6, "spec_page", contributor="e", width_mm=22.2),
    ]
    first, second = caliper_widths(rows, {"a": 0.05})
    assert (first.contributor, second.contributor) == ("a", "b")
    assert first.width_mm == pytest.approx(21.95)
    assert first.uncertainty_mm == pytest.approx(math.hypot(0.03, 0.05))
    assert second.width_mm == pytest.approx(22.3)
    assert second.uncertainty_mm == pytest.approx(math.sqrt(0.03**2 + 0.05**2 / 3))
    assert second.readings == 3


def test_nobody_measured_and_two_ends() -> None:
    assert caliper_widths([]) == []
    with pytest.raises(EvidenceInputError, match="2 ends"):
        caliper_widths([claim(1, "caliper"), claim(2, "caliper") | {"end_id": "other"}])
