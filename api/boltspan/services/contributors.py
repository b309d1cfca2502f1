"""Contributors' records, and the limits of the published rule as this database has them."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields, replace
from typing import Any, Final

from boltspan.domain.contributors import ContributorRecord, Limits, since_pause
from boltspan.domain.errors import InvalidInput
from boltspan.domain.review import rulings
from boltspan.domain.ruling_reasons import WRONG
from boltspan.services.permissions import Actor
from boltspan.services.protocols import UnitOfWork

LIMIT_NAMES: Final = tuple(f.name for f in fields(Limits))


def limits_of(uow: UnitOfWork) -> Limits:
    """Return the rule's limits: those set for this database, else the defaults."""
    own = {name: found for name in LIMIT_NAMES if (found := uow.settings.get(f"rule_{name}")) is not None}
    return replace(Limits(), **{name: int(text) for name, text in own.items()})


def set_limit(actor: Actor, uow: UnitOfWork, name: str, number: int) -> Limits:
    """Set one of the rule's limits, with an event, and return all. Raises InvalidInput, NotAllowed."""
    person = actor.permitted("set_rule")
    if name not in LIMIT_NAMES:
        raise InvalidInput.one("/name", "unknown_limit", "the rule has no such limit", got=name,
                               accepted=", ".join(LIMIT_NAMES))  # fmt: skip
    if not 1 <= number <= 10_000:
        raise InvalidInput.one(f"/{name}", "out_of_range", "no sensible limit", got=number, accepted="1 to 10000")
    uow.events.record(person, "rule_limit_set", payload={"limit": name, "number": number})
    uow.settings.put(f"rule_{name}", str(number))
    return limits_of(uow)


def record_of(uow: UnitOfWork, person: str, today: str, limits: Limits | None = None) -> ContributorRecord:
    """Return how a person's claims fared, and whether their word may help the rule to settle a value.

    Somebody without an account here, or whose account is blocked, is never proven.
    """
    asked_for = limits or limits_of(uow)
    claims = uow.statements.claims_by(person)
    accepted = [c.sequence for c in claims if c.state == "accepted"]
    days = uow.events.days(accepted)
    proven_claims = since_pause([days[s] for s in accepted if s in days], uow.events.active_days(person), today,
                                asked_for)  # fmt: skip
    account = uow.accounts.account(person)
    known = account is not None and not account.blocked
    frames = sorted({c.frame for c in claims if c.state == "refused"})
    wrong = 0
    if frames:
        own = {c.id for c in claims}
        for of_frame in uow.statements.decisions_of_frames(frames).values():
            undone = frozenset().union(
                *(rulings([d for d in of_frame if d.subject == s]).reversed for s in {d.subject for d in of_frame})
            )
            wrong += sum(len(own & set(d.refuses)) for d in of_frame if d.reason in WRONG and d.id not in undone)
    return ContributorRecord(
        Counter(c.state for c in claims), wrong, proven_claims, known and proven_claims >= asked_for.proven_after
    )


def record_answer(record: ContributorRecord) -> dict[str, Any]:
    """Return the JSON form of a record, for maintainers."""
    return {"claims": dict(sorted(record.states.items())), "wrong": record.wrong, "proven": record.proven}
