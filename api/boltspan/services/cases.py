"""Review cases: one a subject, opened by what needs a look, closed by a decision, opened again by the next claim."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from boltspan.domain.errors import PreconditionMissing, Stale
from boltspan.domain.ids import mint
from boltspan.services.protocols import Case, Clock, UnitOfWork

RECORD: Final = "record"
"""The subject of a case about a frame's record itself, such as a proposal."""
REASONS: Final = {
    "new_claim": "A claim waits for a review.",
    "disputed": "Claims contradict each other or a ruling, and nobody has decided yet.",
    "proposal": "A frame is proposed.",
    "claim_withdrawn": "A claim that counted was taken back.",
    "reversed": "A decision was undone.",
    "opened_by_maintainer": "A maintainer wants to look at this.",
}


def open_case(uow: UnitOfWork, clock: Clock, frame: str, subject: str, reason: str, sequence: int) -> Case:
    """Open the subject's case, or add ``reason`` to the open one; ``sequence`` is the event that asks for it."""
    case = uow.cases.of_subject(frame, subject)
    if case is None:
        case = Case(mint("review"), frame, subject, "open", clock.today(), (reason,), sequence)
    elif case.state == "open":
        case = replace(case, reasons=tuple(dict.fromkeys((*case.reasons, reason))), sequence=sequence)
    else:
        case = replace(case, state="open", opened_on=clock.today(), reasons=(reason,), sequence=sequence)
    uow.cases.put(case)
    return case


def case_tag(case: Case) -> str:
    """Return the strong ETag of a case: it moves with every event on its subject."""
    return f'"{case.id}-{case.sequence}"'


def check_match(if_match: str | None, tag: str) -> None:
    """Raise PreconditionMissing without an If-Match, Stale when it does not name ``tag``."""
    if if_match is None:
        raise PreconditionMissing("send If-Match with the ETag that you read, so that nobody's work is overwritten")
    if if_match.strip() != "*" and tag not in {t.strip() for t in if_match.split(",")}:
        raise Stale("somebody was here since you read it; read it again and decide anew")
