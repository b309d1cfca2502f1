"""Cases as a reviewer sees them: the queue, and one case with everything in view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from boltspan.domain.claim_hints import hints
from boltspan.domain.claims import Claim
from boltspan.domain.errors import NotFound
from boltspan.domain.fields import years_json
from boltspan.domain.frames import Frame
from boltspan.domain.ids import is_id
from boltspan.domain.records import qualifier_json
from boltspan.domain.review import Decision, rulings
from boltspan.domain.stakes import points
from boltspan.domain.statement_readings import beside_others
from boltspan.domain.subjects import Record, named
from boltspan.domain.values import SHOCK_SIZE, value_json
from boltspan.services.answers import finding_answer
from boltspan.services.cases import REASONS, RECORD, case_tag
from boltspan.services.claim_view import About, question_answer
from boltspan.services.contributors import limits_of, record_answer, record_of
from boltspan.services.flags import flag_answer, open_flags
from boltspan.services.lookup import claim_answer, decision_answer, event_answer
from boltspan.services.made import stored_record
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Case, Clock, Stored, UnitOfWork
from boltspan.services.publishing import findings_of
from boltspan.services.settling import judged
from boltspan.services.stakes import asked_for, stakes_of

MOST_DOCUMENTS: Final = 100
"""Whole documents that are told at once; those beyond come up as these are ruled on."""


@dataclass(frozen=True, slots=True)
class CasePage:
    """Cases in the order they want a look, and the key to go on after (None when these were the last).

    ``documents`` are whole ones that wait, with the number of their claims, the largest first.
    """

    reviews: list[dict[str, Any]]
    after: tuple[int, int, str] | None
    documents: list[tuple[str, int]] = field(default_factory=list)


def reviews(
    actor: Actor, uow: UnitOfWork, state: str | None, after: tuple[int, int, str] | None, limit: int
) -> CasePage:
    """Return the cases in a state (all for None), the one with most at stake first (``domain/stakes.py``).

    A document that so many waiting claims name as the limits call a batch is looked at as one: the cases that wait for
    nothing else are folded into it. It is told on the first page.
    """
    actor.must("see_reviews")
    least = limits_of(uow).batch
    documents = uow.statements.waiting_documents(least, MOST_DOCUMENTS) if state in (None, "open") else []
    found = uow.cases.page(state, after, limit, least if documents else None)
    last = (found[-1].rank, found[-1].sequence, found[-1].id) if len(found) == limit else None
    return CasePage([_head(uow, c) for c in found], last, documents if after is None else [])


def review(actor: Actor, uow: UnitOfWork, clock: Clock, case_id: str) -> tuple[dict[str, Any], str]:
    """Return all about one case, and its ETag: claims, decisions, what is published now. Raises NotFound."""
    actor.must("see_reviews")
    case = case_named(uow, case_id)
    return whole(actor, uow, clock, case), case_tag(case)


def whole(actor: Actor, uow: UnitOfWork, clock: Clock, case: Case) -> dict[str, Any]:
    """Return a case with everything a ruling needs: what is published, every claim with its hints and contributor,
    what would change for each value, neighbouring years, who asks, flags, and what the rule says.
    """
    stored = stored_of(uow, case.frame)
    found = _head(uow, case) | {"asked": asked_for(uow, stored)}
    if flags := open_flags(uow, case.frame, case.subject):
        found["flags"] = [flag_answer(f) for f in flags]
    if case.subject == RECORD:
        return found | {"proposed_by": stored.proposed_by} if stored.proposed_by else found
    every = uow.statements.claims(case.frame)
    claims = [c for c in every if c.subject == case.subject]
    decisions = [d for d in uow.statements.decisions(case.frame) if d.subject == case.subject]
    findings = findings_of(uow, [stored.about])[case.frame]
    found["published"] = finding_answer(next(f for f in findings if f.subject == case.subject))
    found["claims"] = _claims(actor, uow, case.subject, every, decisions)
    found["decisions"] = [decision_answer(d, rulings(decisions).reversed) for d in decisions]
    found["contributors"] = {
        person: record_answer(record_of(uow, person, clock.today())) for person in sorted({c.source.by for c in claims})
    }
    found["siblings"] = _siblings(uow, stored.about, case.subject)
    if isinstance(stored.about, Frame) and stored.about.live:
        held = judged(uow, clock, stored.about, case.subject).held
        found["rule"] = {"held": list(held)} if held else {"settles": True}
    return found


def _claims(
    actor: Actor, uow: UnitOfWork, subject: str, every: Sequence[Claim], decisions: Sequence[Decision]
) -> list[dict[str, Any]]:
    claims = [c for c in every if c.subject == subject]
    counting = [c for c in claims if c.counts]
    other_end = [c for c in every if c.counts and c.subject not in (subject, SHOCK_SIZE)]
    at_other_end = [] if subject == SHOCK_SIZE else other_end
    asked = uow.statements.questions([c.id for c in claims])
    days = uow.events.days([c.sequence for c in claims])
    photos = uow.photos.of_claims([c.id for c in claims])
    found = []
    for claim in claims:
        said = beside_others(claim, counting)
        shown = claim_answer(actor, claim, About(claims, decisions, asked[claim.id]), photos.get(claim.id, ()))
        if claim.value is None and said.value is not None:
            shown["reads_as"] = value_json(said.value, labelled=True)
        if said.mistake:
            shown["mistake"] = said.mistake
        if told := hints(claim, counting, at_other_end):
            shown["hints"] = [{"code": h.code} | ({"claim": h.claim} if h.claim else {}) for h in told]
        if asked[claim.id]:
            shown["questions"] = [question_answer(q) for q in asked[claim.id]]
        if claim.sequence in days:
            shown["came_on"] = days[claim.sequence]
        found.append(shown)
    return found


def _siblings(uow: UnitOfWork, own: Record, subject: str) -> list[dict[str, Any]]:
    """Return what stands for the same subject in the other years of the model, by first year."""
    of_model: Sequence[Stored] = (
        uow.catalogue.frames_of(own.make, own.model)
        if isinstance(own, Frame)
        else uow.shocks.shocks_of(own.make, own.model)
    )
    others = [
        s.about for s in of_model if s.listed and s.about.live and s.about.id != own.id and subject in s.about.subjects
    ]
    findings = findings_of(uow, others)
    found = []
    for record in others:
        finding = next(f for f in findings[record.id] if f.subject == subject)
        told: dict[str, Any] = {**named(record.id), "years": years_json(record.years), "standing": finding.standing}
        if finding.value is not None:
            told["value"] = value_json(finding.value, labelled=True)
        if record.qualifier is not None:
            told["qualifier"] = qualifier_json(record.qualifier)
        found.append(told)
    return found


def _head(uow: UnitOfWork, case: Case) -> dict[str, Any]:
    record = stored_of(uow, case.frame).about
    found: dict[str, Any] = {
        "id": case.id,
        "state": case.state,
        "opened_on": case.opened_on,
        "reasons": [{"code": r, "text": REASONS.get(r, r)} for r in case.reasons],
        **named(record.id),
        "make": record.make,
        "model": record.model,
        "years": years_json(record.years),
        "subject": case.subject,
        "event": case.sequence,
        "stake": points(stakes_of(uow, case)),
    }
    return found | ({"qualifier": qualifier_json(record.qualifier)} if record.qualifier else {})


def since(uow: UnitOfWork, case: Case, event: int) -> list[dict[str, Any]]:
    """Return what happened on a case's subject after an event, for somebody who read it then."""
    return [
        event_answer(uow, e)
        for e in uow.events.of_frame(case.frame)
        if e.sequence > event and e.subject in (case.subject, None)
    ]


def case_named(uow: UnitOfWork, case_id: str) -> Case:
    """Return the case. Raises NotFound."""
    case = uow.cases.case(case_id) if is_id("review", case_id) else None
    if case is None:
        raise NotFound("review", case_id)
    return case


def stored_of(uow: UnitOfWork, record_id: str) -> Stored:
    """Return the frame or shock of a case or claim, which is never deleted."""
    stored = stored_record(uow, record_id)
    assert stored is not None, "a case's record is never deleted"
    return stored
