"""Asking a contributor for more, and their answer. It stays between them and the maintainers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.claim_states import Question
from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, InvalidInput, NotAllowed, NotFound
from boltspan.domain.fields import text_from
from boltspan.domain.ids import is_id, mint
from boltspan.services.cases import open_case
from boltspan.services.claim_receipts import claim_receipt
from boltspan.services.made import stored_record, touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, StoredFrame, UnitOfWork
from boltspan.services.record_ends import bring_cases_in_step

MOST_WORDS: Final = 500


def ask_for_more(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str, question: str, key: OnceKey) -> Receipt:
    """Ask the contributor of a claim that waits for a review something.

    Raises NotFound; Clash for a claim that does not wait, or has a question open already; NotAllowed for an own claim.
    """
    person = actor.must("ask_for_more")

    def work() -> Receipt:
        claim = _claim(uow, claim_id)
        if claim.source.by == person:
            raise NotAllowed("nobody reviews an own claim")
        if claim.state != "submitted":
            raise Clash(f"the claim is {claim.state}; only one that waits for a review is asked about")
        if any(q.answered_on is None for q in uow.statements.questions([claim.id])[claim.id]):
            raise Clash("something was asked already and waits for an answer")
        text = text_from(question, "/question", MOST_WORDS)
        sequence = _record(uow, person, "more_asked", claim)
        uow.statements.put_question(
            Question(mint("question"), claim.id, person, clock.today(), text, sequence=sequence)
        )
        open_case(uow, clock, claim.frame, claim.subject, "new_claim", sequence)
        bring_cases_in_step(uow, claim.frame)
        return Receipt(claim_receipt(actor, uow, clock, claim.id), f"/v1/claims/{claim.id}")

    return once(uow, clock, key, work)


def answer_question(
    actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str, data: Mapping[str, Any], key: OnceKey
) -> Receipt:
    """Answer what was asked about an own claim. ``data`` has answer (words), claim (a newer own one), or both.

    Raises NotFound for a claim of somebody else, Clash when nothing waits for an answer, InvalidInput.
    """
    person = actor.must("answer_question")

    def work() -> Receipt:
        claim = _claim(uow, claim_id)
        if claim.source.by != person:
            raise NotFound("claim", claim_id)
        waiting = next((q for q in uow.statements.questions([claim.id])[claim.id] if q.answered_on is None), None)
        if waiting is None:
            raise Clash("nothing was asked about this claim that is not answered")
        words = text_from(data["answer"], "/answer", MOST_WORDS) if "answer" in data else None
        newer = _newer(uow, person, claim, data["claim"]) if "claim" in data else None
        if words is None and newer is None:
            raise InvalidInput.one("", "nothing_stated", "the answer says nothing", accepted="answer, claim or both")
        sequence = _record(uow, person, "more_answered", claim)
        answered = replace(waiting, answered_on=clock.today(), answer=words, answered_with=newer)
        uow.statements.put_question(answered)
        open_case(uow, clock, claim.frame, claim.subject, "more_answered", sequence)
        bring_cases_in_step(uow, claim.frame)
        return Receipt(claim_receipt(actor, uow, clock, claim.id), f"/v1/claims/{claim.id}")

    return once(uow, clock, key, work)


def _record(uow: UnitOfWork, person: str, kind: str, claim: Claim) -> int:
    """Record that something was asked or answered, without the words; the answer about the frame stays as it is."""
    sequence = uow.events.record(person, kind, frame=claim.frame, subject=claim.subject, payload={"claim": claim.id})
    stored = stored_record(uow, claim.frame)
    assert stored is not None, "a claim's record is never deleted"
    touch(uow, stored, sequence, holds_from=stored.event if isinstance(stored, StoredFrame) else None)
    return sequence


def _newer(uow: UnitOfWork, person: str, claim: Claim, newer_id: str) -> str:
    newer = uow.statements.claim(newer_id)
    same = newer is not None and (newer.frame, newer.subject) == (claim.frame, claim.subject)
    if newer is None or not same or newer.source.by != person or newer.sequence <= claim.sequence:
        raise InvalidInput.one("/claim", "unknown_claim", "this is no newer claim of yours on this subject",
                               got=newer_id, accepted="a claim sent after the question")  # fmt: skip
    return newer.id


def _claim(uow: UnitOfWork, claim_id: str) -> Claim:
    found = uow.statements.claim(claim_id) if is_id("claim", claim_id) else None
    if found is None:
        raise NotFound("claim", claim_id)
    return found
