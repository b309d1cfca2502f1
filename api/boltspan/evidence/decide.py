"""What follows from the probabilities: accept, conflict or insufficient, and whether one more measurement would pay."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from boltspan.evidence.claims import Booleans, Integers
from boltspan.evidence.normal import Floats
from boltspan.evidence.parameters import Parameters
from boltspan.evidence.posterior import Weighed, sum_by_end
from boltspan.evidence.states import NO_WIDTH_MM

ACCEPT: Final = "accept"
CONFLICT: Final = "conflict"
INSUFFICIENT: Final = "insufficient"

# Beyond this the odds of a split are no longer told apart; e^700 is near the end of a float.
_LARGEST_LOG: Final = 700.0


@dataclass(frozen=True, slots=True)
class Decided:
    """The ends of a block, decided.

    `probabilities` (e x states) are those of one value; `order` (e x states) the columns by descending probability.
    """

    probabilities: Floats
    order: Integers
    split_probability: Floats
    outcomes: list[str]
    measurement_value: Floats


def decide(weighed: Weighed, probabilities: Floats) -> Decided:
    """The outcome of each end of the block, from the probabilities after the pair pass (e x states).

    accept: the best value, unless it is unlisted, has `decision.accept` after the chance of a split is taken off, there
    are `decision.witnesses`, and no claim names an inch bolt. conflict: otherwise, with `decision.conflict_claims` or
    more, one of which is `decision.conflict_ratio` times likelier under another value. Else insufficient.
    """
    batch, block = weighed.batch, weighed.block
    decision = batch.model.parameters.decision
    order = rank_states(weighed, probabilities)
    ends = np.arange(len(order))
    best = order[:, 0]
    split = _split_probability(weighed, probabilities, order)
    of_claim = batch.table.ends[block.claims] - block.ends.start
    inch = np.bincount(of_claim, batch.table.inch[block.claims], minlength=len(ends)) > 0
    accepted = probabilities[ends, best] * (1.0 - split) >= decision.accept
    accepted &= (best != batch.model.layout.unlisted) & (batch.table.witnesses[block.ends] >= decision.witnesses)
    accepted &= ~inch
    disputed = _disputed(weighed, best, of_claim)
    outcomes = np.where(accepted, ACCEPT, np.where(disputed, CONFLICT, INSUFFICIENT)).tolist()
    top = np.take_along_axis(probabilities, order, axis=1)
    top = top[order != batch.model.layout.unlisted].reshape(len(ends), -1)
    return Decided(probabilities, order, split, outcomes, measurement_value(top, batch.model.parameters))


def rank_states(weighed: Weighed, probabilities: Floats) -> Integers:
    """The columns by descending probability; ties by mount, bolt, width, the unlisted state last (e x states)."""
    layout, block = weighed.batch.model.layout, weighed.block
    widths_mm = weighed.batch.states.widths_mm[block.frames]
    named = np.broadcast_to(np.arange(layout.states), (len(widths_mm), layout.states))
    if (widths_mm[:, layout.catalogue_widths :] != NO_WIDTH_MM).any():
        named = named.copy()
        by_width = np.argsort(widths_mm, axis=1, kind="stable")[:, None, :]
        bolts = np.arange(layout.bolts)[:, None] * layout.widths
        layout.as_cells(named)[:] = layout.cells.start + bolts + by_width
    named = named[weighed.batch.frame_of_end[block.ends] - block.frames.start]
    place = np.argsort(-np.take_along_axis(probabilities, named, axis=1), axis=1, kind="stable")
    return np.take_along_axis(named, place, axis=1)


def _split_probability(weighed: Weighed, probabilities: Floats, order: Integers) -> Floats:
    """The chance that an end has two true values, the best and one of the next: a running change (e).

    odds = p(v1) sum_j chance second product_claims [(L(v1) + L(j)) / (2 L(v1))]^lambda.
    """
    batch, block = weighed.batch, weighed.block
    split = batch.model.parameters.split
    of_claim = batch.table.ends[block.claims] - block.ends.start
    claims = np.arange(len(of_claim))[:, None]
    best = order[:, 0]
    others = order[:, 1 : 1 + split.candidates]
    likelier = weighed.ratios[claims, others[of_claim]] / weighed.ratios[claims, best[of_claim, None]]
    logs = batch.table.exponents[block.claims, None] * np.log(0.5 + 0.5 * likelier)
    products = np.exp(np.minimum(sum_by_end(logs, batch, block), _LARGEST_LOG))
    odds = probabilities[np.arange(len(best)), best] * products.sum(axis=1) * split.chance * split.second_value
    probability: Floats = odds / (1.0 + odds)
    return probability


def _disputed(weighed: Weighed, best: Integers, of_claim: Integers) -> Booleans:
    """Which ends have claims enough, one of them far likelier under another value than under the best (e)."""
    decision = weighed.batch.model.parameters.decision
    ratio = weighed.ratios.max(axis=1) / weighed.ratios[np.arange(len(of_claim)), best[of_claim]]
    against = np.bincount(of_claim, ratio > decision.conflict_ratio, minlength=len(best)) > 0
    disputed: Booleans = against & (np.bincount(of_claim, minlength=len(best)) >= decision.conflict_claims)
    return disputed


def measurement_value(probabilities: Floats, parameters: Parameters) -> Floats:
    """What one more measurement of each end is worth, in units of one review; worth asking for above 0 (e).

    `probabilities` (e x values) descend and leave out the unlisted state. Expected loss of deciding now (a review, or
    `wrong_cost` times the chance of being wrong) less the expected loss after a measurement that points to the true
    value with 1 - unsound, less the cost of asking. It does not know about witnesses: with fewer than
    `decision.witnesses`, a second person is to be asked whatever this says. Judgement throughout.
    """
    value = parameters.measurement_value
    likeliest = probabilities[:, : value.values]
    by_chance = value.unsound / value.spread
    points = np.full((likeliest.shape[1], likeliest.shape[1]), by_chance)
    np.fill_diagonal(points, 1.0 - value.unsound)
    joint = likeliest[:, :, None] * points
    seen = joint.sum(axis=1) + (1.0 - likeliest.sum(axis=1, keepdims=True)) * by_chance
    surest = joint.max(axis=1) / seen
    now = np.minimum(1.0, value.wrong_cost * (1.0 - likeliest[:, 0]))
    after = (seen * np.minimum(1.0, value.wrong_cost * (1.0 - surest))).sum(axis=1)
    worth: Floats = now - after - (1.0 - seen.sum(axis=1)) - value.asking_cost
    return worth
