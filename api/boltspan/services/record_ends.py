"""Records that answer no more: what became of one, and its cases, which close with it and open again with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from boltspan.domain.subjects import Record
from boltspan.services.cases import RECORD
from boltspan.services.made import stored_record
from boltspan.services.protocols import Event, UnitOfWork

_ENDINGS: Final = ("_merged", "_divided", "_withdrawn")


def ending(uow: UnitOfWork, record: Record) -> dict[str, Any] | None:
    """Return what became of a record that answers no more, with day, reason and what to ask instead; None: it answers.

    Of one that went with everything of its account there is neither day nor reason.
    """
    if record.live:
        return None
    found: dict[str, Any] = {"record": record.record}
    if (event := _ended(uow, record.id)) is not None:
        found["on"] = event.at[:10]
        found |= {"why": event.payload["why"]} if event.payload.get("why") else {}
    return found | ({"ask_instead": list(record.into)} if record.into else {})


def bring_cases_in_step(uow: UnitOfWork, record_id: str) -> None:
    """Close every case of a record that has ended, since nobody can rule on it; open again those that closed with it.

    A case that was open when the record ended opens as it was, so that it has waited all along. The record's last
    event has been recorded and stands in it.
    """
    stored, ended = stored_record(uow, record_id), _ended(uow, record_id)
    assert stored is not None, "a record is never deleted"
    if ended is None:
        return
    for subject in (RECORD, *stored.about.subjects):
        case = uow.cases.of_subject(record_id, subject)
        if case is None:
            continue
        if not stored.about.live and case.state == "open":
            uow.cases.put(replace(case, state="closed", sequence=ended.sequence))
        elif stored.about.live and case.state == "closed" and case.sequence == ended.sequence:
            uow.cases.put(replace(case, state="open", sequence=stored.sequence))


def _ended(uow: UnitOfWork, record_id: str) -> Event | None:
    ends = (e for e in reversed(uow.events.of_frame(record_id)) if e.kind.endswith(_ENDINGS))
    return next((e for e in ends if e.kind.startswith(("frame_", "shock_"))), None)
