"""Small facts about the database itself."""

from __future__ import annotations

from sqlalchemy import select

from boltspan.storage.queries import Queries
from boltspan.storage.tables import settings


class SqlSettings(Queries):
    """Facts by name."""

    def get(self, name: str) -> str | None:
        """Return the value, or None."""
        return self._connection.execute(select(settings.c.value).where(settings.c.name == name)).scalar_one_or_none()

    def put(self, name: str, value: str) -> None:
        """Write the value, or replace the one of this name."""
        self._put(settings, [{"name": name, "value": value}])
