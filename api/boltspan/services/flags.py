"""Flags: anybody may say that an answer is wrong, of a frame or a shock.

A flag says nothing of its own: no value and no standing follows it. It opens the case, before others.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.errors import InvalidInput, NotFound
from boltspan.domain.fields import text_from
from boltspan.domain.ids import mint
from boltspan.domain.ruling_reasons import FLAG_REASONS
from boltspan.domain.subjects import RECORD_KINDS, kind_of, named, subject_of
from boltspan.services.cases import RECORD, open_case
from boltspan.services.lookup import visible, visible_shock
from boltspan.services.made import touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Flag, Stored, StoredShock, UnitOfWork
from boltspan.services.stakes import put_in_place

MOST_WORDS: Final = 500
MOST_OPEN: Final = 50
"""Open flags kept on one subject; those beyond change nothing any more and are only acknowledged."""


def set_flag(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Store what somebody says is wrong, and open the case. Nobody needs to be signed in.

    ``data`` has the id of a frame or a shock under the name of its kind, and reason (a key of FLAG_REASONS), and may
    have subject (absent: the record as a whole) and words, which only maintainers see. Raises InvalidInput.
    """
    return once(uow, clock, key, lambda: _set(actor, uow, clock, data))


def _set(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Receipt:
    stored = _flagged(actor, uow, data)
    record = stored.about
    reason = data.get("reason")
    if reason not in FLAG_REASONS:
        raise InvalidInput.one(
            "/reason", "unknown_reason", "this is no reason", got=reason, accepted=", ".join(FLAG_REASONS)
        )
    subject = RECORD
    if "subject" in data:
        subject = subject_of(record, str(data["subject"]), "/subject")
    words = text_from(data["words"], "/words", MOST_WORDS) if "words" in data else None
    flag = Flag(mint("flag"), record.id, subject, str(reason), clock.today(), words, actor.person)
    told = {"id": flag.id, **named(record.id), "reason": flag.reason}
    if subject != RECORD:
        told["subject"] = subject
    receipt = Receipt({"flag": told}, f"/v1/{kind_of(record.id)}s/{record.id}/history")
    if len(open_flags(uow, flag.frame, subject)) >= MOST_OPEN:
        return receipt
    payload: dict[str, Any] = {"flag": flag.id, "reason": flag.reason}
    sequence = uow.events.record(
        actor.person, "flagged", frame=flag.frame, subject=None if subject == RECORD else subject, payload=payload
    )
    uow.flags.put(replace(flag, sequence=sequence))
    touch(uow, stored, sequence, holds_from=None if isinstance(stored, StoredShock) else stored.event)
    case = open_case(uow, clock, flag.frame, subject, "flagged", sequence)
    put_in_place(uow, case)
    return receipt


def _flagged(actor: Actor, uow: UnitOfWork, data: Mapping[str, Any]) -> Stored:
    """Return the frame or shock that a flag is about."""
    kind = "shock" if "shock" in data else "frame"
    if all(kind in data for kind in RECORD_KINDS):
        raise InvalidInput.one(
            "/frame",
            "field_not_taken",
            "a flag is about one record",
            got=data["frame"],
            accepted="no frame beside shock",
        )
    wanted = str(data.get(kind, ""))
    try:
        return (visible_shock if kind == "shock" else visible)(uow, actor, wanted)
    except NotFound:
        raise InvalidInput.one(
            f"/{kind}",
            f"unknown_{kind}",
            f"there is no such {kind}",
            got=data.get(kind),
            accepted=f"the id of a {kind}",
        ) from None


def open_flags(uow: UnitOfWork, record_id: str, subject: str) -> list[Flag]:
    """Return the flags on a subject that no ruling has closed, oldest first."""
    return [f for f in uow.flags.of_frame(record_id) if f.subject == subject and f.closed_on is None]


def close_flags(uow: UnitOfWork, clock: Clock, record_id: str, subject: str) -> None:
    """Close the open flags on a subject: somebody has looked and ruled."""
    for flag in open_flags(uow, record_id, subject):
        uow.flags.put(replace(flag, closed_on=clock.today()))


def record_looked_at(uow: UnitOfWork, clock: Clock, record_id: str) -> None:
    """Close the flags on a record as a whole, and its case: somebody has edited it, kept it, or taken it off."""
    close_flags(uow, clock, record_id, RECORD)
    case = uow.cases.of_subject(record_id, RECORD)
    if case is not None and case.state == "open":
        uow.cases.put(replace(case, state="closed", sequence=uow.events.last()))


def flag_answer(flag: Flag) -> dict[str, Any]:
    """Return the JSON form of a flag, for maintainers."""
    found: dict[str, Any] = {"id": flag.id, "reason": flag.reason, "on": flag.flagged_on}
    more = {"words": flag.words, "by": flag.by, "closed_on": flag.closed_on}
    return found | {k: v for k, v in more.items() if v is not None}
