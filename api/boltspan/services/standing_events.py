"""Which event an answer follows: the last one about its frame that was not undone."""

from __future__ import annotations

from typing import Final

from boltspan.domain.review import rulings
from boltspan.services.protocols import UnitOfWork

SILENT: Final = frozenset({
    "flagged", "more_asked", "more_answered", "photo_added", "photo_withdrawn", "frame_kept", "shock_kept",
})  # fmt: skip
"""Kinds of events that leave the answer as it was."""


def standing_event(uow: UnitOfWork, frame_id: str) -> int:
    """Return the number of the frame's last event that stands: no reversal, nothing reversed, nothing undone.

    So an answer that is brought back says what it said before, to the byte. A frame of which nothing stands: 0.
    """
    decisions = uow.statements.decisions(frame_id)
    gone = {d.id for d in decisions if d.ruling == "reverse"}
    for subject in {d.subject for d in decisions}:
        gone |= rulings([d for d in decisions if d.subject == subject]).reversed
    events = uow.events.of_frame(frame_id)
    undone = {number for e in events for number in e.payload.get("undoes", ())}
    return max(
        (
            e.sequence
            for e in events
            if e.kind not in SILENT
            and "undoes" not in e.payload
            and e.sequence not in undone
            and e.payload.get("decision") not in gone
        ),
        default=0,
    )
