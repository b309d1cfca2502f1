"""What is at stake in a case: how its subject stands, how often it is asked for, who says that it is wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from boltspan.domain.findings import Finding
from boltspan.domain.frames import Frame
from boltspan.domain.ruling_reasons import UNSAFE
from boltspan.domain.stakes import Stakes, rank
from boltspan.services.made import stored_record
from boltspan.services.protocols import Case, Stored, UnitOfWork
from boltspan.services.publishing import findings_of
from boltspan.services.wanted import frame_key, question_key

RECORD: Final = "record"
"""The subject of a case about a frame's record itself, such as a proposal."""


def stakes_of(uow: UnitOfWork, case: Case, finding: Finding | None = None) -> Stakes:
    """Return what is at stake while the case waits; the subject's ``finding`` is worked out where it is not given."""
    stored = stored_record(uow, case.frame)
    assert stored is not None, "a case's record is never deleted"
    flags = [f for f in uow.flags.of_frame(case.frame) if f.closed_on is None and f.subject == case.subject]
    return Stakes(
        _standing(uow, case, stored, finding),
        asked_for(uow, stored),
        len(flags),
        any(f.reason == UNSAFE for f in flags),
        _waits(uow, case),
    )


def rank_of(uow: UnitOfWork, case: Case, finding: Finding | None = None) -> int:
    """Return the place of the case in the queue, the lower the sooner; ``finding`` as in ``stakes_of``."""
    return rank(stakes_of(uow, case, finding), case.opened_on)


def put_in_place(uow: UnitOfWork, case: Case) -> Case:
    """Store the case at its place in the queue as things stand now, and return it."""
    placed = replace(case, rank=rank_of(uow, case))
    uow.cases.put(placed)
    return placed


def asked_for(uow: UnitOfWork, stored: Stored) -> int:
    """Return how often somebody asked for the frame and got no answer to sell by; 0 for a shock, which none counts."""
    frame = stored.about
    if not isinstance(frame, Frame):
        return 0
    years = range(frame.years.start, (frame.years.end or frame.years.start + 10) + 1)
    keys = [frame_key(frame.id), *(question_key(frame.make, frame.model, y) for y in years)]
    return sum(uow.wanted.asked([*keys, question_key(frame.make, frame.model, None)]).values())


def _standing(uow: UnitOfWork, case: Case, stored: Stored, finding: Finding | None) -> str:
    if case.subject == RECORD:
        return "proposal" if not stored.listed else "settled"
    found = finding or next(
        (f for f in findings_of(uow, [stored.about])[case.frame] if f.subject == case.subject), None
    )
    if found is None:
        return "unknown"
    return "contested" if found.contested else found.standing


def _waits(uow: UnitOfWork, case: Case) -> bool:
    waiting = [c.id for c in uow.statements.claims(case.frame) if c.subject == case.subject and c.state == "submitted"]
    asked = uow.statements.questions(waiting)
    return bool(waiting) and all(any(q.answered_on is None for q in asked[c]) for c in waiting)
