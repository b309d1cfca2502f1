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


def touch(uow: UnitOfWork, stored: S, sequence: int) -> S:
    """Write down that event ``sequence`` touched the record, and return it so."""
    touched = replace(stored, sequence=sequence)
    put_record(uow, touched)
    return touched
