"""What a maintainer's desk shows: the queue with why each case stands where it does, and one case with everything."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from boltspan.domain import jsontext
from boltspan.domain.errors import Gone, Moved, Unavailable
from boltspan.domain.explanation import Explanation
from boltspan.domain.fields import years_json
from boltspan.domain.frames import Frame
from boltspan.domain.records import qualifier_json
from boltspan.domain.statement_readings import Statement, statement_of
from boltspan.domain.statements import source_json
from boltspan.domain.subjects import Record, kind_of
from boltspan.domain.values import SHOCK_SIZE, Value, value_json
from boltspan.services import case_view, document_reviews
from boltspan.services.answers import finding_answer
from boltspan.services.cases import RECORD
from boltspan.services.edit_record import edits_of, record_tag
from boltspan.services.explaining import explain
from boltspan.services.lookup import frame_title
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Stored, StoredFrame, UnitOfWork
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

    A document is told from so many waiting claims on as the limits call a batch.
    """
    page = case_view.reviews(actor, uow, state, after, limit)
    found = [_row(uow, clock, case) for case in page.reviews]
    return Queue(found, page.after, page.documents[:MOST_DOCUMENTS])


def _row(uow: UnitOfWork, clock: Clock, case: dict[str, Any]) -> dict[str, Any]:
    stored = case_view.stored_of(uow, record_id(case))
    found = case | about(uow, stored) | {"asked": asked_for(uow, stored), "days": _days(clock, case["opened_on"])}
    if case["subject"] != RECORD:
        found["published"] = published(uow, stored)[case["subject"]]
    return found


def record_id(of: Mapping[str, Any]) -> str:
    """Return the id of the frame or shock that a case or a line of a document is about."""
    return str(of["shock"] if "shock" in of else of["frame"])


def title(uow: UnitOfWork, record: Record) -> str:
    """Return how people call a frame or a shock: make and model."""
    if isinstance(record, Frame):
        return frame_title(uow, record)
    make, model = uow.catalogue.make(record.make), uow.shocks.model(record.make, record.model)
    assert make is not None and model is not None, "a shock's make and model are never deleted"
    return f"{make.name} {model.name}"


def about(uow: UnitOfWork, stored: Stored) -> dict[str, Any]:
    """Return what a page calls a frame or shock: its id and kind, title, years, and what became of its record."""
    record = stored.about
    found: dict[str, Any] = {
        "record_id": record.id,
        "kind": kind_of(record.id),
        "title": title(uow, record),
        "years": years_json(record.years),
        "listed": stored.listed,
        "record": record.record,
        "live": record.live,
    }
    return found | ({"into": list(record.into)} if record.into else {})


def published(uow: UnitOfWork, stored: Stored) -> dict[str, Any]:
    """Return what is published of each subject of a record; the end of a proposed one is answered to nobody yet."""
    return {f.subject: finding_answer(f) for f in findings_of(uow, [stored.about])[stored.about.id]}


def about_record(uow: UnitOfWork, known_as: str) -> dict[str, Any]:
    """Return what a page calls the frame or shock of a case or claim."""
    return about(uow, case_view.stored_of(uow, known_as))


def details(uow: UnitOfWork, record: Record) -> dict[str, Any]:
    """Return what of a record can be edited besides its years: names, what tells it apart, what its ends are called."""
    models = uow.catalogue if isinstance(record, Frame) else uow.shocks
    model = models.model(record.make, record.model)
    assert model is not None, "a record's model is never deleted"
    found: dict[str, Any] = {"name": model.name, "aliases": list(model.aliases)}
    if record.qualifier is not None:
        found["qualifier"] = qualifier_json(record.qualifier)
    if isinstance(record, Frame):
        found["ends"] = list(record.ends)
        if record.same_ends is not None:
            found["same_ends"] = {
                "names": dict(record.same_ends.names), "source": source_json(record.same_ends.source)
            }  # fmt: skip
    return found


def record_of(uow: UnitOfWork, known_as: str) -> dict[str, Any]:
    """Return a frame's or shock's record with what can be edited of it and the edits it takes now."""
    stored = case_view.stored_of(uow, known_as)
    case = uow.cases.of_subject(known_as, RECORD)
    waits = case is not None and case.state == "open"
    edits = [edit for edit in edits_of(stored) if edit != "keep" or waits]
    return about(uow, stored) | details(uow, stored.about) | {"edits": edits}


def answers_of(uow: UnitOfWork, known_as: str) -> dict[str, Any]:
    """Return what is answered of each subject of a frame or shock; nothing when its record answers no more."""
    stored = case_view.stored_of(uow, known_as)
    return published(uow, stored) if stored.about.live else {}


@dataclass(frozen=True, slots=True)
class Whole:
    """One case with everything in view: as ``case_view.review``, people by id, the evidence, the tags that forms carry.

    ``explained`` is None for what the evidence does not weigh: sizes of shocks, a record. ``choices`` are the values
    that can be settled, each with the claims that allow it; ``own`` are the acting person's claims that count.
    """

    case: dict[str, Any]
    tag: str
    about: dict[str, Any]
    record_tag: str
    people: Mapping[str, Mapping[str, Any]]
    explained: Explanation | None
    choices: list[dict[str, Any]]
    own: list[str]


def whole_case(actor: Actor, uow: UnitOfWork, clock: Clock, case_id: str) -> Whole:
    """Return all about one case. Raises NotAuthenticated, NotAllowed, NotFound."""
    case, tag = case_view.review(actor, uow, clock, case_id)
    stored = case_view.stored_of(uow, record_id(case))
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
        record_tag(stored),
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


def _explained(actor: Actor, uow: UnitOfWork, stored: Stored, subject: str) -> Explanation | None:
    if subject in (RECORD, SHOCK_SIZE) or not isinstance(stored, StoredFrame):
        return None
    try:
        return explain(actor, uow, stored.frame.id, subject)[1]
    except (Moved, Gone, Unavailable):
        return None


def _choices(uow: UnitOfWork, stored: Stored, subject: str) -> list[dict[str, Any]]:
    """Return the values that say all that is needed and that a claim which counts states or reads as, or that is
    published or likely: first those that most claims allow.
    """
    record = stored.about
    if subject == RECORD or not record.live:
        return []
    finding = next(f for f in findings_of(uow, [record])[record.id] if f.subject == subject)
    said = [s.value for s in counting(uow, record.id, subject)]
    known = [finding.value, *said, *(c.value for c in (*finding.candidates, *finding.dissent))]
    found = {jsontext.dumps(value_json(v)): v for v in known if v is not None and v.complete}
    choices = [
        {
            "key": key,
            "value": value_json(value, labelled=True),
            "claims": allowing(uow, record.id, subject, value),
        }
        for key, value in found.items()
    ]
    return sorted(choices, key=lambda c: -len(c["claims"]))


def _stated(uow: UnitOfWork, stored: Stored, subject: str) -> list[Statement]:
    return [statement_of(c) for c in uow.statements.claims(stored.about.id) if c.subject == subject]


def counting(uow: UnitOfWork, known_as: str, subject: str) -> list[Statement]:
    """Return what the claims on a subject that count state."""
    return [statement_of(c) for c in uow.statements.claims(known_as) if c.subject == subject and c.counts]


def allowing(uow: UnitOfWork, known_as: str, subject: str, value: Value) -> list[str]:
    """Return the claims on a subject that count and with which ``value`` can be true."""
    return [s.claim.id for s in counting(uow, known_as, subject) if s.allows(value)]


def others_of_make(uow: UnitOfWork, known_as: str) -> list[dict[str, Any]]:
    """Return the other live records of the same kind and make, by model and first year, of the same model first."""
    own = case_view.stored_of(uow, known_as).about
    found: list[Stored] = []
    if isinstance(own, Frame):
        for model in uow.catalogue.models(own.make):
            found += uow.catalogue.frames_of(own.make, model.slug)
    else:
        for shock_model in uow.shocks.models(own.make):
            found += uow.shocks.shocks_of(own.make, shock_model.slug)
    others = [s for s in found if s.listed and s.about.live and s.about.id != own.id]
    others.sort(key=lambda s: (s.about.model != own.model, s.about.model, s.about.years.start, s.about.id))
    return [about(uow, s) for s in others]


def whole_document(actor: Actor, uow: UnitOfWork, document: str) -> tuple[dict[str, Any], str]:
    """Return what a document says as ``document_reviews.document_review``, each line with its frame or shock and what
    is published now, and the whole's ETag. Raises NotAuthenticated, NotAllowed, NotFound.
    """
    found, tag = document_reviews.document_review(actor, uow, document)
    known: dict[str, tuple[Stored, dict[str, Any]]] = {}
    lines = []
    for line in found["lines"]:
        known_as = record_id(line)
        if known_as not in known:
            stored = case_view.stored_of(uow, known_as)
            known[known_as] = stored, published(uow, stored)
        stored, answers = known[known_as]
        shown = line | about(uow, stored)
        if "review" in line:
            shown["case"] = line["review"]
        if line["subject"] in answers:
            shown["published"] = answers[line["subject"]]
        lines.append(shown)
    return found | {"lines": lines}, tag


def _days(clock: Clock, opened_on: str) -> int:
    return (datetime.date.fromisoformat(clock.today()) - datetime.date.fromisoformat(opened_on)).days
