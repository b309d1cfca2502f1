"""Flags: anybody may say that an answer is wrong. A flag changes no answer; it opens the case, before others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.errors import InvalidInput, NotFound
from boltspan.domain.fields import text_from
from boltspan.domain.frames import subject_named
from boltspan.domain.ids import mint
from boltspan.domain.ruling_reasons import FLAG_REASONS
from boltspan.services.cases import RECORD, open_case
from boltspan.services.lookup import visible
from boltspan.services.made import touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Flag, UnitOfWork
from boltspan.services.stakes import put_in_place

MOST_WORDS: Final = 500
MOST_OPEN: Final = 50
"""Open flags kept on one subject; those beyond change nothing any more and are only acknowledged."""


def set_flag(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Store what somebody says is wrong, and open the case. Nobody needs to be signed in.

    ``data`` has frame and reason (a key of FLAG_REASONS) and may have subject (absent: the frame as a whole) and
    words, which only maintainers see. Raises InvalidInput.
    """
    return once(uow, clock, key, lambda: _set(actor, uow, clock, data))


def _set(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Receipt:
    try:
        stored = visible(uow, actor, str(data.get("frame", "")))
    except NotFound:
        raise InvalidInput.one(
            "/frame", "unknown_frame", "there is no such frame", got=data.get("frame"), accepted="the id of a frame"
        ) from None
    reason = data.get("reason")
    if reason not in FLAG_REASONS:
        raise InvalidInput.one(
            "/reason", "unknown_reason", "this is no reason", got=reason, accepted=", ".join(FLAG_REASONS)
        )
    subject = RECORD
    if "subject" in data:
        subject = subject_named(stored.frame, str(data["subject"]), "/subject")
    words = text_from(data["words"], "/words", MOST_WORDS) if "words" in data else None
    flag = Flag(mint("flag"), stored.frame.id, subject, str(reason), clock.today(), words, actor.person)
    told = {"id": flag.id, "frame": flag.frame, "reason": flag.reason}
    if subject != RECORD:
        told["subject"] = subject
    receipt = Receipt({"flag": told}, f"/v1/frames/{flag.frame}/history")
    if len(open_flags(uow, flag.frame, subject)) >= MOST_OPEN:
        return receipt
    payload: dict[str, Any] = {"flag": flag.id, "reason": flag.reason}
    sequence = uow.events.record(
        actor.person, "flagged", frame=flag.frame, subject=None if subject == RECORD else subject, payload=payload
    )
    uow.flags.put(replace(flag, sequence=sequence))
    touch(uow, stored, sequence, holds_from=stored.event)
    case = open_case(uow, clock, flag.frame, subject, "flagged", sequence)
    put_in_place(uow, case)
    return receipt


def open_flags(uow: UnitOfWork, frame_id: str, subject: str) -> list[Flag]:
    """Return the flags on a subject that no ruling has closed, oldest first."""
    return [f for f in uow.flags.of_frame(frame_id) if f.subject == subject and f.closed_on is None]


def close_flags(uow: UnitOfWork, clock: Clock, frame_id: str, subject: str) -> None:
    """Close the open flags on a subject: somebody has looked and ruled."""
    for flag in open_flags(uow, frame_id, subject):
        uow.flags.put(replace(flag, closed_on=clock.today()))


def flag_answer(flag: Flag) -> dict[str, Any]:
    """Return the JSON form of a flag, for maintainers."""
    found: dict[str, Any] = {"id": flag.id, "reason": flag.reason, "on": flag.flagged_on}
    more = {"words": flag.words, "by": flag.by, "closed_on": flag.closed_on}
    return found | {k: v for k, v in more.items() if v is not None}
