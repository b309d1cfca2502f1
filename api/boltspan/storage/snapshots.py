"""Snapshots of the evidence's rates in the database."""

from __future__ import annotations

from dataclasses import asdict

from sqlalchemy import select

from boltspan.services.protocols import StoredSnapshot
from boltspan.storage.queries import Queries
from boltspan.storage.tables import snapshots


class SqlSnapshots(Queries):
    """Snapshots by id."""

    def snapshot(self, snapshot_id: str) -> StoredSnapshot | None:
        """Return the snapshot, or None."""
        row = self._one(select(snapshots).where(snapshots.c.id == snapshot_id))
        return None if row is None else StoredSnapshot(**row._mapping)

    def put(self, snapshot: StoredSnapshot) -> None:
        """Insert the snapshot, or replace the one of its id."""
        self._put(snapshots, [asdict(snapshot)])
