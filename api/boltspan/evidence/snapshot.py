"""What one full run learnt of sources, contributors and calipers, kept for resolving a single frame later."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Self

import numpy as np

from boltspan.evidence.batch import Batch
from boltspan.evidence.intake import EvidenceInputError
from boltspan.evidence.normal import Floats
from boltspan.evidence.reliability import Rates, claim_rates
from boltspan.evidence.vocabulary import SOURCES


class Record(NamedTuple):
    """What a contributor's claims weighed (sum of lambda), and how much of it was sound (sum of lambda gamma)."""

    weight: float
    sound: float


NO_RECORD = Record(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The rates of one full run, under a name (say, its date) that results carry.

    `source_rates` are unsound rates by source; `contributors` the record of each contributor; `on_end` the part of a
    record that comes from one end, by contributor and end_id, so that it can be left out when that end is judged;
    `offsets_mm` the zero error of each contributor's caliper. Who is missing has no record and no zero error.
    """

    name: str
    model_version: str
    source_rates: Mapping[str, float]
    contributors: Mapping[str, Record] = field(default_factory=dict)
    on_end: Mapping[tuple[str, str], Record] = field(default_factory=dict)
    offsets_mm: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def of(cls, name: str, batch: Batch, rates: Rates) -> Self:
        """The snapshot of a resolved batch."""
        ids = batch.table.contributor_ids
        records = zip(ids, rates.weights.tolist(), rates.sounds.tolist(), strict=True)
        _, first = np.unique(batch.table.persons, return_index=True)
        own = zip(first.tolist(), rates.own_weights.tolist(), rates.own_sounds.tolist(), strict=False)
        claims, ends = batch.claims, batch.ends
        return cls(
            name=name,
            model_version=batch.model.parameters.model_version,
            source_rates=dict(zip(SOURCES, rates.sources.tolist(), strict=True)),
            contributors={contributor: Record(weight, sound) for contributor, weight, sound in records},
            on_end={
                (claims[place].contributor, ends[claims[place].end].end_id): Record(weight, sound)
                for place, weight, sound in own
            },
            offsets_mm={ids[place]: float(rates.offsets_mm[place]) for place in np.flatnonzero(rates.offsets_mm)},
        )

    @classmethod
    def from_document(cls, document: Mapping[str, Any]) -> Self:
        """The snapshot that `as_document` wrote.

        EvidenceInputError: a part is missing or has another form.
        """
        try:
            return cls(
                name=document["name"],
                model_version=document["model_version"],
                source_rates=dict(document["source_rates"]),
                contributors={person: Record(*record) for person, record in document["contributors"].items()},
                on_end={
                    (person, end_id): Record(*record)
                    for person, ends in document["on_end"].items()
                    for end_id, record in ends.items()
                },
                offsets_mm=dict(document["offsets_mm"]),
            )
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise EvidenceInputError(f"snapshot: cannot be read: {error!r}") from error

    def as_document(self) -> dict[str, Any]:
        """The snapshot as JSON: records as [weight, sound], those of one end by contributor, then end_id."""
        on_end: dict[str, dict[str, list[float]]] = {}
        for (person, end_id), record in self.on_end.items():
            on_end.setdefault(person, {})[end_id] = list(record)
        return {
            "name": self.name,
            "model_version": self.model_version,
            "source_rates": dict(self.source_rates),
            "contributors": {person: list(record) for person, record in self.contributors.items()},
            "on_end": on_end,
            "offsets_mm": dict(self.offsets_mm),
        }

    def unsound_of(self, batch: Batch) -> Floats:
        """The unsound rate of each claim of the batch from what is stored; nothing is estimated again (C).

        EvidenceInputError: the snapshot comes from another version of the model.
        """
        model = batch.model
        if self.model_version != model.parameters.model_version:
            raise EvidenceInputError(
                f"snapshot {self.name!r}: model_version is {self.model_version!r}; "
                f"accepted: {model.parameters.model_version!r}"
            )
        defaults = dict(zip(SOURCES, model.unsound.tolist(), strict=True))
        rates, weights, sounds = [], [], []
        for claim in batch.claims:
            record = self.contributors.get(claim.contributor, NO_RECORD)
            own = self.on_end.get((claim.contributor, batch.ends[claim.end].end_id), NO_RECORD)
            rates.append(self.source_rates.get(claim.source, defaults[claim.source]))
            weights.append(record.weight - own.weight)
            sounds.append(record.sound - own.sound)
        return claim_rates(np.array(rates), np.array(weights), np.array(sounds), model)
