"""Releases in the database."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, select

from boltspan.services.protocols import StoredRelease
from boltspan.storage.queries import Queries
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import releases


class SqlReleases(Queries):
    """Releases built on this database."""

    def release(self, version: str) -> StoredRelease | None:
        """Return the release, withdrawn or not, or None."""
        row = self._one(select(releases).where(releases.c.version == version))
        return None if row is None else _release(row)

    def releases(self) -> list[StoredRelease]:
        """Return all releases, the highest version first (2026.04.10 is higher than 2026.04.9)."""
        rows = self._all(select(releases))
        return sorted(map(_release, rows), key=lambda r: [int(part) for part in r.version.split(".")], reverse=True)

    def put(self, release: StoredRelease) -> None:
        """Insert the release, or replace the one of its version."""
        self._put(releases, [asdict(release) | {"manifest": dumps(release.manifest)}])


def _release(row: Row[Any]) -> StoredRelease:
    manifest = loads(row.manifest)
    return StoredRelease(row.version, row.built_on, row.event, manifest, row.withdrawn_on, row.withdrawn_why)
