"""What became of one's own claims: state, reason, how long they have waited."""

from __future__ import annotations

import datetime
from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.read_back import ReadBack, read_back
from boltspan.domain.review import rulings
from boltspan.services import submit
from boltspan.services.answers import frame_head
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork

MOST_SHOWN: Final = 100


def own_claims(actor: Actor, uow: UnitOfWork, clock: Clock) -> list[dict[str, Any]]:
    """Return the acting person's newest claims, at most 100, each as ``own_claim`` does."""
    claims = uow.statements.claims_by(actor.must("see_own"))
    return [_shown(actor, uow, clock, c) for c in claims[:MOST_SHOWN]]


def own_claim(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str) -> dict[str, Any]:
    """Return an own claim as ``submit.claim`` does, with its frame's head, the day it was sent, how many days it has
    waited (when it waits), and the decision that ruled on it, if any. A maintainer sees any claim. Raises NotFound.
    """
    submit.claim(actor, uow, claim_id)
    found = uow.statements.claim(claim_id)
    assert found is not None, "it was just shown"
    return _shown(actor, uow, clock, found)


def readings_of(uow: UnitOfWork, claim_id: str) -> tuple[ReadBack, ...]:
    """Return what a claim's readings come to; () for none."""
    found = uow.statements.claim(claim_id)
    return () if found is None else read_back(found)


def _shown(actor: Actor, uow: UnitOfWork, clock: Clock, claim: Claim) -> dict[str, Any]:
    told = submit.claim(actor, uow, claim.id)
    stored = uow.catalogue.frame(claim.frame)
    assert stored is not None, "a claim's frame is never deleted"
    make = uow.catalogue.make(stored.frame.make)
    model = uow.catalogue.model(stored.frame.make, stored.frame.model)
    assert make is not None and model is not None, "a frame's model is never deleted"
    events = uow.events.page(claim.sequence - 1, 1) if claim.sequence else []
    sent_on = events[0].at[:10] if events else claim.source.seen_on
    told |= {"head": frame_head(stored.frame, make, model), "listed": stored.listed, "sent_on": sent_on}
    if claim.state == "submitted":
        waits = datetime.date.fromisoformat(clock.today()) - datetime.date.fromisoformat(sent_on)
        told["waiting_days"] = max(0, waits.days)
    ruled = [d for d in uow.statements.decisions(claim.frame) if d.subject == claim.subject]
    undone = rulings(ruled).reversed
    named = [d for d in ruled if claim.id in (*d.refuses, *d.rests_on, *d.overrules) and d.id not in undone]
    if named:
        told["decision"] = {"on": named[-1].on, "ruling": named[-1].ruling, "why": named[-1].why}
    return told
