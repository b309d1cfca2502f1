"""Why: weights of evidence that add up to the odds of the first two candidates, and a summary of caliper widths."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boltspan.evidence.claims import Integers
from boltspan.evidence.decide import Decided
from boltspan.evidence.normal import Floats
from boltspan.evidence.posterior import Weighed, sum_by_end

_LOG_10 = math.log(10.0)


@dataclass(frozen=True, slots=True)
class Explained:
    """The first candidate against the second, log10, for the ends and claims of a block.

    `first` and `second` (e) are their columns. `prior` (e), `other_end` (e) and the `weights` (c) of an end's claims
    add up to log10 of the ratio of the two probabilities.
    """

    first: Integers
    second: Integers
    prior: Floats
    other_end: Floats
    weights: Floats


def explain(weighed: Weighed, decided: Decided) -> Explained:
    """What the prior, each claim and the frame's other end add to the first candidate against the second.

    The weight of a claim is lambda log10 L(first) / L(second) of the single-end pass; what the pair pass added is the
    rest, 0 (to rounding) where the frame has one end. Where the second probability is too small for a float, the rest
    is given as 0.
    """
    batch, block = weighed.batch, weighed.block
    listed = decided.order[:, :3] != batch.model.layout.unlisted
    places = np.argsort(~listed, axis=1, kind="stable")
    two = np.take_along_axis(decided.order, places[:, :2], axis=1)
    of_claim = batch.table.ends[block.claims] - block.ends.start
    logs = np.log(weighed.ratios[np.arange(len(of_claim))[:, None], two[of_claim]])
    weights = batch.table.exponents[block.claims] * (logs[:, 0] - logs[:, 1]) / _LOG_10
    log_prior = np.take_along_axis(weighed.log_prior, two, axis=1)
    prior = (log_prior[:, 0] - log_prior[:, 1]) / _LOG_10
    probabilities = np.take_along_axis(decided.probabilities, two, axis=1)
    known = probabilities[:, 1] > 0.0
    odds = np.log10(probabilities[:, 0] / np.where(known, probabilities[:, 1], 1.0))
    other_end = np.where(known, odds - prior - sum_by_end(weights, batch, block), 0.0)
    return Explained(two[:, 0], two[:, 1], prior, other_end, weights)


@dataclass(frozen=True, slots=True)
class WidthSummary:
    """Several figures for one width, for a reviewer; never part of the posterior.

    `birge_ratio` is 1 for figures that differ as their uncertainties say; absent (None) for a single figure.
    """

    mean_mm: float
    standard_uncertainty_mm: float
    birge_ratio: float | None
    enlarged_uncertainty_mm: float


def summarise_widths(widths_mm: Sequence[float], uncertainties_mm: Sequence[float]) -> WidthSummary:
    """The weighted mean of the figures, its standard uncertainty, and how far the figures disagree.

    Weights are w = 1 / u^2: mean = sum w x / sum w, standard uncertainty (sum w)^-1/2, Birge ratio
    R = sqrt(sum w (x - mean)^2 / (n - 1)) (Birge 1932, from memory), enlarged uncertainty the standard one times
    max(1, R). `uncertainties_mm` are standard uncertainties over 0.
    ValueError: no figures, lists of different lengths, an uncertainty that is not over 0.
    """
    if not widths_mm or len(widths_mm) != len(uncertainties_mm):
        raise ValueError("widths and uncertainties: one of each is needed for every figure, and at least one figure")
    if not all(0.0 < uncertainty < math.inf for uncertainty in uncertainties_mm):
        raise ValueError("uncertainties: accepted: numbers over 0")
    weights = [uncertainty**-2 for uncertainty in uncertainties_mm]
    total = math.fsum(weights)
    mean = math.fsum(map(math.prod, zip(weights, widths_mm, strict=True))) / total
    standard = total**-0.5
    if len(widths_mm) == 1:
        return WidthSummary(mean, standard, None, standard)
    squares = math.fsum(weight * (x - mean) ** 2 for weight, x in zip(weights, widths_mm, strict=True))
    ratio = math.sqrt(squares / (len(widths_mm) - 1))
    return WidthSummary(mean, standard, ratio, standard * max(1.0, ratio))
