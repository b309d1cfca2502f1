"""All that is known of the ends to be resolved, in the order and the portions in which it is worked on."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple, Self

import numpy as np

from boltspan.evidence.claims import CALIPER_CODE, ClaimTable, Integers, tabulate
from boltspan.evidence.intake import Claim, End
from boltspan.evidence.likelihoods import Factors, Reports
from boltspan.evidence.model import Model
from boltspan.evidence.normal import Floats
from boltspan.evidence.states import FrameStates, find_novel_widths

# Rows of claims and ends worked on at once: arrays over states then stay within a processor's cache.
ROWS_PER_BLOCK: Final = 1024


class Block(NamedTuple):
    """Whole frames that are worked on at once: where they, their ends and their claims stand."""

    frames: slice
    ends: slice
    claims: slice


@dataclass(frozen=True, slots=True)
class Batch:
    """E ends in the order of frame and id, F frames, C claims in the order of `read_claims`.

    `frame_of_end` (E) and `first_claim` (E + 1) place ends among frames and claims among ends. `factors` and
    `background` (C), the chance of a report whatever the end's value is, follow the offsets of calipers.
    """

    model: Model
    ends: Sequence[End]
    claims: Sequence[Claim]
    table: ClaimTable
    frame_of_end: Integers
    first_claim: Integers
    states: FrameStates
    factors: Factors
    background: Floats
    blocks: Sequence[Block]

    @classmethod
    def of(
        cls,
        ends: Sequence[End],
        claims: Sequence[Claim],
        model: Model,
        *,
        offsets_mm: Mapping[str, float] | None = None,
        rows_per_block: int = ROWS_PER_BLOCK,
    ) -> Self:
        """The batch of ends (ordered by frame and id) and their claims.

        `offsets_mm` is the zero error of each contributor's caliper, 0 for who is not in it.
        """
        table = tabulate(claims, len(ends))
        known_mm = offsets_mm or {}
        zeros_mm = np.array([known_mm.get(contributor, 0.0) for contributor in table.contributor_ids])
        frame_of_end = _number_frames(ends)
        frame_count = int(frame_of_end[-1]) + 1 if len(ends) else 0
        first_claim = np.searchsorted(table.ends, np.arange(len(ends) + 1))
        batch = cls(
            model=model,
            ends=ends,
            claims=claims,
            table=table,
            frame_of_end=frame_of_end,
            first_claim=first_claim,
            states=find_novel_widths(table, frame_of_end[table.ends], frame_count, model.catalogue, model.parameters),
            factors=Factors.empty(len(claims), model),
            background=np.empty(len(claims)),
            blocks=_blocks(frame_of_end, first_claim, rows_per_block),
        )
        for block in batch.blocks:
            places = np.arange(block.claims.start, block.claims.stop)
            batch.factors.fill(places, batch._reports(places, zeros_mm), model)
            batch.background[places] = batch._background(places)
        return batch

    def apply_offsets(self, offsets_mm: Floats, before_mm: Floats) -> None:
        """Takes each contributor's zero error off their caliper's widths, where it differs from before."""
        changed = (offsets_mm != before_mm)[self.table.contributors]
        changed &= (self.table.sources == CALIPER_CODE) & ~np.isnan(self.table.width_mm)
        for block in self.blocks:
            places = block.claims.start + np.flatnonzero(changed[block.claims])
            if places.size:
                self.factors.fill_widths(places, self._reports(places, offsets_mm), self.model)
                self.background[places] = self._background(places)

    def _reports(self, places: Integers, offsets_mm: Floats) -> Reports:
        columns_mm = self.states.widths_mm[self.frame_of_end[self.table.ends[places]]]
        calipers = self.table.sources[places] == CALIPER_CODE
        return Reports.of(
            self.table, places, columns_mm, np.where(calipers, offsets_mm[self.table.contributors[places]], 0.0)
        )

    def _background(self, places: Integers) -> Floats:
        """The chance of each report under the prior of its end: the sum of prior times S, by its factors."""
        catalogue, layout, factors, states = self.model.catalogue, self.model.layout, self.factors, self.states
        frames = self.frame_of_end[self.table.ends[places]]
        bolts, widths = factors.bolts[places], factors.widths[places]
        known, novel = widths[:, : layout.catalogue_widths], widths[:, layout.catalogue_widths :]
        listed = 1.0 - self.model.parameters.prior.novel_share
        cells = listed * ((bolts @ catalogue.cells) * known).sum(axis=1)
        cells += (bolts @ catalogue.bolts) * (states.novel[frames] * novel).sum(axis=1)
        hardware = factors.mounts[places] * cells + states.unlisted[frames] * factors.unlisted[places]
        total: Floats = catalogue.hardware * hardware + factors.bare[places] @ catalogue.bare
        return total / states.total[frames]


def _number_frames(ends: Sequence[End]) -> Integers:
    """The number of each end's frame, counting frames in the order of the ends."""
    starts = [place == 0 or ends[place - 1].frame_id != end.frame_id for place, end in enumerate(ends)]
    return np.cumsum(np.array(starts, dtype=np.intp)) - 1


def _blocks(frame_of_end: Integers, first_claim: Integers, rows_per_block: int) -> list[Block]:
    """Whole frames in portions of about so many rows; one frame with more rows is a portion of its own."""
    if not frame_of_end.size:
        return []
    first_end = np.searchsorted(frame_of_end, np.arange(frame_of_end[-1] + 2))
    rows_before = first_end + first_claim[first_end]
    portion = rows_before[:-1] // rows_per_block
    starts = np.flatnonzero(np.diff(portion, prepend=-1))
    bounds = [*starts.tolist(), len(portion)]
    return [
        Block(
            slice(start, stop),
            slice(int(first_end[start]), int(first_end[stop])),
            slice(int(first_claim[first_end[start]]), int(first_claim[first_end[stop]])),
        )
        for start, stop in itertools.pairwise(bounds)
    ]
