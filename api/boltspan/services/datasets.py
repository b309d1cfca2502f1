"""The dataset between files and database: filling an empty one, exporting, importing with what clashes told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, islice
from typing import Final

from boltspan.dataset.compare import AnswerChange, Weigher, answer_changes
from boltspan.dataset.contents import Dataset, FrameEntry, ShockEntry, as_files, in_order
from boltspan.dataset.merge import plan_import
from boltspan.dataset.plan import ImportPlan, RecordOf
from boltspan.domain.frames import Make, Model
from boltspan.domain.records import frame_from, make_from, model_from
from boltspan.domain.shock_records import shock_from, shock_model_from
from boltspan.domain.shocks import ShockModel
from boltspan.domain.subjects import kind_of
from boltspan.services.bringing import Bringing
from boltspan.services.heap import settled_heap
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Stored, StoredFrame, UnitOfWork
from boltspan.services.publishing import BATCH, is_demo
from boltspan.services.snapshots import current
from boltspan.services.weighing import WeighedEnds, weigh, weigh_all, weighed_of

TITLE: Final = "Boltspan"
LICENCE: Final = "CC0-1.0"


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import came to: the plan, what it does to the answers, whether it was written, the last event now."""

    plan: ImportPlan
    answers: tuple[AnswerChange, ...]
    written: bool
    head: int


def fill(uow: UnitOfWork, dataset: Dataset, clock: Clock) -> int:
    """Put ``dataset`` into an empty database and return the number of the last event.

    One event for each make, model, frame and shock (with all that is said and ruled about it) and row of hardware
    sizes. The events are numbered so that the last one is the dataset's head; a dataset whose head is below its number
    of records, as one written by hand has, is numbered from 1. The evidence is learnt from all of it, then weighed.
    Subjects whose claims contradict each other get an open review case. Raises Clash when there is an event already.
    """
    dataset = in_order(dataset)
    with settled_heap():
        return _fill(uow, dataset, clock)


def _fill(uow: UnitOfWork, dataset: Dataset, clock: Clock) -> int:
    uow.events.start_after(max(dataset.head - dataset.records, 0))
    settings = {"title": dataset.title, "licence": dataset.licence, "demo": "true" if dataset.demo else "false"}
    for name, value in (settings | {"head": str(dataset.head)}).items():
        uow.settings.put(name, value)
    bringing = Bringing(uow, clock, None)
    bringing.makes(dataset.makes)
    bringing.models(dataset.models)
    for start in range(0, len(dataset.entries), BATCH):
        bringing.records(dataset.entries[start : start + BATCH])
    bringing.shock_models(dataset.shock_models)
    bringing.records(dataset.shocks)
    bringing.hardware(dataset.hardware)
    weigh_all(uow)
    bringing.encode()
    return uow.events.last()


def export_dataset(uow: UnitOfWork) -> Dataset:
    """Return what the database holds as files hold it: all listed records, all claims but those that wait for review.

    A waiting claim that a decision names is there too. The head is the last event.
    """
    entries, shocks = _entries(uow, listed_only=True), _shock_entries(uow, listed_only=True)
    return as_files(_dataset(uow, uow.catalogue.makes(), uow.catalogue.models(), entries, uow.shocks.models(), shocks))


def import_dataset(actor: Actor, uow: UnitOfWork, dataset: Dataset, clock: Clock, *, preview: bool) -> ImportReport:
    """Merge ``dataset`` into the database, all of it or nothing, and report what it comes to.

    Nothing is written in a ``preview``, and nothing when something stands in the way (``plan.stands`` is False).
    Every change is an event; two datasets that say the same make none. Raises NotAuthenticated or NotAllowed.
    """
    person = actor.permitted("import_dataset")
    entries, shocks = _entries(uow, listed_only=False), _shock_entries(uow, listed_only=False)
    stored: Iterable[Stored] = chain(uow.catalogue.every_frame(), uow.shocks.every_shock())
    unlisted = frozenset(s.about.id for s in stored if not s.listed)
    makes, models, shock_models = _with_proposed(uow, entries, shocks)
    current = _dataset(uow, makes, models, entries, shock_models, shocks)
    head = dataset.head
    plan = plan_import(dataset, current, lambda key: _base_record(uow, key, head), uow.events.last(), unlisted)
    answers = tuple(answer_changes(plan.before, plan.after, _weighed_before(uow), _weighed_after(uow)))
    written = plan.stands and not plan.empty and not preview
    if written:
        Bringing(uow, clock, person).carry_out(plan)
    return ImportReport(plan, answers, written, uow.events.last())


def _weighed_before(uow: UnitOfWork) -> Weigher:
    return lambda entries: weighed_of(uow, [e.frame.id for e in entries])


def _weighed_after(uow: UnitOfWork) -> Weigher:
    """Return how the frames of an import come out with the stored rates; nothing is stored."""

    def weighed(entries: Sequence[FrameEntry]) -> Mapping[str, WeighedEnds]:
        ready = current(uow)
        if ready is None:
            return {}
        frames = [e.frame for e in entries]
        claims = {e.frame.id: e.claims for e in entries}
        decisions = {e.frame.id: e.decisions for e in entries}
        return weigh(frames, claims, decisions, ready, uow.weighed.of_frames(ready.id, [f.id for f in frames]))

    return weighed


def _entries(uow: UnitOfWork, *, listed_only: bool) -> list[FrameEntry]:
    stored = (s for s in uow.catalogue.every_frame() if s.listed or not listed_only)
    found: list[FrameEntry] = []
    while batch := list(islice(stored, BATCH)):
        found += _batch(uow, batch)
    return found


def _shock_entries(uow: UnitOfWork, *, listed_only: bool) -> list[ShockEntry]:
    stored, found = (s for s in uow.shocks.every_shock() if s.listed or not listed_only), list[ShockEntry]()
    while batch := [s.shock for s in islice(stored, BATCH)]:
        ids = [shock.id for shock in batch]
        claims, decisions = uow.statements.claims_of_frames(ids), uow.statements.decisions_of_frames(ids)
        found += [ShockEntry(s, tuple(claims.get(s.id, ())), tuple(decisions.get(s.id, ()))) for s in batch]
    return found


def _batch(uow: UnitOfWork, batch: Sequence[StoredFrame]) -> list[FrameEntry]:
    ids = [s.frame.id for s in batch]
    claims, decisions = uow.statements.claims_of_frames(ids), uow.statements.decisions_of_frames(ids)
    return [FrameEntry(s.frame, tuple(claims.get(s.frame.id, ())), tuple(decisions.get(s.frame.id, ()))) for s in batch]


def _dataset(
    uow: UnitOfWork,
    makes: Sequence[Make],
    models: Sequence[Model],
    entries: Sequence[FrameEntry],
    shock_models: Sequence[ShockModel],
    shocks: Sequence[ShockEntry],
) -> Dataset:
    return Dataset(
        uow.settings.get("title") or TITLE,
        uow.settings.get("licence") or LICENCE,
        is_demo(uow),
        uow.events.last(),
        tuple(makes),
        tuple(models),
        tuple(entries),
        tuple(shock_models),
        tuple(shocks),
        tuple(uow.hardware.rows()),
    )


def _with_proposed(
    uow: UnitOfWork, entries: Sequence[FrameEntry], shocks: Sequence[ShockEntry]
) -> tuple[list[Make], list[Model], list[ShockModel]]:
    """Return all makes, models and shock models, those that only a proposal has brought included."""
    makes = {m.slug: m for m in uow.catalogue.makes()}
    models = {(m.make, m.slug): m for m in uow.catalogue.models()}
    shock_models = {(m.make, m.slug): m for m in uow.shocks.models()}
    for slug, name in sorted({(e.frame.make, e.frame.model) for e in entries} - set(models)):
        make, model = uow.catalogue.make(slug), uow.catalogue.model(slug, name)
        if make is not None and model is not None:
            makes[slug], models[slug, name] = make, model
    for slug, name in sorted({(e.shock.make, e.shock.model) for e in shocks} - set(shock_models)):
        make, shock_model = uow.catalogue.make(slug), uow.shocks.model(slug, name)
        if make is not None and shock_model is not None:
            makes[slug], shock_models[slug, name] = make, shock_model
    return list(makes.values()), list(models.values()), list(shock_models.values())


def _base_record(uow: UnitOfWork, key: str, head: int) -> RecordOf | None:
    """Return the record of ``key`` as it stood after event ``head``, or None when no event up to then holds it."""
    event = uow.events.newest_record(key, head)
    if event is None:
        return None
    payload = event.payload
    if key.startswith("make/"):
        return make_from(payload["make"])
    if key.startswith("model/"):
        return model_from(payload["make_slug"], payload["model"])
    if key.startswith("shock_model/"):
        return shock_model_from(payload["make_slug"], payload["shock_model"])
    if kind_of(key) == "shock":
        return shock_from(payload["make_slug"], payload["model_slug"], payload["shock"])
    return frame_from(payload["make_slug"], payload["model_slug"], payload["frame"])
