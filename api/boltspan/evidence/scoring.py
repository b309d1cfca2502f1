"""How good probabilities are, once the true values are known."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from boltspan.evidence.baselines import Predicted
from boltspan.evidence.claims import HARDWARE_CODE, Booleans, Integers
from boltspan.evidence.intake import Answer
from boltspan.evidence.normal import Floats
from boltspan.evidence.parameters import Parameters

MEASURES: Final = ("accuracy", "brier", "log_loss", "calibration_error", "accepted", "accepted_wrong")
BINS: Final = 15
"""Bins of equal width for the calibration error (common practice)."""
UNLISTED_VALUES: Final = 2000
"""What a list of candidates leaves out is spread over so many values (judgement)."""
LEAST_P: Final = 1e-5
"""A true value that was thought impossible costs -ln of this (judgement)."""


@dataclass(frozen=True, slots=True)
class Scored:
    """What one method said of each of A ends with a known answer.

    `hit`: the first candidate is the true value; `top_p`: its probability; `brier`: sum over values of (p - truth)^2;
    `log_loss`: -ln p of the true value.
    """

    hit: Booleans
    brier: Floats
    log_loss: Floats
    top_p: Floats
    accepted: Booleans


def score(predicted: Predicted, accepted: Booleans, answers: Mapping[int, Answer], parameters: Parameters) -> Scored:
    """The candidates of each end held against its answer, in the order of `answers` (by number of the end).

    Of equal candidates the one listed first counts. An end without candidates is a miss with p = 0. Sizes that are one
    to the trade (`sizes.same_width_mm`, `sizes.bolt_tolerance_mm`) are one here.
    """
    ends = np.fromiter(answers, dtype=np.intp)
    count = len(accepted)
    true = {end: _true_columns(answer) for end, answer in answers.items()}
    mount, bolt_mm, width_mm = np.zeros(count), np.zeros(count), np.zeros(count)
    mount[ends], bolt_mm[ends], width_mm[ends] = np.array([true[end] for end in ends.tolist()]).reshape(-1, 3).T
    of = predicted.ends
    same = predicted.mounts == mount[of]
    sized = np.abs(predicted.bolt_mm - bolt_mm[of]) < parameters.sizes.bolt_tolerance_mm
    sized &= np.abs(predicted.width_mm - width_mm[of]) <= parameters.sizes.same_width_mm + 1e-9
    same &= (predicted.mounts != HARDWARE_CODE) | sized
    p_true = np.bincount(of, predicted.p * same, count)
    others = np.bincount(of, predicted.p**2 * ~same, count)
    total = np.bincount(of, predicted.p, count)
    unlisted = np.maximum(1.0 - total, 0.0) / UNLISTED_VALUES
    first = np.lexsort((np.arange(len(of)), -predicted.p, of))
    told, place = np.unique(of[first], return_index=True)
    top_p, hit = np.zeros(count), np.zeros(count, dtype=np.bool_)
    top_p[told], hit[told] = predicted.p[first[place]], same[first[place]]
    brier: Floats = np.square(1.0 - p_true) + others
    believed: Floats = np.stack((p_true, unlisted, np.full(count, LEAST_P))).max(axis=0)
    log_loss: Floats = -np.log(believed)
    return Scored(hit[ends], brier[ends], log_loss[ends], top_p[ends], accepted[ends])


def _true_columns(answer: Answer) -> tuple[float, float, float]:
    return (answer.mount, answer.bolt_mm, answer.width_mm)


def reliability_bins(scored: Scored, chosen: Booleans) -> list[dict[str, float]]:
    """For each bin that is not empty: mean probability of the first candidate, how often it is right, how many."""
    bins = _bins(scored)
    rows = []
    for number in range(BINS):
        own = chosen & (bins == number)
        if own.any():
            rows.append({"p": float(scored.top_p[own].mean()), "right": float(scored.hit[own].mean())})
            rows[-1]["ends"] = int(own.sum())
    return rows


def _bins(scored: Scored) -> Integers:
    return np.minimum((scored.top_p * BINS).astype(np.intp), BINS - 1)


def measures(
    scored: Scored, chosen: Booleans, frames: Integers, *, draws: int, seed: int
) -> dict[str, dict[str, float]]:
    """Each of MEASURES for the chosen ends (at least one): `value` with the 95 % bootstrap interval `low` to `high`.

    Frames are drawn whole, for their two ends depend on each other. With no `draws` there is no interval.
    `accepted_wrong` is the share of wrong values among the accepted, 0 when nothing is accepted. The calibration error
    is the expected one: |mean p - share right| of each bin, weighted by its ends.
    """
    sums = _sums_by_frame(scored, chosen, frames)
    value = _measures(sums.sum(axis=0)[None])[0].tolist()
    if not draws:
        return {name: {"value": value[place]} for place, name in enumerate(MEASURES)}
    chance = np.random.default_rng(seed)
    drawn = np.stack(
        [np.bincount(chance.integers(len(sums), size=len(sums)), minlength=len(sums)) for _ in range(draws)]
    )
    low, high = np.quantile(_measures(drawn @ sums), (0.025, 0.975), axis=0).tolist()
    return {
        name: {"value": value[place], "low": low[place], "high": high[place]} for place, name in enumerate(MEASURES)
    }


def _sums_by_frame(scored: Scored, chosen: Booleans, frames: Integers) -> Floats:
    """By frame with a chosen end: ends, hits, Brier, log loss, accepted, wrongly accepted, and p - hit of each bin."""
    hit, taken = scored.hit[chosen], scored.accepted[chosen]
    rows = np.zeros((int(chosen.sum()), 6 + BINS))
    rows[:, :6] = np.stack(
        (np.ones(len(hit)), hit, scored.brier[chosen], scored.log_loss[chosen], taken, taken & ~hit), axis=1
    )
    rows[np.arange(len(rows)), 6 + _bins(scored)[chosen]] = scored.top_p[chosen] - hit
    _, own = np.unique(frames[chosen], return_inverse=True)
    sums = np.zeros((int(own.max()) + 1, rows.shape[1]))
    np.add.at(sums, own, rows)
    return sums


def _measures(sums: Floats) -> Floats:
    """MEASURES in their order from summed rows (draws x 6)."""
    ends, accepted = sums[:, 0], sums[:, 4]
    error = np.abs(sums[:, 6:]).sum(axis=1) / ends
    wrong = sums[:, 5] / np.maximum(accepted, 1.0)
    return np.stack((*(sums[:, 1:4] / ends[:, None]).T, error, accepted / ends, wrong), axis=1)
