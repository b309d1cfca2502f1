"""Reviewing: the queue of cases, decisions on them, reversals. Nobody decides on an own claim."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, InvalidInput, NotAllowed, NotFound
from boltspan.domain.fields import text_from, years_json
from boltspan.domain.findings import find
from boltspan.domain.ids import is_id, mint
from boltspan.domain.problems import Problems
from boltspan.domain.records import qualifier_json
from boltspan.domain.review import Decision, Rulings, rulings
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.statements import decision_from, decision_json
from boltspan.domain.subjects import Record, named, subject_of
from boltspan.domain.values import value_json
from boltspan.services.answers import finding_answer
from boltspan.services.cases import REASONS, RECORD, case_tag, check_match, open_case
from boltspan.services.lookup import claim_answer, decision_answer
from boltspan.services.made import stored_record, touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Case, Clock, Stored, UnitOfWork
from boltspan.services.publishing import republish
from boltspan.services.submit import claimable, named_record


@dataclass(frozen=True, slots=True)
class CasePage:
    """Cases in the order they want a look, and the key to go on after (None when these were the last)."""

    reviews: list[dict[str, Any]]
    after: tuple[int, str] | None


def reviews(actor: Actor, uow: UnitOfWork, state: str | None, after: tuple[int, str] | None, limit: int) -> CasePage:
    """Return the cases in a state (all for None), the one that has waited longest first."""
    actor.must("see_reviews")
    found = uow.cases.page(state, after, limit)
    last = (found[-1].sequence, found[-1].id) if len(found) == limit else None
    return CasePage([_head(uow, c) for c in found], last)


def review(actor: Actor, uow: UnitOfWork, case_id: str) -> tuple[dict[str, Any], str]:
    """Return all about one case, and its ETag: claims, decisions, what is published now. Raises NotFound."""
    actor.must("see_reviews")
    case = _case(uow, case_id)
    return _whole(actor, uow, case), case_tag(case)


def _whole(actor: Actor, uow: UnitOfWork, case: Case) -> dict[str, Any]:
    stored = _stored(uow, case.frame)
    found = _head(uow, case)
    if case.subject == RECORD:
        return found | {"proposed_by": stored.proposed_by} if stored.proposed_by else found
    claims = [c for c in uow.statements.claims(case.frame) if c.subject == case.subject]
    decisions = [d for d in uow.statements.decisions(case.frame) if d.subject == case.subject]
    undone = rulings(decisions).reversed
    said = {c.id: statement_of(c) for c in claims}
    found["published"] = finding_answer(find(stored.about, case.subject, claims, decisions))
    found["claims"] = [
        claim_answer(actor, c)
        | ({"reads_as": value_json(said[c.id].value, labelled=True)} if c.value is None and said[c.id].value else {})  # type: ignore[arg-type]
        | ({"mistake": said[c.id].mistake} if said[c.id].mistake else {})
        for c in claims
    ]
    found["decisions"] = [decision_answer(d, undone) for d in decisions]
    return found


def _head(uow: UnitOfWork, case: Case) -> dict[str, Any]:
    record = _stored(uow, case.frame).about
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
    }
    return found | ({"qualifier": qualifier_json(record.qualifier)} if record.qualifier else {})


def open_review(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Open the case of a subject, to look at it, to withhold it or to reverse a ruling; an open one stays open.

    ``data`` has frame or shock, subject and why.
    """
    person = actor.must("open_review")

    def work() -> Receipt:
        stored = named_record(uow, actor, data)
        subject = subject_of(stored.about, str(data.get("subject", "")), "/subject")
        why = text_from(data.get("why"), "/why", 500)
        sequence = uow.events.record(
            person, "review_opened", frame=stored.about.id, subject=subject, payload={"why": why}
        )
        touch(uow, stored, sequence)
        case = open_case(uow, clock, stored.about.id, subject, "opened_by_maintainer", sequence)
        republish(uow, [stored.about.id])
        return Receipt(_whole(actor, uow, case), f"/v1/reviews/{case.id}")

    return once(uow, clock, key, work)


def decide(
    actor: Actor,
    uow: UnitOfWork,
    clock: Clock,
    case_id: str,
    data: Mapping[str, Any],
    if_match: str | None,
    key: OnceKey,
) -> Receipt:
    """Make a decision on a case's subject and close the case; the answer changes in the same transaction.

    ``data`` has ruling and why, and what the ruling needs. Claims that speak against a settled value are written
    down as overruled. Raises PreconditionMissing or Stale by the case's ETag, NotAllowed when an own claim is among
    those decided on, InvalidInput for what does not go.
    """
    person = actor.must("settle_review")

    def work() -> Receipt:
        case = _case(uow, case_id)
        check_match(if_match, case_tag(case))
        if case.subject == RECORD:
            raise Clash("a proposal is accepted or refused by an edit of the frame")
        stored = _stored(uow, case.frame)
        claimable(stored.about)
        said = [c for c in uow.statements.claims(case.frame) if c.subject == case.subject]
        ruled = [d for d in uow.statements.decisions(case.frame) if d.subject == case.subject]
        decision = _decision(person, clock, stored.about, case.subject, data, said)
        _check_grounds(decision, said, ruled)
        _check_not_own(person, decision, said, ruled)
        case = _carry_out(uow, clock, stored, case, decision, said, ruled)
        body = {"decision": decision_json(decision), "review": _whole(actor, uow, case)}
        return Receipt(body, f"/v1/reviews/{case.id}")

    return once(uow, clock, key, work)


def reverse(
    actor: Actor, uow: UnitOfWork, clock: Clock, decision_id: str, why: str, if_match: str | None, key: OnceKey
) -> Receipt:
    """Undo a decision by a new one. ``if_match`` names the ETag of the subject's case. Raises as ``decide``."""
    actor.must("settle_review")
    decision = uow.statements.decision(decision_id) if is_id("decision", decision_id) else None
    if decision is None:
        raise NotFound("decision", decision_id)
    case = uow.cases.of_subject(decision.frame, decision.subject)
    if case is None:
        raise Clash("open a review of this subject first (POST /v1/reviews), then reverse with its ETag")
    data = {"ruling": "reverse", "reverses": decision_id, "why": why}
    return decide(actor, uow, clock, case.id, data, if_match, key)


def _decision(
    person: str, clock: Clock, record: Record, subject: str, data: Mapping[str, Any], said: Sequence[Claim]
) -> Decision:
    decision = decision_from(record, subject, {**data, "id": mint("decision"), "on": clock.today(), "by": person})
    if decision.ruling != "settle" or decision.value is None:
        return decision
    if not decision.value.complete:
        raise InvalidInput.one(
            "/value",
            "value_incomplete",
            "a settled value says all that is needed to fetch the part",
            got=decision.value.label,
            accepted="mount, and bolt_mm and width_mm with hardware; eye_to_eye_mm and stroke_mm; "
            "of a shock: mount, and eyelet_bore_mm with an eyelet",
        )
    value = decision.value
    against = [c.id for c in said if c.counts and c.id not in decision.rests_on and not statement_of(c).allows(value)]
    return replace(decision, overrules=tuple(dict.fromkeys((*decision.overrules, *against))))


def _check_grounds(decision: Decision, said: Sequence[Claim], ruled: Sequence[Decision]) -> None:
    problems = Problems()
    known = {c.id: c for c in said}
    for key in ("rests_on", "overrules", "refuses"):
        for i, claim_id in enumerate(getattr(decision, key)):
            claim = known.get(claim_id)
            if claim is None:
                problems.add(
                    f"/{key}/{i}",
                    "unknown_claim",
                    "no claim on this subject has that id",
                    claim_id,
                    ", ".join(known) or "there is no claim on this subject",
                )
            elif not claim.counts and key != "overrules":
                problems.add(
                    f"/{key}/{i}",
                    "claim_counts_no_more",
                    f"this claim is {claim.state}",
                    claim_id,
                    "a claim that still counts",
                )
            elif key == "rests_on" and decision.value is not None and not statement_of(claim).allows(decision.value):
                problems.add(
                    f"/{key}/{i}",
                    "rests_on_contradiction",
                    "this claim says something else than the value, so the value cannot rest on it",
                    claim_id,
                    "claims that allow the value",
                )
    if decision.reverses is not None:
        live = {d.id for d in ruled} - rulings(ruled).reversed
        if decision.reverses not in live:
            problems.add(
                "/reverses",
                "unknown_decision",
                "no standing decision on this subject has that id",
                decision.reverses,
                ", ".join(sorted(live)) or "there is none",
            )
    problems.raise_any()


def _check_not_own(person: str, decision: Decision, said: Sequence[Claim], ruled: Sequence[Decision]) -> None:
    """Hold that nobody decides on an own claim: none named, none let into the dataset, no rival of one refused.

    Putting an end on hold names no claim and is the safe side; it is open to everybody who may decide.
    """
    if decision.ruling == "withhold":
        return
    judged = [decision, *(d for d in ruled if d.id == decision.reverses)]
    touched = {c for d in judged for c in (*d.rests_on, *d.overrules, *d.refuses)}
    if decision.ruling == "refuse_claims":  # refusing what speaks against an own claim rules for that claim
        touched |= {c.id for c in said if c.counts}
    elif decision.ruling != "reverse":
        touched |= {c.id for c in said if c.state == "submitted"}
    own = [c.id for c in said if c.source.by == person and c.id in touched]
    if own:
        raise NotAllowed(f"nobody decides on an own claim; somebody else has to rule on {', '.join(own)}")


def _carry_out(
    uow: UnitOfWork,
    clock: Clock,
    stored: Stored,
    case: Case,
    decision: Decision,
    said: Sequence[Claim],
    ruled: Sequence[Decision],
) -> Case:
    payload: dict[str, Any] = {"decision": decision.id, "ruling": decision.ruling, "why": decision.why}
    if decision.value is not None:
        payload["value"] = value_json(decision.value)
    sequence = uow.events.record(
        decision.by, "decision_made", frame=decision.frame, subject=decision.subject, payload=payload
    )
    decision = replace(decision, sequence=sequence)
    uow.statements.add_decisions([decision])
    for claim in said:
        state = _state_after(claim, decision, rulings([*ruled, decision]))
        if state != claim.state:
            uow.statements.set_state(replace(claim, state=state))
    touch(uow, stored, sequence)
    if decision.ruling == "reverse":
        case = open_case(uow, clock, case.frame, case.subject, "reversed", sequence)
    else:
        case = replace(case, state="closed", sequence=sequence)
        uow.cases.put(case)
    republish(uow, [case.frame])
    return case


def _state_after(claim: Claim, decision: Decision, standing: Rulings) -> str:
    """Return a claim's state after ``decision``: refused claims are out, a ruling on the value lets the others in."""
    if claim.state == "withdrawn":
        return claim.state
    if claim.id in standing.refused:
        return "refused"
    if claim.state == "refused" or (claim.state == "submitted" and decision.ruling in ("settle", "leave_open")):
        return "accepted"
    return claim.state


def _case(uow: UnitOfWork, case_id: str) -> Case:
    case = uow.cases.case(case_id) if is_id("review", case_id) else None
    if case is None:
        raise NotFound("review", case_id)
    return case


def _stored(uow: UnitOfWork, record_id: str) -> Stored:
    stored = stored_record(uow, record_id)
    assert stored is not None, "a case's record is never deleted"
    return stored
