"""What the evidence has learnt of a contributor: for maintainers alone, never a rank."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

from boltspan.domain.errors import NotFound
from boltspan.domain.ids import is_id
from boltspan.evidence import Record
from boltspan.services import snapshots
from boltspan.services.evidence_rows import source_code
from boltspan.services.permissions import Actor
from boltspan.services.protocols import UnitOfWork

_PLACES = Decimal("0.001")


def contributor_record(actor: Actor, uow: UnitOfWork, person: str) -> dict[str, Any]:
    """Return how reliable a contributor's claims have been, with its uncertainty.

    ``reliability`` is the chance that a claim of theirs is sound: the rates of the sources they used, weighing as so
    many claims as the parameters say, and what their own claims showed by agreement with others. It has a Beta
    distribution, whose standard deviation is ``uncertainty``; without a claim it is the sources' alone. Raises
    NotAuthenticated, NotAllowed, NotFound for somebody who has neither claims nor an account.
    """
    actor.permitted("see_reviews")
    claims = uow.statements.claims_by(person) if is_id("person", person) else []
    if not claims and (not is_id("person", person) or uow.accounts.account(person) is None):
        raise NotFound("contributor", person)
    found: dict[str, Any] = {"contributor": person, "claims": len(claims)}
    ready = snapshots.current(uow)
    if ready is None:
        return found
    rates, parameters = ready.rates, ready.model.parameters
    usual = [rates.source_rates[source_code(c.source)] for c in claims] or list(rates.source_rates.values())
    weight, sound = rates.contributors.get(person, Record(0.0, 0.0))
    pseudo = parameters.reliability.contributor_pseudo
    total = pseudo + weight
    mean = (pseudo * (1.0 - math.fsum(usual) / len(usual)) + sound) / total
    found |= {
        "weight": _rounded(weight),
        "sound": _rounded(sound),
        "reliability": _rounded(mean),
        "uncertainty": _rounded(math.sqrt(mean * (1.0 - mean) / (total + 1.0))),
    }
    if (zero_mm := rates.offsets_mm.get(person)) is not None:
        found["caliper_zero_error_mm"] = _rounded(zero_mm)
    return found | {"model_version": rates.model_version, "snapshot": ready.id}


def _rounded(figure: float) -> Decimal:
    return Decimal(repr(figure)).quantize(_PLACES)
