"""What a contributor is told of an own claim: its state and why, how long it has waited, what was asked."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any

from boltspan.domain.claims import Claim
from boltspan.domain.errors import NotFound
from boltspan.domain.ids import is_id
from boltspan.domain.mistakes import ADVICE
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import beside_others
from boltspan.domain.subjects import Record, named
from boltspan.domain.values import value_json
from boltspan.services.claim_view import About, question_answer
from boltspan.services.lookup import claim_answer
from boltspan.services.made import stored_record
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.record_ends import ending


def claim(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str) -> dict[str, Any]:
    """Return an own claim with its state; any claim for a maintainer. Raises NotFound for all others alike."""
    person = actor.must("see_own")
    found = uow.statements.claim(claim_id) if is_id("claim", claim_id) else None
    if found is None or not (found.source.by == person or "see_reviews" in actor.may):
        raise NotFound("claim", claim_id)
    return _receipt(actor, uow, clock, found)


def claim_receipt(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str) -> dict[str, Any]:
    """Return what the contributor of a claim that is there is told of it."""
    found = uow.statements.claim(claim_id)
    assert found is not None, "a claim is never deleted"
    return _receipt(actor, uow, clock, found)


def own_claims(
    actor: Actor, uow: UnitOfWork, clock: Clock, after: tuple[int, str] | None, limit: int
) -> tuple[list[dict[str, Any]], tuple[int, str] | None]:
    """Return the actor's own claims, newest first, from behind ``after`` on, and the key to go on after."""
    person = actor.must("see_own")
    own = uow.statements.claims_by(person)
    rest = own if after is None else [c for c in own if (c.sequence, c.id) < after]
    page = rest[:limit]
    last = (page[-1].sequence, page[-1].id) if len(rest) > limit else None
    return [_receipt(actor, uow, clock, c) for c in page], last


def _decided(claim: Claim, ruled: Sequence[Decision]) -> dict[str, Any] | None:
    """Return the last ruling that stands and names the claim; ``followed`` says whether the ruling goes with it.

    A claim that a settled value overrules belongs to the dataset, and its contributor is told that it was not followed.
    """
    undone = rulings(ruled).reversed
    naming = (d for d in reversed(ruled) if claim.id in (*d.refuses, *d.rests_on, *d.overrules))
    decision = next((d for d in naming if d.id not in undone), None)
    if decision is None:
        return None
    found: dict[str, Any] = {"id": decision.id, "on": decision.on, "ruling": decision.ruling, "why": decision.why}
    found["followed"] = claim.id in decision.rests_on
    return found | ({"value": value_json(decision.value, labelled=True)} if decision.value is not None else {})


def _record(uow: UnitOfWork, claim: Claim) -> Record:
    stored = stored_record(uow, claim.frame)
    assert stored is not None, "a claim's record is never deleted"
    return stored.about


def _receipt(actor: Actor, uow: UnitOfWork, clock: Clock, claim: Claim) -> dict[str, Any]:
    said = [c for c in uow.statements.claims(claim.frame) if c.subject == claim.subject]
    ruled = [d for d in uow.statements.decisions(claim.frame) if d.subject == claim.subject]
    questions = uow.statements.questions([claim.id])[claim.id]
    photos = uow.photos.of_claims([claim.id]).get(claim.id, [])
    shown = claim_answer(actor, claim, About(said, ruled, questions), photos)
    found: dict[str, Any] = {**named(claim.frame), "subject": claim.subject, "claim": shown}
    reading = beside_others(claim, said)
    if claim.source.measurement is not None:
        if reading.value is not None:
            found["reads_as"] = value_json(reading.value, labelled=True)
        if reading.mistake is not None:
            found["mistake"] = {"code": reading.mistake, "advice": ADVICE[reading.mistake]}
    if questions:
        found["questions"] = [question_answer(q) for q in questions]
    came_on = uow.events.days([claim.sequence]).get(claim.sequence)
    if came_on is not None:
        found["came_on"] = came_on
    case = uow.cases.of_subject(claim.frame, claim.subject)
    if case is not None:
        found["review"] = {"id": case.id, "state": case.state}
    if (decided := _decided(claim, ruled)) is not None:
        found["decision"] = decided
    ended = ending(uow, _record(uow, claim))
    if ended is not None:
        found["ended"] = ended
    elif claim.state == "submitted" and came_on is not None:
        waited = datetime.date.fromisoformat(clock.today()) - datetime.date.fromisoformat(came_on)
        found["waits_days"] = max(waited.days, 0)
    return found
