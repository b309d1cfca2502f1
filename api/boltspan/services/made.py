"""Frames and shocks as one: the stored record of an id, written back, and touched."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from boltspan.domain.subjects import kind_of
from boltspan.services.protocols import Stored, StoredFrame, StoredShock, UnitOfWork

S = TypeVar("S", bound=StoredFrame | StoredShock)


def stored_record(uow: UnitOfWork, record_id: str) -> Stored | None:
    """Return the stored frame or shock of this id, whatever became of its record, or None."""
    if kind_of(record_id) == "shock":
        return uow.shocks.shock(record_id)
    return uow.catalogue.frame(record_id)


def put_record(uow: UnitOfWork, stored: Stored) -> None:
    """Insert the frame or shock, or replace the one with its id."""
    if isinstance(stored, StoredShock):
        uow.shocks.put_shock(stored)
    else:
        uow.catalogue.put_frame(stored)


def touch(uow: UnitOfWork, stored: S, sequence: int, *, holds_from: int | None = None) -> S:
    """Write down that event ``sequence`` touched the record, and return it so.

    ``holds_from`` is the event whose answer of a frame holds again, or still, after it; None: the answer follows this
    event.
    """
    touched = replace(stored, sequence=sequence)
    if isinstance(touched, StoredFrame):
        holds_at = sequence if holds_from is not None else None
        touched = replace(touched, holds_at=holds_at, holds_from=holds_from)
    put_record(uow, touched)
    return touched
