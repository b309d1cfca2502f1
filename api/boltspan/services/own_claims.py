"""What became of one's own claims: state, reason, how long they have waited."""

from __future__ import annotations

from typing import Any, Final

from boltspan.domain.read_back import ReadBack, read_back
from boltspan.domain.review import rulings
from boltspan.services import claim_receipts
from boltspan.services.answers import frame_head
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork

MOST_SHOWN: Final = 100


def own_claims(actor: Actor, uow: UnitOfWork, clock: Clock) -> list[dict[str, Any]]:
    """Return the acting person's newest claims, at most 100, each as ``own_claim`` does."""
    told, _ = claim_receipts.own_claims(actor, uow, clock, None, MOST_SHOWN)
    return [_with_frame(uow, each) for each in told]


def own_claim(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str) -> dict[str, Any]:
    """Return an own claim as ``claim_receipts.claim`` does, with its frame's head and the decision that ruled on it, if
    any. A maintainer sees any claim. Raises NotFound.
    """
    return _with_frame(uow, claim_receipts.claim(actor, uow, clock, claim_id))


def readings_of(uow: UnitOfWork, claim_id: str) -> tuple[ReadBack, ...]:
    """Return what a claim's readings come to; () for none."""
    found = uow.statements.claim(claim_id)
    return () if found is None else read_back(found)


def _with_frame(uow: UnitOfWork, told: dict[str, Any]) -> dict[str, Any]:
    stored = uow.catalogue.frame(told["frame"])
    assert stored is not None, "a claim's frame is never deleted"
    make = uow.catalogue.make(stored.frame.make)
    model = uow.catalogue.model(stored.frame.make, stored.frame.model)
    assert make is not None and model is not None, "a frame's model is never deleted"
    found = told | {"head": frame_head(stored.frame, make, model), "listed": stored.listed}
    ruled = [d for d in uow.statements.decisions(told["frame"]) if d.subject == told["subject"]]
    undone = rulings(ruled).reversed
    claim_id = told["claim"]["id"]
    named = [d for d in ruled if claim_id in (*d.refuses, *d.rests_on, *d.overrules) and d.id not in undone]
    if named:
        found["decision"] = {"on": named[-1].on, "ruling": named[-1].ruling, "why": named[-1].why}
    return found
