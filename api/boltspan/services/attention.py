"""What a maintainer is to look at because of what the evidence says: conflicts, and settled values it has left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from boltspan.domain.findings import Finding
from boltspan.services.cases import open_case
from boltspan.services.protocols import Clock, UnitOfWork

LEFT_P: Final = 0.5
"""A settled value is left by the evidence when its probability falls below this: something else is likelier."""


def wants_a_look(finding: Finding) -> bool:
    """Return whether claims contradict each other and nobody has ruled, or a ruling that did not see them."""
    return finding.contested or (finding.standing == "disputed" and finding.decision is None)


def reason(before: Finding | None, after: Finding) -> str | None:
    """Return why a change of the evidence wants a look, as a code of ``cases.REASONS``; None when it does not.

    A settled value stays whatever the evidence says; that is why somebody has to look.
    """
    if wants_a_look(after) and (before is None or not wants_a_look(before)):
        return "disputed"
    if after.standing == "settled" and _has_left(after) and before is not None and not _has_left(before):
        return "evidence_moved"
    return None


def _has_left(finding: Finding) -> bool:
    return finding.confidence is not None and finding.confidence < LEFT_P


def watch(
    uow: UnitOfWork, clock: Clock, frame_id: str, before: Sequence[Finding], after: Sequence[Finding], sequence: int
) -> list[str]:
    """Open a case for each subject of a frame on which the evidence moved so far; return those subjects.

    ``sequence`` is the event that brought it about. A subject that was no answer before counts as undisputed.
    """
    known = {f.subject: f for f in before}
    opened = []
    for finding in after:
        if (code := reason(known.get(finding.subject), finding)) is not None:
            open_case(uow, clock, frame_id, finding.subject, code, sequence, finding)
            opened.append(finding.subject)
    return opened
