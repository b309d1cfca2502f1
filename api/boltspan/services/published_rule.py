"""The published rule's limits: shown to everybody, set by operators, each change an event."""

from __future__ import annotations

from typing import Any

from boltspan.domain.contributors import LIMIT_RANGES, LIMIT_TEXTS, Limits
from boltspan.domain.errors import InvalidInput
from boltspan.domain.fields import text_from
from boltspan.domain.ids import RULE_AUTHOR
from boltspan.services.answers import encode, etag
from boltspan.services.cases import check_match
from boltspan.services.contributors import LIMIT_NAMES, limits_of
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.settling import let_rule_settle_all

MOST_WORDS = 500


def published_rule(uow: UnitOfWork) -> dict[str, Any]:
    """Return the rule's name and its limits as they stand, each with its text, its usual number and its range."""
    limits, usual = limits_of(uow), Limits()
    told = []
    for name in LIMIT_NAMES:
        least, most = LIMIT_RANGES[name]
        told.append({
            "name": name, "number": getattr(limits, name), "usual": getattr(usual, name), "least": least, "most": most,
            "text": LIMIT_TEXTS[name],
        })  # fmt: skip
    return {"rule": RULE_AUTHOR, "limits": told}


def rule_tag(uow: UnitOfWork) -> str:
    """Return the strong ETag of the limits as they stand."""
    return etag(encode(published_rule(uow)))


def change_limit(
    actor: Actor, uow: UnitOfWork, clock: Clock, data: dict[str, Any], if_match: str | None, key: OnceKey
) -> Receipt:
    """Set one limit once. ``data`` has name, number and why. Raises as ``set_limit``; PreconditionMissing, Stale."""
    actor.must("set_rule")

    def work() -> Receipt:
        check_match(if_match, rule_tag(uow))
        set_limit(actor, uow, clock, data.get("name"), data.get("number"), data.get("why"))
        return Receipt(published_rule(uow), "/v1/rule")

    return once(uow, clock, key, work)


def set_limit(actor: Actor, uow: UnitOfWork, clock: Clock, name: object, number: object, why: object) -> Limits:
    """Set one of the rule's limits, with an event, let the rule settle what it may now, and return all limits.

    The number that stands already changes nothing. Raises NotAllowed, InvalidInput for a limit that is none, a number
    out of its range, and a reason that is no text.
    """
    person = actor.permitted("set_rule")
    if not isinstance(name, str) or name not in LIMIT_NAMES:
        raise InvalidInput.one("/name", "unknown_limit", "the rule has no such limit", got=name,
                               accepted=", ".join(LIMIT_NAMES))  # fmt: skip
    least, most = LIMIT_RANGES[name]
    if isinstance(number, bool) or not isinstance(number, int) or not least <= number <= most:
        raise InvalidInput.one("/number", "out_of_range", f"this is no {name} that the rule can have", got=number,
                               accepted=f"a whole number from {least} to {most}")  # fmt: skip
    reason = text_from(why, "/why", MOST_WORDS)
    before = getattr(limits_of(uow), name)
    if number != before:
        payload = {"limit": name, "number": number, "before": before, "why": reason}
        uow.events.record(person, "rule_limit_set", payload=payload)
        uow.settings.put(f"rule_{name}", str(number))
        let_rule_settle_all(uow, clock)
    return limits_of(uow)
