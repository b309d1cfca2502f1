"""From likelihoods to the probability of each state, one end by itself."""

from dataclasses import dataclass

import numpy as np

from boltspan.evidence.batch import Batch, Block
from boltspan.evidence.claims import Booleans
from boltspan.evidence.normal import Floats
from boltspan.evidence.states import prior_of_states


@dataclass(frozen=True, slots=True)
class Weighed:
    """A block of a batch, weighed with the rates of one round; c claims, e ends.

    `unsound` (c) is the e of the model. `ratios` (c x states) is L / (e B): at least 1, and over the states of one
    claim in the same proportions as L. `log_prior` and `posterior` are e x states, natural logs; each row of
    `posterior` adds up to 1.
    """

    batch: Batch
    block: Block
    unsound: Floats
    ratios: Floats
    log_prior: Floats
    posterior: Floats

    def soundness(self) -> Floats:
        """The probability that each claim is sound: sum of q (1 - e) S / L, which is 1 - sum of q e B / L (c)."""
        of_claim = self.posterior[self.batch.table.ends[self.block.claims] - self.block.ends.start]
        of_claim /= self.ratios
        sound: Floats = 1.0 - of_claim.sum(axis=1)
        return sound

    def best_widths(self) -> tuple[Floats, Floats]:
        """The likeliest width of each end, mm, and its probability summed over bolts; ties: the first column (e)."""
        by_width = self.batch.model.layout.as_cells(self.posterior).sum(axis=1)
        column = by_width.argmax(axis=1)
        ends = np.arange(len(column))
        return self.batch.states.widths_mm[self.batch.frame_of_end[self.block.ends], column], by_width[ends, column]


def weigh(batch: Batch, block: Block, unsound: Floats) -> Weighed:
    """Each end of the block by itself: log q = log prior + sum of lambda log L, normalised.

    `unsound` (C) is for all claims of the batch. An end without claims keeps its prior.
    """
    ratios = likelihood_ratios(batch, block, unsound)
    logs = np.log(ratios)
    logs *= batch.table.exponents[block.claims, None]
    model = batch.model
    prior = prior_of_states(batch.states, block.frames, model.catalogue, model.layout, model.parameters)
    with np.errstate(divide="ignore"):  # an unused place has prior 0
        log_prior = np.log(prior)[batch.frame_of_end[block.ends] - block.frames.start]
    posterior = sum_by_end(logs, batch, block)
    posterior += log_prior
    posterior -= posterior.max(axis=1, keepdims=True)
    np.exp(posterior, out=posterior)
    posterior /= posterior.sum(axis=1, keepdims=True)
    return Weighed(batch, block, unsound[block.claims], ratios, log_prior, posterior)


def likelihood_ratios(batch: Batch, block: Block, unsound: Floats) -> Floats:
    """L(state) / (e B) = 1 + (1 - e) S(state) / (e B) for the claims of the block (c x states)."""
    factors, layout, claims = batch.factors, batch.model.layout, block.claims
    scale = (1.0 - unsound[claims]) / (unsound[claims] * batch.background[claims])
    ratios = np.empty((len(scale), layout.states))
    np.multiply(
        (scale * factors.mounts[claims])[:, None, None] * factors.bolts[claims, :, None],
        factors.widths[claims, None, :],
        out=layout.as_cells(ratios),
    )
    ratios[:, layout.bare] = scale[:, None] * factors.bare[claims]
    ratios[:, layout.unlisted] = scale * factors.unlisted[claims]
    ratios += 1.0
    return ratios


def sum_by_end(rows: Floats | Booleans, batch: Batch, block: Block) -> Floats:
    """The sum over the claims of each end of the block, in the order of the claims; 0 for an end without claims."""
    first = batch.first_claim[block.ends.start : block.ends.stop + 1] - block.claims.start
    with_claims = np.flatnonzero(np.diff(first))
    sums = np.zeros((len(first) - 1, *rows.shape[1:]))
    if with_claims.size:
        sums[with_claims] = np.add.reduceat(rows, first[with_claims], axis=0)
    return sums
