"""Questions that found no answer, counted in the database."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import func, select, update

from boltspan.services.protocols import Wanted
from boltspan.storage.queries import Queries, chunks
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import wanted


class SqlWantedFrames(Queries):
    """Questions that found no answer."""

    def count(self, key: str, what: dict[str, Any], times: int, on: str) -> None:
        """Count a question ``times`` more, the last time on the day ``on``."""
        more = {"asked": wanted.c.asked + times, "last_on": on}
        if not self._connection.execute(update(wanted).where(wanted.c.key == key).values(more)).rowcount:
            self._add(wanted, [{"key": key, "what": dumps(what), "asked": times, "first_on": on, "last_on": on}])

    def asked(self, keys: Sequence[str]) -> dict[str, int]:
        """Return how often each was asked for; those that never were are left out."""
        found: dict[str, int] = {}
        for some in chunks(list(keys)):
            rows = self._all(select(wanted.c.key, wanted.c.asked).where(wanted.c.key.in_(some)))
            found |= {row.key: row.asked for row in rows}
        return found

    def most_asked(self, limit: int) -> list[Wanted]:
        """Return up to ``limit`` questions, the most asked first, then by key."""
        rows = self._all(select(wanted).order_by(wanted.c.asked.desc(), wanted.c.key).limit(limit))
        return [Wanted(row.key, loads(row.what), row.asked, row.first_on, row.last_on) for row in rows]

    def kept(self) -> int:
        """Return how many different questions there are."""
        return int(self._connection.execute(select(func.count()).select_from(wanted)).scalar_one())
