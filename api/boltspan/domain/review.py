"""Decisions: rulings on a subject, append-only. A reversal is a new decision."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.values import Value

RULINGS: Final = ("settle", "leave_open", "refuse_claims", "withhold", "reverse")


@dataclass(frozen=True, slots=True)
class Decision:
    """One ruling with its reason, on a date, by a person or by the published rule.

    ``frame`` is the id of the frame or shock it is about.

    ``value`` goes with settle; ``rests_on`` names the claims a settle rests on, ``overrules`` those it saw and did
    not follow (disagreement is explicit, never inferred), ``refuses`` those that refuse_claims rules out,
    ``reverses`` the decision that a reverse undoes. ``reason`` is a code of ``REFUSAL_REASONS`` beside refuses; older
    refusals have none.
    """

    id: str
    frame: str
    subject: str
    on: str
    by: str
    ruling: str
    why: str
    value: Value | None = None
    rests_on: tuple[str, ...] = ()
    overrules: tuple[str, ...] = ()
    refuses: tuple[str, ...] = ()
    reverses: str | None = None
    sequence: int = 0
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Rulings:
    """What stands after all decisions on one subject."""

    standing: Decision | None
    """The last settle, leave_open or withhold that was not reversed."""
    refused: frozenset[str]
    """Claims ruled out by refusals that were not reversed."""
    reversed: frozenset[str]
    """Ids of decisions undone by a reversal that itself stands."""


def rulings(decisions: Sequence[Decision]) -> Rulings:
    """Return what stands after ``decisions``, given oldest first.

    Read from the newest back, so that the reversal of a reversal brings the first ruling back. A refusal adds to a
    ruling and does not replace it.
    """
    undone: set[str] = set()
    live: list[Decision] = []
    for decision in reversed(decisions):
        if decision.id in undone:
            continue
        if decision.reverses is not None:
            undone.add(decision.reverses)
        live.append(decision)
    standing = next((d for d in live if d.ruling in ("settle", "leave_open", "withhold")), None)
    refused = frozenset(claim for d in live if d.ruling == "refuse_claims" for claim in d.refuses)
    return Rulings(standing, refused, frozenset(undone))
