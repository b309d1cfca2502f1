"""What an edit of a record would do: tried in a transaction that is taken back, so it is exactly what would happen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.services.case_view import stored_of
from boltspan.services.desk import about, details, published
from boltspan.services.edit_record import edit_record
from boltspan.services.once import once_key
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Storage, UnitOfWork


class _TakenBack(Exception):
    """Ends the transaction of a preview without a trace."""


def preview_edit(
    actor: Actor, storage: Storage, clock: Clock, record_id: str, data: Mapping[str, Any], if_match: str
) -> dict[str, Any]:
    """Return the record with its answers before the edit, and every one it touches after it. Raises as ``edit_record``.

    Ids of records that the edit makes are others each time.
    """
    person = actor.must("edit_frame")
    found: dict[str, Any] = {}
    try:
        with storage.writing() as uow:
            found["before"] = _with_answers(uow, record_id)
            key = once_key(person, "/edit-preview", "preview", b"")
            body = edit_record(actor, uow, clock, record_id, data, if_match, key).body
            found["after"] = [_with_answers(uow, head["id"]) for head in body.get("frames", body.get("shocks", ()))]
            raise _TakenBack
    except _TakenBack:
        return found


def _with_answers(uow: UnitOfWork, record_id: str) -> dict[str, Any]:
    stored = stored_of(uow, record_id)
    record = stored.about
    found = about(uow, stored) | details(uow, record)
    return found | ({"answers": published(uow, stored)} if record.live else {})
