"""Reviewing: decisions on cases, their preview, reversals. Nobody decides on an own claim."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from boltspan.domain.claim_states import state_of
from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, InvalidInput, NotAllowed, NotFound
from boltspan.domain.fields import text_from
from boltspan.domain.findings import Finding, find
from boltspan.domain.frames import Frame
from boltspan.domain.ids import is_id, mint
from boltspan.domain.problems import Problems
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.statements import decision_from, decision_json
from boltspan.domain.subjects import Record, subject_of
from boltspan.services import snapshots
from boltspan.services.accounts import decides_alone
from boltspan.services.answers import finding_answer
from boltspan.services.carrying_out import carry_out
from boltspan.services.case_view import case_named, since, stored_of, whole
from boltspan.services.cases import RECORD, case_tag, check_match, open_case
from boltspan.services.made import touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.publishing import findings_of, republish
from boltspan.services.settling import let_rule_settle
from boltspan.services.submit import claimable, named_record
from boltspan.services.weighing import weigh


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
        return Receipt(whole(actor, uow, clock, case), f"/v1/reviews/{case.id}")

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
        case = case_named(uow, case_id)
        check_match(if_match, case_tag(case), lambda read: since(uow, case, read))
        if case.subject == RECORD:
            raise Clash("a proposal is accepted or refused by an edit of the frame")
        stored = stored_of(uow, case.frame)
        claimable(stored.about)
        decision = checked(uow, clock, person, stored.about, case.subject, data)
        case = carry_out(uow, clock, stored, decision)
        let_rule_settle(uow, clock, [decision.frame])
        case = case_named(uow, case.id)
        body = {"decision": decision_json(decision), "review": whole(actor, uow, clock, case)}
        return Receipt(body, f"/v1/reviews/{case.id}")

    return once(uow, clock, key, work)


def checked(
    uow: UnitOfWork, clock: Clock, person: str, record: Record, subject: str, data: Mapping[str, Any]
) -> Decision:
    """Return the decision in ``data`` on a subject as ``person`` may make it now. Raises InvalidInput, NotAllowed."""
    said = [c for c in uow.statements.claims(record.id) if c.subject == subject]
    ruled = [d for d in uow.statements.decisions(record.id) if d.subject == subject]
    decision = _decision(person, clock, record, subject, data, said)
    _check_grounds(decision, said, ruled)
    _check_not_own(uow, person, decision, said, ruled)
    return decision


def preview(actor: Actor, uow: UnitOfWork, clock: Clock, case_id: str, data: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a decision would do to the answer, and do nothing. Raises as ``decide``, without an ETag."""
    person = actor.must("settle_review")
    case = case_named(uow, case_id)
    if case.subject == RECORD:
        raise Clash("a proposal is accepted or refused by an edit of the frame")
    record = stored_of(uow, case.frame).about
    claimable(record)
    decision = replace(checked(uow, clock, person, record, case.subject, data), sequence=uow.events.last() + 1)
    said, ruled = uow.statements.claims(case.frame), uow.statements.decisions(case.frame)
    on_subject = [d for d in (*ruled, decision) if d.subject == case.subject]
    after = [replace(c, state=state_of(c, on_subject)) if c.subject == case.subject else c for c in said]
    published = findings_of(uow, [record])[record.id]
    return {
        "review": case.id,
        "subject": case.subject,
        "before": finding_answer(next(f for f in published if f.subject == case.subject)),
        "after": finding_answer(_found(uow, record, case.subject, after, [*ruled, decision])),
        "claims": [
            {"id": now.id, "before": was.state, "after": now.state}
            for was, now in zip(said, after, strict=True)
            if was.state != now.state
        ],
    }


def _found(
    uow: UnitOfWork, record: Record, subject: str, claims: Sequence[Claim], decisions: Sequence[Decision]
) -> Finding:
    """Return the finding on a subject from all claims and decisions of the record, weighed anew and not stored."""
    ready = snapshots.current(uow)
    weighed = {}
    if ready is not None and isinstance(record, Frame):
        own = uow.weighed.of_frames(ready.id, [record.id])
        weighed = weigh([record], {record.id: claims}, {record.id: decisions}, ready, own)[record.id]
    said = [c for c in claims if c.subject == subject]
    return find(record, subject, said, [d for d in decisions if d.subject == subject], weighed.get(subject))


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


def _check_not_own(
    uow: UnitOfWork, person: str, decision: Decision, said: Sequence[Claim], ruled: Sequence[Decision]
) -> None:
    """Hold that nobody decides on an own claim: none named, none let into the dataset, no rival of one refused.

    Putting an end on hold names no claim and is the safe side; it is open to everybody who may decide. A chart is a
    source of its own, whoever brings it: where only one person may decide at all, they may rule on one they brought.
    """
    if decision.ruling == "withhold":
        return
    touched = {*decision.rests_on, *decision.overrules, *decision.refuses}
    if decision.ruling == "reverse":
        touched |= _touched_by_reversal(decision, said, ruled)
    elif decision.ruling == "refuse_claims":  # refusing what speaks against an own claim rules for that claim
        touched |= {c.id for c in said if c.counts}
    else:
        touched |= {c.id for c in said if c.state == "submitted"}
    own = [c for c in said if c.source.by == person and c.id in touched]
    if own and all(c.source.kind == "retailer_chart" for c in own) and decides_alone(uow, person):
        return
    if own:
        named = ", ".join(c.id for c in own)
        raise NotAllowed(f"nobody decides on an own claim; somebody else has to rule on {named}")


def _touched_by_reversal(decision: Decision, said: Sequence[Claim], ruled: Sequence[Decision]) -> set[str]:
    """Return the claims that a reversal rules on: those of every decision it undoes or brings back, and those that it
    puts in another state. Undoing a hold or a reversal brings an earlier ruling back.
    """
    before, after = rulings(ruled), rulings([*ruled, decision])
    judged = [d for d in ruled if (d.id in before.reversed) != (d.id in after.reversed)]
    if before.standing != after.standing:
        judged += [d for d in (before.standing, after.standing) if d is not None]
    moved = {c.id for c in said if state_of(c, [*ruled, decision]) != c.state}
    return moved.union(*({*d.rests_on, *d.overrules, *d.refuses} for d in judged))
