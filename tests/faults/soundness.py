"""What must hold in a database whatever befell it: no gap, no half record, every answer as the records have it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import select

from boltspan.domain.errors import BoltspanError
from boltspan.services import lookup
from boltspan.services.answers import encode
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import Event, StoredFrame, UnitOfWork
from boltspan.storage import SqlStorage
from boltspan.storage.stored_json import loads
from boltspan.storage.tables import event_counter, events, saved_answers

WRITTEN_WITH = {"claim_submitted": "claim", "decision_made": "decision"}
"""Events that bring a claim or a decision, and the name of its id in their payload."""


def unsound(storage: SqlStorage) -> list[str]:
    """Return a sentence for everything that is half there, doubled, missing or out of step; [] when all is sound."""
    with storage.engine.connect() as connection:
        counted = connection.execute(select(event_counter.c.last)).scalar_one()
        numbers = list(connection.execute(select(events.c.sequence).order_by(events.c.sequence)).scalars())
        saved = [loads(body) for body in connection.execute(select(saved_answers.c.body)).scalars()]
    with storage.reading() as uow:
        log = {e.sequence: e for e in uow.events.page(0, 10**9)}
        return [
            *_numbering(numbers, counted),
            *_records(uow, log),
            *_promises(uow, saved),
            *_answers(uow),
        ]


def _numbering(numbers: list[int], counted: int) -> Iterator[str]:
    if numbers and numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        yield f"the events have a gap or a double: {numbers}"
    if numbers and numbers[-1] != counted:
        yield f"the counter says {counted}, the last event is {numbers[-1]}"


def _records(uow: UnitOfWork, log: Mapping[int, Event]) -> Iterator[str]:
    brought: dict[tuple[str, str], int] = {}
    for event in log.values():
        if (noun := WRITTEN_WITH.get(event.kind)) is not None:
            name = (noun, event.payload[noun])
            if name in brought:
                yield f"{noun} {name[1]} came with events {brought[name]} and {event.sequence}"
            brought[name] = event.sequence
    stored: dict[tuple[str, str], int] = {}
    for frame in uow.catalogue.every_frame():
        yield from _frame(uow, frame)
        for noun, listed in (
            ("claim", uow.statements.claims(frame.frame.id)),
            ("decision", uow.statements.decisions(frame.frame.id)),
        ):
            for one in listed:
                cause = log.get(one.sequence)
                if cause is None or cause.frame != one.frame:
                    yield f"{noun} {one.id} has no event of its frame: {cause}"
                elif WRITTEN_WITH.get(cause.kind) == noun:
                    stored[noun, one.id] = one.sequence
    for shock in uow.shocks.every_shock():
        for noun, listed in (
            ("claim", uow.statements.claims(shock.shock.id)),
            ("decision", uow.statements.decisions(shock.shock.id)),
        ):
            stored |= {(noun, one.id): one.sequence for one in listed if (noun, one.id) in brought}
    if stored != brought:
        yield f"events and records differ: {set(stored.items()) ^ set(brought.items())}"


def _frame(uow: UnitOfWork, stored: StoredFrame) -> Iterator[str]:
    newest = max((e.sequence for e in uow.events.of_frame(stored.frame.id)), default=0)
    if stored.sequence != newest:
        yield f"frame {stored.frame.id} stands at event {stored.sequence}, its newest is {newest}"
    for claim in uow.statements.claims(stored.frame.id):
        case = uow.cases.of_subject(claim.frame, claim.subject)
        if claim.state == "submitted" and (case is None or case.sequence < claim.sequence):
            yield f"claim {claim.id} waits for a review that is not there: {case}"


def _promises(uow: UnitOfWork, saved: list[dict[str, Any]]) -> Iterator[str]:
    for body in saved:
        if "claim" in body and uow.statements.claim(body["claim"]["id"]) is None:
            yield f"claim {body['claim']['id']} was promised and is not there"
        if "decision" in body and uow.statements.decision(body["decision"]["id"]) is None:
            yield f"decision {body['decision']['id']} was promised and is not there"


def _answers(uow: UnitOfWork) -> Iterator[str]:
    for encoded in uow.published.since(-1):
        if encoded.body != (now := _worked_out(uow, encoded.path)):
            yield f"{encoded.path} is published as {encoded.body!r} and worked out as {now!r}"
    for stored in uow.catalogue.every_frame():
        if stored.listed and stored.frame.live and uow.published.get(f"/v1/frames/{stored.frame.id}") is None:
            yield f"frame {stored.frame.id} is not published"


def _worked_out(uow: UnitOfWork, path: str) -> bytes | None:
    _, version, noun, *parts = path.split("/")
    assert version == "v1"
    try:
        if noun == "frames":
            return encode(lookup.frame(uow, ANYBODY, parts[0]))
        return encode(lookup.year(uow, parts[0], parts[1], int(parts[2])))
    except BoltspanError:
        return None
