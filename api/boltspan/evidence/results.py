"""Resolved ends as the JSON that `boltspan resolve` writes."""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np

from boltspan.evidence.batch import Batch, Block
from boltspan.evidence.claims import Booleans
from boltspan.evidence.decide import Decided, decide
from boltspan.evidence.explain import Explained, explain
from boltspan.evidence.intake import Claim
from boltspan.evidence.normal import Floats
from boltspan.evidence.pairs import couple_ends
from boltspan.evidence.posterior import sum_by_end, weigh
from boltspan.evidence.states import NO_WIDTH_MM
from boltspan.evidence.support import supporters
from boltspan.evidence.vocabulary import BARE_MOUNTS, HARDWARE

Result = dict[str, Any]


class Shortlist(NamedTuple):
    """Which candidates are listed at all: far fewer than the model can tell apart, for who keeps many ends' results.

    Those from `named_p` on that a claim goes with, those from `unnamed_p` on that none goes with; of the ends `in_full`
    every candidate that is listed otherwise.
    """

    named_p: float
    unnamed_p: float
    in_full: frozenset[str] = frozenset()


def results_of(
    batch: Batch, unsound: Floats, *, supported: bool = False, shortlist: Shortlist | None = None
) -> Iterator[Result]:
    """One result for each end of the batch, in its order, from the final unsound rates of all claims (C).

    Candidates descend (ties: mount, bolt, width) to `decision.listed`. The explanation sets the first against the
    second; with `supported` and without `shortlist` against the likeliest that contradicts it, see `explain`. Where
    these two are not the first two that are listed, both are given as `compared`. `marks` names claims to be looked at
    by a person. Both are left out when there is nothing to say. With `supported` each candidate also has `claims`, the
    ids of those that go with it; a `shortlist` leaves out candidates of no interest.
    """
    values = _listed_values(batch)
    for block in batch.blocks:
        weighed = weigh(batch, block, unsound)
        decided = decide(weighed, couple_ends(weighed))
        support = supporters(weighed) if supported or shortlist is not None else None
        listed = _listed(batch, block, decided, support, shortlist)
        opposed = support if shortlist is None else None
        yield from _block_results(batch, block, decided, explain(weighed, decided, opposed), values, listed, support)


def _listed(
    batch: Batch, block: Block, decided: Decided, support: Booleans | None, shortlist: Shortlist | None
) -> Booleans:
    """Which of the states, in the order of `decided`, are listed as candidates (e x states)."""
    p = np.take_along_axis(decided.probabilities, decided.order, axis=1)
    listed: Booleans = (p >= batch.model.parameters.decision.listed) & (decided.order != batch.model.layout.unlisted)
    if shortlist is not None and support is not None:
        named = np.take_along_axis(sum_by_end(support, batch, block) > 0, decided.order, axis=1)
        whole = np.array([end.end_id in shortlist.in_full for end in batch.ends[block.ends]], dtype=np.bool_)
        listed &= whole[:, None] | (p >= np.where(named, shortlist.named_p, shortlist.unnamed_p))
    return listed


def _listed_values(batch: Batch) -> list[Result]:
    """The fields of each state but the unlisted one, by column; novel widths are filled in for their frame."""
    layout = batch.model.layout
    values: list[Result] = [{} for _ in range(layout.unlisted)]
    for column, mount in zip(layout.bare, BARE_MOUNTS, strict=True):
        values[column] = {"mount": mount}
    widths_mm = batch.model.catalogue.widths_mm.tolist()
    for number, bolt_mm in enumerate(batch.model.bolts_mm.tolist()):
        first = layout.cells.start + number * layout.widths
        for column, width_mm in enumerate(widths_mm, first):
            values[column] = _hardware(bolt_mm, width_mm)
    return values


def _hardware(bolt_mm: float, width_mm: float) -> Result:
    return {"mount": HARDWARE, "bolt_mm": bolt_mm, "width_mm": width_mm}


def _values_of_frame(batch: Batch, frame: int, values: list[Result]) -> list[Result]:
    layout = batch.model.layout
    novel_mm = batch.states.widths_mm[frame, layout.catalogue_widths :]
    used = np.flatnonzero(novel_mm != NO_WIDTH_MM).tolist()
    if not used:
        return values
    of_frame = values.copy()
    for number, bolt_mm in enumerate(batch.model.bolts_mm.tolist()):
        first = layout.cells.start + number * layout.widths + layout.catalogue_widths
        for place in used:
            of_frame[first + place] = _hardware(bolt_mm, float(novel_mm[place]))
    return of_frame


def _block_results(
    batch: Batch,
    block: Block,
    decided: Decided,
    explained: Explained,
    values: list[Result],
    listed: Booleans,
    support: Booleans | None,
) -> Iterator[Result]:
    sorted_p = np.take_along_axis(decided.probabilities, decided.order, axis=1)
    last = np.cumsum(np.count_nonzero(listed, axis=1)).tolist()
    columns, p = decided.order[listed].tolist(), sorted_p[listed].tolist()
    weights = explained.weights.tolist()
    first_claim = (batch.first_claim[block.ends.start : block.ends.stop + 1] - block.claims.start).tolist()
    frames = batch.frame_of_end[block.ends].tolist()
    witnesses = batch.table.witnesses[block.ends].tolist()
    first = 0
    for number, end in enumerate(batch.ends[block.ends]):
        values_here = _values_of_frame(batch, frames[number], values)
        stop = last[number]
        candidates = [
            {**values_here[column], "p": chance}
            for column, chance in zip(columns[first:stop], p[first:stop], strict=True)
        ]
        own = slice(first_claim[number], first_claim[number + 1])
        claims = batch.claims[block.claims][own]
        if support is not None:
            _name_supporters(candidates, claims, support[own, columns[first:stop]])
        result: Result = {
            "end_id": end.end_id,
            "outcome": decided.outcomes[number],
            "candidates": candidates,
            "prior_log10_odds": float(explained.prior[number]),
            "other_end_log10_odds": float(explained.other_end[number]),
            "weights": [
                {"claim_id": claim.claim_id, "log10_odds": weight}
                for claim, weight in zip(claims, weights[own], strict=True)
            ],
            "split_probability": float(decided.split_probability[number]),
            "witnesses": witnesses[number],
            "measurement_value": float(decided.measurement_value[number]),
        }
        compared = [int(explained.first[number]), int(explained.second[number])]
        if columns[first:stop][:2] != compared:
            result["compared"] = _compared(compared, values_here, decided.probabilities[number])
            if support is not None:
                _name_supporters(result["compared"], claims, support[own, compared])
        first = stop
        if marks := [{"claim_id": claim.claim_id, "code": code} for claim in claims for code in claim.marks]:
            result["marks"] = marks
        yield result


def _compared(columns: Sequence[int], values: Sequence[Result], probabilities: Floats) -> list[Result]:
    return [{**values[column], "p": float(probabilities[column])} for column in columns]


def _name_supporters(candidates: Sequence[Result], claims: Sequence[Claim], support: Booleans) -> None:
    """Writes into each candidate the ids of the claims that go with it; `support` is claims x candidates."""
    for candidate in candidates:
        candidate["claims"] = []
    for place, claim in zip(*(found.tolist() for found in support.T.nonzero()), strict=True):
        candidates[place]["claims"].append(claims[claim].claim_id)
