"""Snapshots of the evidence's rates: learnt from all records, kept with their prior, prepared once a process."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame
from boltspan.domain.review import Decision
from boltspan.domain.values import EndValue
from boltspan.evidence import Model, Portion, Record, Snapshot, learn, load_parameters, prepare_model
from boltspan.services.evidence_rows import Row, catalogue_rows, claim_rows, end_rows, settled_values
from boltspan.services.heap import settled_heap
from boltspan.services.protocols import StoredSnapshot, StoredWeighed, UnitOfWork

CURRENT: Final = "snapshot"
DRAFT: Final = "snapshot_draft"
"""Settings that name the snapshot the answers rest on, and the one that is being worked out."""
CLAIMS_AT_ONCE: Final = 100_000
"""Claims learnt from in one portion: about 300 MB (measured); a larger dataset takes several, and more time."""
BATCH: Final = 500


@dataclass(frozen=True, slots=True)
class Prepared:
    """A snapshot ready for use: the model with its prior, and the rates under the model's version."""

    id: str
    model: Model
    rates: Snapshot


def current(uow: UnitOfWork) -> Prepared | None:
    """Return the snapshot that answers rest on, None in a database where nothing was weighed yet."""
    return prepared(uow, uow.settings.get(CURRENT))


def prepared(uow: UnitOfWork, snapshot_id: str | None) -> Prepared | None:
    """Return a snapshot ready for use, or None."""
    stored = uow.snapshots.snapshot(snapshot_id) if snapshot_id is not None else None
    return None if stored is None else _prepare(stored)


@lru_cache(maxsize=4)
def _prepare(stored: StoredSnapshot) -> Prepared:
    """Prepare a snapshot; the id stands for all of it, so one preparation serves every database that holds it.

    Rates that an earlier version of the model learnt are used with the numbers of this one, until they are learnt
    anew; a result names the version whose numbers it was worked out with.
    """
    model = prepare_model(json.loads(stored.catalogue))
    rates = Snapshot.from_document(json.loads(stored.rates) | {"on_end": {}})
    return Prepared(stored.id, model, replace(rates, name=stored.id, model_version=model.parameters.model_version))


def model_version() -> str:
    """Return the version of the model and its parameters as shipped."""
    return load_parameters().model_version


def make(uow: UnitOfWork, day: str, *, empty: bool = False, apart_from: str | None = None) -> StoredSnapshot:
    """Learn the rates of all listed frames' claims, store them as a snapshot, and return it.

    What each contributor's claims gave on each end is stored with it, as ends that wait to be weighed. ``empty``
    learns nothing: the rates of the parameters and the trade's sizes alone. What was learnt names the snapshot; when
    that is ``apart_from``, which stands already, nothing is stored. Memory holds one portion of claims.
    """
    values, only = ([], ([], [])) if empty else _first_reading(uow)
    catalogue = catalogue_rows(values)
    model = prepare_model(catalogue)
    with settled_heap():
        learnt = learn(lambda: _portions(uow) if only is None else [only], model, "")
    document = {key: value for key, value in learnt.as_document().items() if key != "on_end"}
    texts = json.dumps(catalogue), json.dumps(document)
    digest = hashlib.sha256("\n".join((learnt.model_version, *texts)).encode()).hexdigest()
    stored = StoredSnapshot(digest[:16], day, uow.events.last(), learnt.model_version, *texts)
    if stored.id == apart_from:
        return stored
    uow.snapshots.put(stored)
    uow.weighed.put(_waiting(uow, stored.id, learnt))
    return stored


def _waiting(uow: UnitOfWork, snapshot_id: str, learnt: Snapshot) -> Iterator[StoredWeighed]:
    """Yield a row for each end of every live frame: not weighed yet, with its part of the contributors' records."""
    own: defaultdict[str, dict[str, tuple[float, float]]] = defaultdict(dict)
    for (person, end), record in learnt.on_end.items():
        own[end][person] = (record.weight, record.sound)
    for stored in uow.catalogue.every_frame():
        if stored.frame.live:
            for row in end_rows(stored.frame):
                end = row["end_id"].partition(" ")[2]
                yield StoredWeighed(snapshot_id, stored.frame.id, end, -1, own.pop(row["end_id"], {}), None)


def _batches(uow: UnitOfWork) -> Iterator[list[Frame]]:
    listed = (s.frame for s in uow.catalogue.every_frame() if s.listed and s.frame.live)
    while batch := list(islice(listed, BATCH)):
        yield batch


def _spoken_of(uow: UnitOfWork) -> Iterator[list[tuple[Frame, list[Claim], list[Decision]]]]:
    """Yield the listed, live frames with all that is said and ruled of them, a batch at a time."""
    for batch in _batches(uow):
        ids = [f.id for f in batch]
        claims, decisions = uow.statements.claims_of_frames(ids), uow.statements.decisions_of_frames(ids)
        yield [(f, claims[f.id], decisions[f.id]) for f in batch]


def _first_reading(uow: UnitOfWork) -> tuple[list[EndValue], Portion | None]:
    """Return the values that count for the prior, and all claims where they are no more than one portion, else None.

    Reading claims from the database costs as much as learning from them, so a dataset of usual size is read once.
    """
    values: list[EndValue] = []
    ends: list[Row] = []
    rows: list[Row] | None = []
    for batch in _spoken_of(uow):
        for spoken in batch:
            values += settled_values(*spoken)
            if rows is not None:
                ends += end_rows(spoken[0])
                rows += claim_rows(*spoken)
        if rows is not None and len(rows) >= CLAIMS_AT_ONCE:
            ends, rows = [], None
    return values, None if rows is None else (ends, rows)


def _portions(uow: UnitOfWork) -> Iterator[Portion]:
    ends: list[Row] = []
    rows: list[Row] = []
    for batch in _spoken_of(uow):
        for spoken in batch:
            ends += end_rows(spoken[0])
            rows += claim_rows(*spoken)
        if len(rows) >= CLAIMS_AT_ONCE:
            yield ends, rows
            ends, rows = [], []
    if ends:
        yield ends, rows


def with_own(rates: Snapshot, stored: dict[str, list[StoredWeighed]]) -> Snapshot:
    """Return the rates with what these frames' ends gave to the contributors' records, to be left out there."""
    on_end = {
        (person, f"{frame} {row.subject}"): Record(*record)
        for frame, rows in stored.items()
        for row in rows
        for person, record in row.own.items()
    }
    return replace(rates, on_end=on_end)
