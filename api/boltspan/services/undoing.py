"""Undoing everything of one account in one act, by new events: nothing is lost, and every answer is as it was before.

Its rulings are reversed, its edits of records put back, its claims refused, its flags closed. What somebody else has
built on since, so that it cannot be taken out by itself, is left and told; so is what speaks against a claim of whoever
undoes, for nobody rules on an own claim.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from boltspan.domain.errors import NotAllowed, NotFound
from boltspan.domain.fields import text_from
from boltspan.domain.frames import Frame, Model
from boltspan.domain.ids import RULE_AUTHOR, check_id, mint
from boltspan.domain.records import frame_from, frame_json, model_from, model_json
from boltspan.domain.review import Decision, rulings
from boltspan.domain.shock_records import shock_from, shock_json, shock_model_from
from boltspan.domain.shocks import Shock
from boltspan.domain.subjects import RECORD_KINDS, Record, kind_of
from boltspan.services.accounts import decides_alone
from boltspan.services.carrying_out import carry_out
from boltspan.services.cases import RECORD, open_case
from boltspan.services.made import stored_record, touch
from boltspan.services.permissions import ROLES, Actor
from boltspan.services.protocols import Clock, Event, Stored, StoredFrame, StoredShock, UnitOfWork
from boltspan.services.publishing import republish
from boltspan.services.record_ends import bring_cases_in_step
from boltspan.services.settling import let_rule_settle
from boltspan.services.standing_events import standing_event

_MODELS: Final = ("model", "shock_model")


@dataclass(slots=True)
class _Act:
    """One undoing: who does it and why, of whom, and what it came to so far."""

    uow: UnitOfWork
    clock: Clock
    by: str
    person: str
    why: str
    own: Sequence[Event]
    start: int
    claims: int = 0
    decisions: int = 0
    records: int = 0
    flags: int = 0
    left: list[dict[str, str]] = field(default_factory=list)
    frames: set[str] = field(default_factory=set)


def undo_account(actor: Actor, uow: UnitOfWork, clock: Clock, person: str, why: str) -> dict[str, Any]:
    """Undo everything of ``person`` and return what it came to: claims, decisions, records, flags, and what is left.

    Somebody signs for it: the new decisions and events are theirs. Raises NotFound for nobody known, NotAllowed for
    oneself, and for somebody who rules on claims unless the actor sets the rules (an operator).
    """
    by = actor.must("undo_account")
    check_id("person", person, "/person")
    account = uow.accounts.account(person)
    own = uow.events.by_actor(person)
    if account is None and not own and not uow.statements.claims_by(person):
        raise NotFound("person", person)
    if person == by:
        raise NotAllowed("nobody undoes their own account; take claims back one by one")
    if account is not None and "settle_review" in ROLES[account.role] and "set_rule" not in actor.may:
        raise NotAllowed("what a maintainer has done is undone by an operator")
    act = _Act(uow, clock, by, person, text_from(why, "/why", 500), own, uow.events.last())
    act.frames |= {e.frame for e in own if e.frame is not None}
    _reverse_decisions(act)
    _put_back_models(act)
    _put_back_frames(act)
    _refuse_claims(act)
    _close_flags(act)
    uow.events.record(by, "account_undone", payload={"account": person, "why": act.why})
    _bring_in_step(act)
    let_rule_settle(uow, clock, act.frames)
    return {
        "account": person,
        "claims": act.claims,
        "decisions": act.decisions,
        "records": act.records,
        "flags": act.flags,
        "left": act.left,
        "event": uow.events.last(),
    }


def _reverse_decisions(act: _Act) -> None:
    """Reverse the account's rulings, the newest first, and whatever rests on nothing but its claims."""
    for decision in reversed(act.uow.statements.decisions_by(act.person)):
        _reverse(act, decision)
    claims = {c.id: c for c in act.uow.statements.claims_by(act.person)}
    for frame_id in sorted({c.frame for c in claims.values()}):
        for decision in act.uow.statements.decisions(frame_id):
            grounds = set(decision.rests_on)
            if not grounds & set(claims):
                continue
            if decision.by == RULE_AUTHOR or grounds <= set(claims):
                _reverse(act, decision)
            elif not _is_undone(act, decision):
                open_case(act.uow, act.clock, frame_id, decision.subject, "grounds_undone", act.uow.events.last())


def _is_undone(act: _Act, decision: Decision) -> bool:
    on_subject = [d for d in act.uow.statements.decisions(decision.frame) if d.subject == decision.subject]
    return decision.id in rulings(on_subject).reversed


def _is_own_case(act: _Act, frame_id: str, subject: str) -> bool:
    """Return whether who undoes has said something there that counts, so that somebody else has to rule on it.

    It is told among what is left. Whoever decides alone here rules on it all the same: nobody else could.
    """
    said = act.uow.statements.claims(frame_id)
    if not any(c.subject == subject and c.source.by == act.by and c.counts for c in said):
        return False
    if decides_alone(act.uow, act.by):
        return False
    why = f"you have said something of its {subject.replace('_', ' ')} yourself, so somebody else has to rule there"
    if (told := {"what": frame_id, "why": why}) not in act.left:
        act.left.append(told)
    return True


def _reverse(act: _Act, decision: Decision) -> None:
    if _is_undone(act, decision) or _is_own_case(act, decision.frame, decision.subject):
        return
    undo = Decision(mint("decision"), decision.frame, decision.subject, act.clock.today(), act.by, "reverse",
                    act.why, reverses=decision.id)  # fmt: skip
    carry_out(act.uow, act.clock, _stored(act, decision.frame), undo)
    act.decisions += 1
    act.frames.add(decision.frame)


def _refuse_claims(act: _Act) -> None:
    counting = [c for c in act.uow.statements.claims_by(act.person) if c.counts]
    for frame_id, subject in sorted({(c.frame, c.subject) for c in counting}):
        if _is_own_case(act, frame_id, subject):
            continue
        named = tuple(sorted(c.id for c in counting if (c.frame, c.subject) == (frame_id, subject)))
        refusal = Decision(mint("decision"), frame_id, subject, act.clock.today(), act.by, "refuse_claims",
                           act.why, refuses=named, reason="account_undone")  # fmt: skip
        carry_out(act.uow, act.clock, _stored(act, frame_id), refusal)
        act.claims += len(named)
        act.frames.add(frame_id)


def _base(act: _Act, key: str) -> tuple[Event | None, list[int], bool]:
    """Return the record's last event that is not the account's, the account's after it, and whether that is all."""
    undone: list[int] = []
    event = act.uow.events.newest_record(key, act.start)
    while event is not None and event.actor == act.person:
        undone.append(event.sequence)
        event = act.uow.events.newest_record(key, event.sequence - 1)
    every = [e.sequence for e in act.own if _key_of(e) == key]
    return event, undone, len(undone) == len(every)


def _key_of(event: Event) -> str | None:
    payload = event.payload
    if any(isinstance(payload.get(kind), dict) for kind in RECORD_KINDS):
        return event.frame
    for kind in _MODELS:
        if isinstance(payload.get(kind), dict):
            return f"{kind}/{payload['make_slug']}/{payload[kind]['slug']}"
    return None


def _put_back_models(act: _Act) -> None:
    renamings = {f"{kind}_edited" for kind in _MODELS}
    keys = {k for e in act.own if e.kind in renamings and (k := _key_of(e)) is not None}
    for key in sorted(keys):
        base, _, whole = _base(act, key)
        if base is None or not whole:
            act.left.append({"what": key, "why": "somebody else has renamed it since"})
            continue
        _put_model(act, base)


def _put_model(act: _Act, base: Event) -> None:
    make_slug = base.payload["make_slug"]
    kind = "shock_model" if "shock_model" in base.payload else "model"
    model: Model
    if kind == "shock_model":
        model = shock_model_from(make_slug, base.payload[kind])
        act.uow.shocks.put_model(model)
        act.frames |= {s.shock.id for s in act.uow.shocks.shocks_of(make_slug, model.slug)}
    else:
        model = model_from(make_slug, base.payload[kind])
        act.uow.catalogue.put_model(model)
        act.frames |= {s.frame.id for s in act.uow.catalogue.frames_of(make_slug, model.slug)}
    payload = {"make_slug": make_slug, kind: model_json(model), "why": act.why}
    act.uow.events.record(act.by, f"{kind}_edited", payload=payload)
    act.records += 1


def _put_back_frames(act: _Act) -> None:
    for frame_id in sorted(
        {k for e in act.own if e.frame is not None and (k := _key_of(e)) is not None and k == e.frame}
    ):
        base, undone, whole = _base(act, frame_id)
        if not undone:
            act.left.append({"what": frame_id, "why": "somebody else has edited the record since"})
            continue
        if not whole:
            act.left.append({"what": frame_id, "why": "somebody else has edited the record in between"})
        stored = _stored(act, frame_id)
        if base is None:
            _take_out(act, stored)
        else:
            record = _record_in(base, stored.about)
            listed = stored.listed and base.kind != f"{kind_of(frame_id)}_proposed"
            _store(act, stored, record, listed=listed)
            if record.live and not listed:  # what was accepted or withdrawn is a proposal again
                open_case(act.uow, act.clock, frame_id, RECORD, "proposal", act.uow.events.last())


def _record_in(base: Event, now: Record) -> Record:
    """Return the record as it stood after an event."""
    make, model = base.payload.get("make_slug", now.make), base.payload.get("model_slug", now.model)
    if isinstance(now, Frame):
        return frame_from(make, model, base.payload["frame"])
    return shock_from(make, model, base.payload["shock"])


def _take_out(act: _Act, stored: Stored) -> None:
    """Take a record that the account brought off the list; the parts of a division lead to what was divided."""
    if not stored.listed:
        return
    record = stored.about
    divided = next((e for e in act.own if record.id in e.payload.get("ask_instead", ())), None)
    if divided is not None and divided.frame is not None:
        record = replace(record, record="merged", into=(divided.frame,))
    said = act.uow.statements.claims(record.id)
    if any(c.source.by != act.person for c in said) and divided is None:
        act.left.append({"what": record.id, "why": f"others have said something of this {kind_of(record.id)}"})
        return
    _store(act, stored, record, listed=False)


def _store(act: _Act, stored: Stored, record: Record, *, listed: bool) -> None:
    kind = kind_of(record.id)
    fields = frame_json(record) if isinstance(record, Frame) else shock_json(record)
    payload = {"make_slug": record.make, "model_slug": record.model, kind: fields, "why": act.why}
    sequence = act.uow.events.record(act.by, f"{kind}_restored", frame=record.id, payload=payload)
    if isinstance(record, Frame) and isinstance(stored, StoredFrame):
        touch(act.uow, replace(stored, frame=record, listed=listed), sequence)
    elif isinstance(record, Shock) and isinstance(stored, StoredShock):
        touch(act.uow, replace(stored, shock=record, listed=listed), sequence)
    act.records += 1
    act.frames.add(record.id)


def _close_flags(act: _Act) -> None:
    for flag in act.uow.flags.by(act.person):
        if flag.closed_on is None:
            act.uow.flags.put(replace(flag, closed_on=act.clock.today()))
            act.flags += 1


def _bring_in_step(act: _Act) -> None:
    """Write down for each frame what was undone on it, and let its answer be that of the last event that stands."""
    left = {entry["what"] for entry in act.left}
    for frame_id in sorted(act.frames):
        stored = _stored(act, frame_id)
        gone = [
            e.sequence for e in act.uow.events.of_frame(frame_id) if e.actor == act.person or e.sequence > act.start
        ]
        payload = {"account": act.person, "why": act.why, "undoes": gone}
        sequence = act.uow.events.record(act.by, "account_undone", frame=frame_id, payload=payload)
        holds = standing_event(act.uow, frame_id) if frame_id not in left else None
        touch(act.uow, stored, sequence, holds_from=holds)
        bring_cases_in_step(act.uow, frame_id)
    republish(act.uow, act.frames)


def _stored(act: _Act, record_id: str) -> Stored:
    stored = stored_record(act.uow, record_id)
    assert stored is not None, "a record is never deleted"
    return stored
