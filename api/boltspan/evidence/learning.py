"""Learning the rates of more claims than fit into memory at once: portion by portion, round by round."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from boltspan.evidence.batch import Batch
from boltspan.evidence.intake import read_claims, read_ends
from boltspan.evidence.model import Model
from boltspan.evidence.normal import Floats
from boltspan.evidence.posterior import weigh
from boltspan.evidence.reliability import estimate_rates, learn_rates, offsets_from, residuals, source_rates
from boltspan.evidence.snapshot import Record, Snapshot
from boltspan.evidence.vocabulary import SOURCES

Portion = tuple[Any, Any]
"""Rows of ends and rows of claims as in the input of `resolve`; whole frames."""


def learn(portions: Callable[[], Iterable[Portion]], model: Model, name: str) -> Snapshot:
    """What all claims together say of sources, contributors and calipers, as `resolve_batch` would learn it.

    `portions` is called for each round and gives the same portions each time; memory holds one of them and a record
    for each contributor on each end. A single portion is read once. Nothing to learn from: the rates of the
    parameters. The result differs from that of one batch by the order of sums only.
    EvidenceInputError: a row that cannot be used.
    """
    rows = iter(portions())
    first: Portion = next(rows, ([], []))
    more = next(rows, None)
    if more is None:
        batch = _batch(first, model, {})
        return Snapshot.of(name, batch, learn_rates(batch))
    rates = dict(zip(SOURCES, model.unsound.tolist(), strict=True))
    snapshot = Snapshot(name, model.parameters.model_version, rates)
    for _ in range(model.parameters.reliability.rounds - 1):
        tally = _Tally()
        for portion in portions():
            tally.add(_batch(portion, model, snapshot.offsets_mm), snapshot)
        snapshot = tally.snapshot(name, model)
    return snapshot


def _batch(portion: Portion, model: Model, offsets_mm: Any) -> Batch:
    ends = sorted(read_ends(portion[0]), key=lambda end: (end.frame_id, end.end_id))
    return Batch.of(ends, read_claims(portion[1], ends, model.parameters), model, offsets_mm=offsets_mm)


def _no_record() -> Record:
    return Record(0.0, 0.0)


@dataclass(slots=True)
class _Tally:
    """The sums of one round over all portions."""

    weights: Floats = field(default_factory=lambda: np.zeros(len(SOURCES)))
    unsound: Floats = field(default_factory=lambda: np.zeros(len(SOURCES)))
    contributors: defaultdict[str, Record] = field(default_factory=lambda: defaultdict(_no_record))
    on_end: dict[tuple[str, str], Record] = field(default_factory=dict)
    residuals: defaultdict[str, Record] = field(default_factory=lambda: defaultdict(_no_record))

    def add(self, batch: Batch, snapshot: Snapshot) -> None:
        """Weighs a portion with the rates of the round before and adds what follows."""
        table, rates = batch.table, snapshot.unsound_of(batch)
        sound = np.empty(len(batch.claims))
        widths_mm, sure = np.empty(len(batch.ends)), np.empty(len(batch.ends))
        for block in batch.blocks:
            weighed = weigh(batch, block, rates)
            sound[block.claims] = weighed.soundness()
            widths_mm[block.ends], sure[block.ends] = weighed.best_widths()
        self.weights += np.bincount(table.sources, table.exponents, len(SOURCES))
        self.unsound += np.bincount(table.sources, table.exponents * (1.0 - sound), len(SOURCES))
        nobody_mm = np.zeros(len(table.contributor_ids))
        learnt = Snapshot.of("", batch, estimate_rates(table, sound, nobody_mm, batch.model))
        self.on_end |= learnt.on_end
        for person, record in learnt.contributors.items():
            self.contributors[person] = _plus(self.contributors[person], record)
        total_mm, claims = residuals(table, widths_mm, sure, batch.model)
        for person, off in zip(
            table.contributor_ids, zip(claims.tolist(), total_mm.tolist(), strict=True), strict=True
        ):
            self.residuals[person] = _plus(self.residuals[person], Record(*off))

    def snapshot(self, name: str, model: Model) -> Snapshot:
        """The rates that the sums lead to."""
        claims, total_mm = (np.array(column) for column in zip(*self.residuals.values(), strict=True))
        offsets_mm = zip(self.residuals, offsets_from(total_mm, claims, model).tolist(), strict=True)
        return Snapshot(
            name,
            model.parameters.model_version,
            dict(zip(SOURCES, source_rates(self.weights, self.unsound, model).tolist(), strict=True)),
            dict(self.contributors),
            self.on_end,
            {person: offset_mm for person, offset_mm in offsets_mm if offset_mm},
        )


def _plus(one: Record, other: Record) -> Record:
    return Record(one.weight + other.weight, one.sound + other.sound)
