"""Why: weights of evidence that add up to the odds of the first two candidates."""

import math
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
