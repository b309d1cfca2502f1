"""The summary of caliper widths against GTC, statsmodels and a certified value of NIST."""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest
from statsmodels.stats.meta_analysis import combine_effects

from boltspan.evidence import WidthSummary, summarise_widths
from tests.outside.published import gravity_groups, means, nist_groups

SETS = {"gravity": gravity_groups(), "SiRstv": nist_groups("SiRstv")}


def summary(name: str) -> tuple[list[float], list[float], WidthSummary]:
    figures, errors = means(SETS[name])
    return figures, errors, summarise_widths(figures, errors)


def test_the_sets_are_those_published() -> None:
    assert [len(SETS["gravity"]), sum(map(len, SETS["gravity"]))] == [8, 81]
    assert [len(group) for group in SETS["SiRstv"]] == [5] * 5


@pytest.mark.parametrize("name", SETS)
def test_mean_and_uncertainty_are_those_of_gtc(name: str) -> None:
    """GTC 1.5.1 propagates the uncertainty of each figure through sum w x / sum w (JCGM 100)."""
    figures, errors, found = summary(name)
    parts = [GTC.ureal(x, u) / u**2 for x, u in zip(figures, errors, strict=True)]
    mean = sum(parts) / math.fsum(u**-2 for u in errors)
    assert found.mean_mm == pytest.approx(GTC.value(mean), rel=1e-9)
    assert found.standard_uncertainty_mm == pytest.approx(GTC.uncertainty(mean), rel=1e-9)


@pytest.mark.parametrize("name", SETS)
def test_the_enlarged_uncertainty_is_that_of_statsmodels(name: str) -> None:
    """Hartung-Knapp and Sidik-Jonkman's scale of weighted least squares, as statsmodels' notes describe it."""
    figures, errors, found = summary(name)
    theirs = combine_effects(np.array(figures), np.square(errors))
    assert found.mean_mm == pytest.approx(theirs.mean_effect_fe, rel=1e-9)
    assert found.standard_uncertainty_mm == pytest.approx(theirs.sd_eff_w_fe, rel=1e-9)
    assert found.birge_ratio is not None and found.birge_ratio > 1
    assert found.enlarged_uncertainty_mm == pytest.approx(theirs.sd_eff_w_fe_hksj, rel=1e-9)
    assert found.birge_ratio == pytest.approx(theirs.sd_eff_w_fe_hksj / theirs.sd_eff_w_fe, rel=1e-9)


def test_the_birge_ratio_squared_is_a_certified_f() -> None:
    """NIST StRD AtmWtAg certifies F = 15.9467335677930; with two groups of equal size and one pooled variance
    sum w (x - m)^2 is F. Seven leading digits of the data are constant, so plain floats reach 3e-9.
    """
    groups = nist_groups("AtmWtAg")
    assert [len(group) for group in groups] == [24, 24]
    pooled = sum(float(np.var(g, ddof=1)) for g in groups) / len(groups)
    found = summarise_widths(means(groups)[0], [math.sqrt(pooled / len(groups[0]))] * len(groups))
    assert found.birge_ratio is not None
    assert found.birge_ratio**2 == pytest.approx(15.9467335677930, rel=1e-6)
