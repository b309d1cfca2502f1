"""Edits of a record by maintainers, a frame's or a shock's: which there are, the tag they need, carrying one out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.domain.subjects import kind_of
from boltspan.services.edit import EDITS, edit_frame, frame_tag
from boltspan.services.edit_shock import SHOCK_EDITS, edit_shock, shock_tag
from boltspan.services.once import OnceKey, Receipt
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Stored, StoredFrame, UnitOfWork


def edits_of(stored: Stored) -> list[str]:
    """Return the edits that go with a record as it stands, as ``edit_record`` takes them."""
    known = EDITS if isinstance(stored, StoredFrame) else SHOCK_EDITS
    if not stored.about.live:
        return [edit for edit in ("restore",) if edit in known]
    if not stored.listed:
        return [edit for edit in known if edit in ("accept", "years", "names", "withdraw")]
    return [edit for edit in known if edit not in ("accept", "restore")]


def record_tag(stored: Stored) -> str:
    """Return the strong tag of a record for edits: it moves with every event on it."""
    return frame_tag(stored) if isinstance(stored, StoredFrame) else shock_tag(stored)


def edit_record(
    actor: Actor,
    uow: UnitOfWork,
    clock: Clock,
    record_id: str,
    data: Mapping[str, Any],
    if_match: str | None,
    key: OnceKey,
) -> Receipt:
    """Change a record; see ``edit_frame`` and ``edit_shock``, which raise what this raises."""
    carried_out = edit_shock if kind_of(record_id) == "shock" else edit_frame
    return carried_out(actor, uow, clock, record_id, data, if_match, key)
