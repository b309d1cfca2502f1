"""Why: weights of evidence that add up to the odds of the first candidate against another."""

import math
from dataclasses import dataclass

import numpy as np

from boltspan.evidence.claims import Booleans, Integers
from boltspan.evidence.decide import Decided
from boltspan.evidence.normal import Floats
from boltspan.evidence.posterior import Weighed, sum_by_end

_LOG_10 = math.log(10.0)


@dataclass(frozen=True, slots=True)
class Explained:
    """The first candidate against another, by default the second, log10, for the ends and claims of a block.

    `first` and `second` (e) are their columns. `prior` (e), `other_end` (e) and the `weights` (c) of an end's claims
    add up to log10 of the ratio of the two probabilities.
    """

    first: Integers
    second: Integers
    prior: Floats
    other_end: Floats
    weights: Floats


def explain(weighed: Weighed, decided: Decided, support: Booleans | None = None) -> Explained:
    """What the prior, each claim and the frame's other end add to the first candidate against another.

    The other is the second; with `support` (c x states) the likeliest that goes with a claim which does not go with
    the first, where there is one: what is contradicted is then set against what contradicts it.

    The weight of a claim is lambda log10 L(first) / L(second) of the single-end pass; what the pair pass added is the
    rest, 0 (to rounding) where the frame has one end. Where the second probability is too small for a float, the rest
    is given as 0.
    """
    batch, block = weighed.batch, weighed.block
    listed = decided.order[:, :3] != batch.model.layout.unlisted
    places = np.argsort(~listed, axis=1, kind="stable")
    two = np.take_along_axis(decided.order, places[:, :2], axis=1)
    of_claim = batch.table.ends[block.claims] - block.ends.start
    if support is not None:
        two[:, 1] = _opposed(weighed, decided, support, of_claim, two)
    logs = np.log(weighed.ratios[np.arange(len(of_claim))[:, None], two[of_claim]])
    weights = batch.table.exponents[block.claims] * (logs[:, 0] - logs[:, 1]) / _LOG_10
    log_prior = np.take_along_axis(weighed.log_prior, two, axis=1)
    prior = (log_prior[:, 0] - log_prior[:, 1]) / _LOG_10
    probabilities = np.take_along_axis(decided.probabilities, two, axis=1)
    known = probabilities[:, 1] > 0.0
    odds = np.log10(probabilities[:, 0] / np.where(known, probabilities[:, 1], 1.0))
    other_end = np.where(known, odds - prior - sum_by_end(weights, batch, block), 0.0)
    return Explained(two[:, 0], two[:, 1], prior, other_end, weights)


def _opposed(weighed: Weighed, decided: Decided, support: Booleans, of_claim: Integers, two: Integers) -> Integers:
    """The likeliest state of each end that goes with a claim which does not go with the first; else the second (e)."""
    against = support & ~support[np.arange(len(of_claim)), two[of_claim, 0]][:, None]
    named = np.take_along_axis(sum_by_end(against, weighed.batch, weighed.block) > 0, decided.order, axis=1)
    named &= np.take_along_axis(decided.probabilities, decided.order, axis=1) > 0.0
    place = named.argmax(axis=1)
    ends = np.arange(len(place))
    opposed: Integers = np.where(named[ends, place], decided.order[ends, place], two[:, 1])
    return opposed
