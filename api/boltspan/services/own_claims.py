"""What became of one's own claims: state, reason, how long they have waited."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.read_back import ReadBack, read_back
from boltspan.domain.shock_values import SIZES
from boltspan.domain.shocks import Shock
from boltspan.domain.subjects import RECORD_KINDS, Record
from boltspan.domain.values import SHOCK_SIZE
from boltspan.services import claim_receipts
from boltspan.services.answers import frame_head
from boltspan.services.lookup import frame
from boltspan.services.made import stored_record
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Stored, UnitOfWork
from boltspan.services.record_ends import ending
from boltspan.services.shocks import shock, shock_head

MOST_SHOWN: Final = 100


def own_claims(actor: Actor, uow: UnitOfWork, clock: Clock) -> list[dict[str, Any]]:
    """Return the acting person's newest claims, at most 100, each as ``own_claim`` does."""
    told, _ = claim_receipts.own_claims(actor, uow, clock, None, MOST_SHOWN)
    return [_with_record(uow, each) for each in told]


def own_proposals(actor: Actor, uow: UnitOfWork) -> list[dict[str, Any]]:
    """Return the frames and shocks that the acting person proposed, at most 100 of each: head, whether it is listed,
    and ``ended`` for one that answers no more.
    """
    person = actor.must("see_own")
    own: list[Stored] = [*uow.catalogue.proposed_by(person)[:MOST_SHOWN], *uow.shocks.proposed_by(person)[:MOST_SHOWN]]
    found = []
    for stored in own:
        told: dict[str, Any] = {"head": _head(uow, stored.about), "listed": stored.listed}
        ended = ending(uow, stored.about)
        found.append(told if ended is None else told | {"ended": ended})
    return found


def own_claim(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str) -> dict[str, Any]:
    """Return an own claim as ``claim_receipts.claim`` does, with the head of its frame or shock.

    A maintainer sees any claim. Raises NotFound.
    """
    return _with_record(uow, claim_receipts.claim(actor, uow, clock, claim_id))


def published_now(uow: UnitOfWork, actor: Actor, told: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what is answered now on the subject of an ``own_claim``; None when its record answers no more."""
    if told["head"]["record"] not in RECORD_KINDS:
        return None
    answer = shock(uow, actor, told["shock"]) if "shock" in told else frame(uow, actor, told["frame"])
    subject = told["subject"]
    found: dict[str, Any] = answer[subject] if subject in (SHOCK_SIZE, SIZES) else answer["ends"][subject]
    return found


def readings_of(uow: UnitOfWork, claim_id: str) -> tuple[ReadBack, ...]:
    """Return what a claim's readings come to; () for none."""
    found = uow.statements.claim(claim_id)
    return () if found is None else read_back(found)


def _with_record(uow: UnitOfWork, told: dict[str, Any]) -> dict[str, Any]:
    about = str(told["shock"] if "shock" in told else told["frame"])
    stored = stored_record(uow, about)
    assert stored is not None, "a claim's record is never deleted"
    return told | {"head": _head(uow, stored.about), "listed": stored.listed}


def _head(uow: UnitOfWork, record: Record) -> dict[str, Any]:
    make = uow.catalogue.make(record.make)
    if isinstance(record, Shock):
        shock_model = uow.shocks.model(record.make, record.model)
        assert make is not None and shock_model is not None, "a shock's model is never deleted"
        return shock_head(record, make, shock_model)
    model = uow.catalogue.model(record.make, record.model)
    assert make is not None and model is not None, "a frame's model is never deleted"
    return frame_head(record, make, model)
