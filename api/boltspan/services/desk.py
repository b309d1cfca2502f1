"""What a maintainer's desk shows: the queue with why each case stands where it does, and one case with everything."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from boltspan.domain import jsontext
from boltspan.domain.errors import Gone, Moved, NotFound, Unavailable
from boltspan.domain.explanation import Explanation
from boltspan.domain.statement_readings import Statement, statement_of
from boltspan.domain.values import SHOCK_SIZE, Value, value_json
from boltspan.services import case_view, document_reviews
from boltspan.services.answers import finding_answer
from boltspan.services.cases import RECORD
from boltspan.services.edit import frame_tag
from boltspan.services.explaining import explain
from boltspan.services.lookup import frame_title
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, StoredFrame, UnitOfWork
from boltspan.services.publishing import findings_of
from boltspan.services.records_of_people import contributor_record
from boltspan.services.stakes import asked_for

MOST_DOCUMENTS: Final = 20


@dataclass(frozen=True, slots=True)
class Queue:
    """A page of cases in the order they want a look, each with its frame's title and what is published now.

    ``after`` is the key to go on after, None when these were the last; ``documents`` are whole ones that wait.
    """

    cases: list[dict[str, Any]]
    after: tuple[int, int, str] | None
    documents: list[tuple[str, int]] = field(default_factory=list)


def queue(
    actor: Actor, uow: UnitOfWork, clock: Clock, state: str, after: tuple[int, int, str] | None, limit: int
) -> Queue:
    """Return the cases in a state, the one with most at stake first, and with open ones the documents that wait.

    A document is told from so many waiting claims on as the limits call a batch. Cases about shocks are ruled over the
    API and not told here.
    """
    page = case_view.reviews(actor, uow, state, after, limit)
    found = [_row(uow, clock, case) for case in page.reviews if "frame" in case]
    return Queue(found, page.after, page.documents[:MOST_DOCUMENTS])


def _row(uow: UnitOfWork, clock: Clock, case: dict[str, Any]) -> dict[str, Any]:
    stored = stored_frame(uow, case["frame"])
    found = case | about(uow, stored) | {"asked": asked_for(uow, stored), "days": _days(clock, case["opened_on"])}
    if case["subject"] != RECORD:
        found["published"] = published(uow, stored)[case["subject"]]
    return found


def stored_frame(uow: UnitOfWork, record_id: str) -> StoredFrame:
    """Return the frame of a case or claim. Raises NotFound for a shock, whose cases are ruled over the API."""
    stored = case_view.stored_of(uow, record_id)
    if not isinstance(stored, StoredFrame):
        raise NotFound("frame", record_id)
    return stored


def about(uow: UnitOfWork, stored: StoredFrame) -> dict[str, Any]:
    """Return what a page calls a frame: title, years, and what became of its record."""
    years = stored.frame.years
    found: dict[str, Any] = {
        "title": frame_title(uow, stored.frame),
        "years": {"from": years.start} | ({} if years.end is None else {"to": years.end}),
        "listed": stored.listed,
        "record": stored.frame.record,
    }
    return found | ({"into": list(stored.frame.into)} if stored.frame.into else {})


def published(uow: UnitOfWork, stored: StoredFrame) -> dict[str, Any]:
    """Return what is published of each subject of a frame; the end of a proposed frame is answered to nobody yet."""
    return {f.subject: finding_answer(f) for f in findings_of(uow, [stored.frame])[stored.frame.id]}


def about_frame(uow: UnitOfWork, frame_id: str) -> dict[str, Any]:
    """Return what a page calls the frame of a case or claim."""
    return about(uow, stored_frame(uow, frame_id))


def answers_of(uow: UnitOfWork, frame_id: str) -> dict[str, Any]:
    """Return what is answered of each subject of a frame; nothing when its record answers no more."""
    stored = stored_frame(uow, frame_id)
    return published(uow, stored) if stored.frame.live else {}


@dataclass(frozen=True, slots=True)
class Whole:
    """One case with everything in view: as ``case_view.review``, people by id, the evidence, the tags that forms carry.

    ``explained`` is None for what the evidence does not weigh: a shock's size, a record. ``choices`` are the values
    that can be settled, each with the claims that allow it; ``own`` are the acting person's claims that count.
    """

    case: dict[str, Any]
    tag: str
    frame: dict[str, Any]
    frame_tag: str
    people: Mapping[str, Mapping[str, Any]]
    explained: Explanation | None
    choices: list[dict[str, Any]]
    own: list[str]


def whole_case(actor: Actor, uow: UnitOfWork, clock: Clock, case_id: str) -> Whole:
    """Return all about one case. Raises NotAuthenticated, NotAllowed, NotFound."""
    case, tag = case_view.review(actor, uow, clock, case_id)
    stored = stored_frame(uow, case["frame"])
    claims = case.get("claims", [])
    labels = {s.claim.id: s.value.label for s in _stated(uow, stored, case["subject"]) if s.value is not None}
    for claim in claims:
        if claim["id"] in labels:
            claim["label"] = labels[claim["id"]]
    standing = [c for c in claims if c["state"] not in ("refused", "superseded", "withdrawn")]
    return Whole(
        case | {"days": _days(clock, case["opened_on"])},
        tag,
        about(uow, stored),
        frame_tag(stored),
        people(actor, uow, case.get("contributors", {})),
        _explained(actor, uow, stored, case["subject"]),
        _choices(uow, stored, case["subject"]),
        [c["id"] for c in standing if c["source"]["by"] == actor.person],
    )


def people(actor: Actor, uow: UnitOfWork, records: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Return each contributor's record, public name if any, and how far the evidence has learnt to rely on them."""
    found = {}
    for person, record in records.items():
        account = uow.accounts.account(person)
        learnt = contributor_record(actor, uow, person)
        found[person] = dict(record) | {k: v for k, v in learnt.items() if k in ("reliability", "uncertainty")}
        if account is not None and account.handle is not None:
            found[person]["handle"] = account.handle
    return found


def _explained(actor: Actor, uow: UnitOfWork, stored: StoredFrame, subject: str) -> Explanation | None:
    if subject in (RECORD, SHOCK_SIZE):
        return None
    try:
        return explain(actor, uow, stored.frame.id, subject)[1]
    except (Moved, Gone, Unavailable):
        return None


def _choices(uow: UnitOfWork, stored: StoredFrame, subject: str) -> list[dict[str, Any]]:
    """Return the values that say all that is needed and that a claim which counts states or reads as, or that is
    published or likely: first those that most claims allow.
    """
    if subject == RECORD or not stored.frame.live:
        return []
    finding = next(f for f in findings_of(uow, [stored.frame])[stored.frame.id] if f.subject == subject)
    said = [s.value for s in counting(uow, stored.frame.id, subject)]
    known = [finding.value, *said, *(c.value for c in (*finding.candidates, *finding.dissent))]
    found = {jsontext.dumps(value_json(v)): v for v in known if v is not None and v.complete}
    choices = [
        {
            "key": key,
            "value": value_json(value, labelled=True),
            "claims": allowing(uow, stored.frame.id, subject, value),
        }
        for key, value in found.items()
    ]
    return sorted(choices, key=lambda c: -len(c["claims"]))


def _stated(uow: UnitOfWork, stored: StoredFrame, subject: str) -> list[Statement]:
    return [statement_of(c) for c in uow.statements.claims(stored.frame.id) if c.subject == subject]


def counting(uow: UnitOfWork, frame_id: str, subject: str) -> list[Statement]:
    """Return what the claims on a subject that count state."""
    return [statement_of(c) for c in uow.statements.claims(frame_id) if c.subject == subject and c.counts]


def allowing(uow: UnitOfWork, frame_id: str, subject: str, value: Value) -> list[str]:
    """Return the claims on a subject that count and with which ``value`` can be true."""
    return [s.claim.id for s in counting(uow, frame_id, subject) if s.allows(value)]


def frames_of_make(uow: UnitOfWork, frame_id: str) -> list[dict[str, Any]]:
    """Return the other live frames of a frame's make, by model and first year, of the same model first."""
    own = stored_frame(uow, frame_id).frame
    found = []
    for model in uow.catalogue.models():
        if model.make == own.make:
            found += [s for s in uow.catalogue.frames_of(own.make, model.slug) if s.listed and s.frame.live]
    found.sort(key=lambda s: (s.frame.model != own.model, s.frame.model, s.frame.years.start, s.frame.id))
    return [{"id": s.frame.id} | about(uow, s) for s in found if s.frame.id != frame_id]


def whole_document(actor: Actor, uow: UnitOfWork, document: str) -> tuple[dict[str, Any], str]:
    """Return what a document says of frames as ``document_reviews.document_review``, each line with its frame and what
    is published now, and the whole's ETag. Raises NotAuthenticated, NotAllowed, NotFound.
    """
    found, tag = document_reviews.document_review(actor, uow, document)
    known: dict[str, tuple[StoredFrame, dict[str, Any]]] = {}
    lines = []
    for line in (line for line in found["lines"] if "frame" in line):
        if line["frame"] not in known:
            stored = stored_frame(uow, line["frame"])
            known[line["frame"]] = stored, published(uow, stored)
        stored, answers = known[line["frame"]]
        shown = line | about(uow, stored)
        if "review" in line:
            shown["case"] = line["review"]
        if line["subject"] in answers:
            shown["published"] = answers[line["subject"]]
        lines.append(shown)
    return found | {"lines": lines}, tag


def _days(clock: Clock, opened_on: str) -> int:
    return (datetime.date.fromisoformat(clock.today()) - datetime.date.fromisoformat(opened_on)).days
