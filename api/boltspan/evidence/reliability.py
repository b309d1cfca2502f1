"""How far sources, contributors and calipers are to be trusted, learnt from agreement over a whole batch.

One-coin Dawid-Skene in its core (Zhang, Chen, Zhou, Jordan, "Spectral methods meet EM", JMLR 17, 2016), with
pseudo-claims for sources and contributors, and no claim vouching for itself.
"""

from dataclasses import dataclass
from typing import Self

import numpy as np

from boltspan.evidence.batch import Batch
from boltspan.evidence.claims import CALIPER_CODE, ClaimTable, Integers
from boltspan.evidence.model import Model
from boltspan.evidence.normal import Floats
from boltspan.evidence.posterior import weigh


@dataclass(frozen=True, slots=True)
class Rates:
    """What was learnt of a batch.

    `unsound` is e of each claim (C); `sources` the unsound rate of each source, by code; `offsets_mm` the zero error of
    each contributor's caliper, by code. The weight (sum of lambda) and the sound part of it (sum of lambda gamma) are
    kept for each contributor (`weights`, `sounds`) and for each contributor on one end (`own_weights`, `own_sounds`).
    """

    unsound: Floats
    sources: Floats
    offsets_mm: Floats
    weights: Floats
    sounds: Floats
    own_weights: Floats
    own_sounds: Floats

    @classmethod
    def default(cls, table: ClaimTable, model: Model) -> Self:
        """The rates before any claim is looked at: each source's default, no zero error."""
        people = np.zeros(len(table.contributor_ids))
        own = np.zeros(len(table.persons))
        return cls(model.unsound[table.sources], model.unsound.copy(), people, people, people, own, own)


def learn_rates(batch: Batch) -> Rates:
    """The rates of a batch after the rounds of re-estimation; the batch's factors follow the offsets found.

    The last of `reliability.rounds` only weighs, so there is one re-estimation less.
    """
    rates = Rates.default(batch.table, batch.model)
    for _ in range(batch.model.parameters.reliability.rounds - 1):
        sound = np.empty(len(batch.claims))
        widths_mm, sure = np.empty(len(batch.ends)), np.empty(len(batch.ends))
        for block in batch.blocks:
            weighed = weigh(batch, block, rates.unsound)
            sound[block.claims] = weighed.soundness()
            widths_mm[block.ends], sure[block.ends] = weighed.best_widths()
        offsets_mm = zero_offsets(batch.table, widths_mm, sure, batch.model)
        batch.apply_offsets(offsets_mm, rates.offsets_mm)
        rates = estimate_rates(batch.table, sound, offsets_mm, batch.model)
    return rates


def estimate_rates(table: ClaimTable, sound: Floats, offsets_mm: Floats, model: Model) -> Rates:
    """Rates from the soundness of each claim.

    A source's rate is its default, weighing as `source_pseudo` claims, and what its claims showed. A claim's rate is
    its source's, weighing as `contributor_pseudo` claims, and what its contributor's claims on other ends showed: no
    claim vouches for itself, nor for another by the same person about the same end.
    """
    order = table.by_sequence
    weight, part = table.exponents[order], (table.exponents * sound)[order]
    sources, contributors, persons = table.sources[order], table.contributors[order], table.persons[order]
    kinds = len(model.unsound)
    by_source = source_rates(_sums(sources, weight, kinds), _sums(sources, weight - part, kinds), model)
    people, pairs = len(table.contributor_ids), int(table.persons.max(initial=-1)) + 1
    weights, sounds = _sums(contributors, weight, people), _sums(contributors, part, people)
    own_weights, own_sounds = _sums(persons, weight, pairs), _sums(persons, part, pairs)
    rates = claim_rates(
        by_source[table.sources],
        weights[table.contributors] - own_weights[table.persons],
        sounds[table.contributors] - own_sounds[table.persons],
        model,
    )
    return Rates(rates, by_source, offsets_mm, weights, sounds, own_weights, own_sounds)


def source_rates(weights: Floats, unsound: Floats, model: Model) -> Floats:
    """The unsound rate of each source from what its claims weighed and how much of that was unsound, by code."""
    pseudo = model.parameters.reliability.source_pseudo
    rates: Floats = (pseudo * model.unsound + unsound) / (pseudo + weights)
    return rates


def _sums(codes: Integers, values: Floats, size: int) -> Floats:
    """The sum of the values of each code, taken in their order."""
    return np.bincount(codes, values, minlength=size).astype(np.float64, copy=False)


def claim_rates(source_rates: Floats, weights: Floats, sounds: Floats, model: Model) -> Floats:
    """The unsound rate of each claim from its source's rate and its contributor's other claims, within the limits.

    e = 1 - [A (1 - source rate) + sounds] / [A + weights], A = `contributor_pseudo`.
    """
    reliability = model.parameters.reliability
    pseudo = reliability.contributor_pseudo
    rates = 1.0 - (pseudo * (1.0 - source_rates) + sounds) / (pseudo + weights)
    return np.clip(rates, reliability.unsound_least, reliability.unsound_most)


def zero_offsets(table: ClaimTable, widths_mm: Floats, sure: Floats, model: Model) -> Floats:
    """The zero error of each contributor's caliper, mm; 0 with fewer than `offset.least_claims` claims to learn from.

    `widths_mm` and `sure` (E) are the likeliest width of each end and its probability.
    """
    return offsets_from(*residuals(table, widths_mm, sure, model), model)


def residuals(table: ClaimTable, widths_mm: Floats, sure: Floats, model: Model) -> tuple[Floats, Floats]:
    """How far each contributor's caliper read off the likeliest widths, summed, mm, and over how many claims.

    A claim counts when the width of its end is sure and it reads within `offset.window_mm` of it.
    """
    offset = model.parameters.offset
    residual = table.width_mm - widths_mm[table.ends]
    counted = (table.sources == CALIPER_CODE) & (sure[table.ends] > offset.sure_width)
    counted &= np.abs(residual) <= offset.window_mm
    places = table.by_sequence[counted[table.by_sequence]]
    people = len(table.contributor_ids)
    total = _sums(table.contributors[places], residual[places], people)
    return total, _sums(table.contributors[places], np.ones(len(places)), people)


def offsets_from(total_mm: Floats, claims: Floats, model: Model) -> Floats:
    """Zero errors from summed residuals: the mean residual, drawn toward 0 by a normal prior."""
    offset = model.parameters.offset
    variance = offset.reading_sd_mm**2 + offset.part_sd_mm**2
    mean = (total_mm / variance) / (claims / variance + 1.0 / offset.prior_sd_mm**2)
    return np.where(claims >= offset.least_claims, mean, 0.0)
