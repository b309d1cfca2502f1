"""The states of a claim: what is stored of it, and what its contributor and the maintainers are shown.

Four states end or begin a claim's life and are stored (``claims.STATES``). Whatever can be derived from what else
stands is derived when it is shown, so that it is never out of step: a claim that waits may wait for an answer of its
contributor, be looked at, or contradict another one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import statement_of

SHOWN_STATES: Final = {
    "submitted": "Waits for a review; nobody has looked at it yet.",
    "more_asked": "A maintainer asked its contributor something and waits for the answer.",
    "in_review": "A maintainer has looked at it and has not ruled on it yet.",
    "conflicting": "Waits for a review and cannot be true together with another statement.",
    "accepted": "Belongs to the dataset.",
    "refused": "Looked at and ruled out by a decision, with a reason.",
    "superseded": "Gave way to a newer claim of the same person.",
    "withdrawn": "Taken back by its contributor.",
}


@dataclass(frozen=True, slots=True)
class Question:
    """What a maintainer asked about a claim, and the answer: words, a newer claim, or both.

    Private between the maintainers and the contributor. ``answered_on`` None: it waits for the contributor.
    """

    id: str
    claim: str
    asked_by: str
    asked_on: str
    question: str
    answered_on: str | None = None
    answer: str | None = None
    answered_with: str | None = None
    sequence: int = 0


def state_of(claim: Claim, decisions: Sequence[Decision]) -> str:
    """Return the state that the decisions on its subject, oldest first, put a claim in (one of ``claims.STATES``).

    A claim taken back or superseded stays so. A refusal that stands refuses. What a contributor sent is let in by a
    settle or leave_open that came after it, or names it, and that was not reversed; everything else is in. So undoing
    a ruling puts every claim back where it was before.
    """
    if claim.withdrawn_on is not None:
        return "withdrawn"
    if claim.superseded_on is not None:
        return "superseded"
    ruled = rulings(decisions)
    if claim.id in ruled.refused:
        return "refused"
    standing = (d for d in decisions if d.ruling in ("settle", "leave_open") and d.id not in ruled.reversed)
    if not claim.unreviewed or any(_lets_in(d, claim) for d in standing):
        return "accepted"
    return "submitted"


def was_looked_at(claim: Claim, decisions: Sequence[Decision]) -> bool:
    """Return whether a maintainer has ruled on a claim, or it came in without one: its contributor's own words are
    everybody's from then on. One that its contributor took back or replaced before that was never looked at.
    """
    if not claim.unreviewed or claim.state in ("accepted", "refused"):
        return True
    return any(claim.id in (*d.rests_on, *d.overrules, *d.refuses) for d in decisions)


def _lets_in(decision: Decision, claim: Claim) -> bool:
    return claim.id in (*decision.rests_on, *decision.overrules) or decision.sequence > claim.sequence > 0


def shown_state(
    claim: Claim, others: Sequence[Claim], decisions: Sequence[Decision], questions: Sequence[Question]
) -> str:
    """Return what is shown of a claim: a key of SHOWN_STATES.

    ``others`` are the claims on its subject (itself may be among them), ``decisions`` those on its subject and
    ``questions`` those about it. A question that waits comes before a contradiction, that before having been looked at.
    """
    if claim.state != "submitted":
        return claim.state
    if any(q.answered_on is None for q in questions):
        return "more_asked"
    if contradicted(claim, others, decisions):
        return "conflicting"
    looked_at = bool(questions) or any(d.sequence > claim.sequence for d in decisions)
    return "in_review" if looked_at else "submitted"


def contradicted(claim: Claim, others: Sequence[Claim], decisions: Sequence[Decision]) -> bool:
    """Return whether another counting claim, or the settled value, says what the claim cannot allow."""
    said = statement_of(claim)
    standing = rulings(decisions).standing
    if standing is not None and standing.value is not None and not said.allows(standing.value):
        return True
    rest = [statement_of(c) for c in others if c.counts and c.id != claim.id]
    return any(r.value is not None and not said.allows(r.value) for r in rest) or (
        said.value is not None and any(not r.allows(said.value) for r in rest)
    )
