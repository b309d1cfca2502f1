"""Proposals of shocks: stored at once, listed when a maintainer accepts them; claims may name them meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Make, overlap_problems
from boltspan.domain.ids import mint
from boltspan.domain.names import name
from boltspan.domain.records import make_json, model_json
from boltspan.domain.shock_records import shock_from, shock_json
from boltspan.domain.shocks import ShockModel
from boltspan.services.cases import RECORD, open_case
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, StoredShock, UnitOfWork
from boltspan.services.shocks import shock_head
from boltspan.services.submit import slug_given


def propose_shock(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Store a shock that is not listed until a maintainer accepts it; claims may name it at once.

    ``data`` has make {name, slug?}, model {name, slug?}, years, and may have a qualifier. A known make or model is
    recognised by its slug. Raises InvalidInput, overlapping years included.
    """
    person = actor.must("propose_shock")
    return once(uow, clock, key, lambda: _propose(person, uow, clock, data))


def _propose(person: str, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Receipt:
    make_slug, model_slug = slug_given(data.get("make", {}), "/make"), slug_given(data.get("model", {}), "/model")
    make, model = uow.catalogue.make(make_slug), uow.shocks.model(make_slug, model_slug)
    new_make = make or Make(make_slug, name(data["make"].get("name"), "/make/name"))
    new_model = model or ShockModel(make_slug, model_slug, name(data["model"].get("name"), "/model/name"))
    record = {k: data[k] for k in ("years", "qualifier") if k in data}
    shock = shock_from(make_slug, model_slug, {"id": mint("shock"), "record": "shock", **record})
    others = [s.shock for s in uow.shocks.shocks_of(make_slug, model_slug) if s.listed]
    if problems := overlap_problems(shock, others):
        raise InvalidInput(problems)
    if make is None:
        uow.events.record(person, "make_proposed", payload={"make": make_json(new_make)})
        uow.catalogue.put_make(new_make)
    if model is None:
        payload = {"make_slug": make_slug, "shock_model": model_json(new_model)}
        uow.events.record(person, "shock_model_proposed", payload=payload)
        uow.shocks.put_model(new_model)
    payload = {"make_slug": make_slug, "model_slug": model_slug, "shock": shock_json(shock)}
    sequence = uow.events.record(person, "shock_proposed", frame=shock.id, payload=payload)
    uow.shocks.put_shock(StoredShock(shock, sequence, listed=False, proposed_by=person))
    case = open_case(uow, clock, shock.id, RECORD, "proposal", sequence)
    body = {
        "shock": shock_head(shock, new_make, new_model) | {"listed": False},
        "review": {"id": case.id, "state": case.state},
    }
    return Receipt(body, f"/v1/shocks/{shock.id}")
