"""Review cases: one a subject, opened by what needs a look, closed by a decision, opened again by the next claim."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.errors import PreconditionMissing, Stale
from boltspan.domain.findings import Finding
from boltspan.domain.ids import mint
from boltspan.services.protocols import Case, Clock, UnitOfWork
from boltspan.services.stakes import RECORD, rank_of

__all__ = ["REASONS", "RECORD", "case_tag", "check_match", "close_case", "open_case"]
REASONS: Final = {
    "new_claim": "A claim waits for a review.",
    "disputed": "Claims contradict each other or a ruling, and nobody has decided yet.",
    "proposal": "A frame or a shock is proposed.",
    "claim_withdrawn": "A claim that counted was taken back.",
    "reversed": "A decision was undone.",
    "evidence_moved": "The evidence speaks for something else than the settled value now.",
    "opened_by_maintainer": "A maintainer wants to look at this.",
    "flagged": "Somebody says that something is wrong here.",
    "more_answered": "A contributor answered what was asked.",
    "grounds_undone": "What a decision rested on was taken out.",
}


def open_case(
    uow: UnitOfWork,
    clock: Clock,
    frame: str,
    subject: str,
    reason: str,
    sequence: int,
    finding: Finding | None = None,
) -> Case:
    """Open the subject's case, or add ``reason`` to the open one; ``sequence`` is the event that asks for it.

    Who has just worked out the subject's ``finding`` gives it, and it is not worked out again.
    """
    case = uow.cases.of_subject(frame, subject)
    if case is None:
        case = Case(mint("review"), frame, subject, "open", clock.today(), (reason,), sequence)
    elif case.state == "open":
        case = replace(case, reasons=tuple(dict.fromkeys((*case.reasons, reason))), sequence=sequence)
    else:
        case = replace(case, state="open", opened_on=clock.today(), reasons=(reason,), sequence=sequence)
    case = replace(case, rank=rank_of(uow, case, finding))
    uow.cases.put(case)
    return case


def close_case(uow: UnitOfWork, clock: Clock, frame: str, subject: str, sequence: int) -> Case:
    """Close the subject's case at event ``sequence`` and return it; a subject that had none gets a closed one."""
    case = uow.cases.of_subject(frame, subject)
    if case is None:
        case = Case(mint("review"), frame, subject, "open", clock.today(), (), sequence)
    case = replace(case, state="closed", sequence=sequence)
    uow.cases.put(case)
    return case


def case_tag(case: Case) -> str:
    """Return the strong ETag of a case: it moves with every event on its subject."""
    return f'"{case.id}-{case.sequence}"'


def check_match(if_match: str | None, tag: str, changed: Callable[[int], list[dict[str, Any]]] | None = None) -> None:
    """Raise PreconditionMissing without an If-Match, Stale when it does not name ``tag``.

    ``changed`` returns what happened after an event; Stale tells it when the tag that was sent says which one it was.
    """
    if if_match is None:
        raise PreconditionMissing("send If-Match with the ETag that you read, so that nobody's work is overwritten")
    if if_match.strip() != "*" and tag not in {t.strip() for t in if_match.split(",")}:
        read = _event_read(if_match, tag)
        raise Stale(
            "somebody was here since you read it; read it again and decide anew",
            changed(read) if changed is not None and read is not None else [],
        )


def _event_read(if_match: str, tag: str) -> int | None:
    """Return the event number in a tag that was sent, when it is one of the same thing as ``tag``."""
    start, _, _ = tag.rpartition("-")
    name, _, number = if_match.strip().removesuffix('"').rpartition("-")
    return int(number) if name == start and number.isascii() and number.isdigit() and len(number) < 16 else None
