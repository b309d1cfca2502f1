"""What an edit of a record would do: tried in a transaction that is taken back, so it is exactly what would happen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.domain.records import qualifier_json
from boltspan.services.desk import about, published, stored_frame
from boltspan.services.edit import edit_frame
from boltspan.services.once import once_key
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Storage, UnitOfWork


class _TakenBack(Exception):
    """Ends the transaction of a preview without a trace."""


def preview_edit(
    actor: Actor, storage: Storage, clock: Clock, frame_id: str, data: Mapping[str, Any], if_match: str
) -> dict[str, Any]:
    """Return the frame with its answers before the edit, and every frame it touches after it. Raises as ``edit_frame``.

    Ids of frames that the edit makes are others each time.
    """
    person = actor.must("edit_frame")
    found: dict[str, Any] = {}
    try:
        with storage.writing() as uow:
            found["before"] = _with_answers(uow, frame_id)
            key = once_key(person, "/edit-preview", "preview", b"")
            receipt = edit_frame(actor, uow, clock, frame_id, data, if_match, key)
            found["after"] = [_with_answers(uow, head["id"]) for head in receipt.body["frames"]]
            raise _TakenBack
    except _TakenBack:
        return found


def _with_answers(uow: UnitOfWork, frame_id: str) -> dict[str, Any]:
    stored = stored_frame(uow, frame_id)
    found = {"id": frame_id} | about(uow, stored)
    if stored.frame.qualifier is not None:
        found["qualifier"] = qualifier_json(stored.frame.qualifier)
    return found | ({"answers": published(uow, stored)} if stored.frame.live else {})
