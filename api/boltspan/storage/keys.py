"""Saved answers and counters of rate limits in the database, so that both hold over all processes."""

from __future__ import annotations

import datetime
from dataclasses import asdict
from functools import cache
from typing import Any

from sqlalchemy import Double, bindparam, case, delete, select
from sqlalchemy.dialects import postgresql, sqlite

from boltspan.services.protocols import SavedAnswer
from boltspan.storage.queries import Queries
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import rate_limits, saved_answers


class SqlKeys(Queries):
    """Saved answers by owner and key; counters by name."""

    def saved(self, owner: str, key: str) -> SavedAnswer | None:
        """Return the answer that was saved for the key of this owner, or None."""
        row = self._one(select(saved_answers).where(saved_answers.c.owner == owner, saved_answers.c.key == key))
        if row is None:
            return None
        return SavedAnswer(row.fingerprint, row.status, loads(row.body), row.location, row.saved_at)

    def save(self, owner: str, key: str, answer: SavedAnswer) -> None:
        """Save the answer, or replace the one of this owner and key."""
        self._put(saved_answers, [{"owner": owner, "key": key} | asdict(answer) | {"body": dumps(answer.body)}])

    def forget_before(self, instant: str) -> int:
        """Drop the answers saved before ``instant`` and return how many; counters whose window was over go too."""
        over_s = datetime.datetime.fromisoformat(instant).timestamp()
        self._connection.execute(delete(rate_limits).where(rate_limits.c.ends_at_s < over_s))
        return self._connection.execute(delete(saved_answers).where(saved_answers.c.saved_at < instant)).rowcount

    def hit(self, name: str, now_s: float, window_s: int) -> int:
        """Count a hit at ``now_s`` (seconds since 1970) and return how many the current window has, this one included.

        A window starts with its first hit and lasts ``window_s``. When the clock was set back, so that a window would
        last longer than that, a new one starts.
        """
        row = {"name": name, "hits": 1, "ends_at_s": now_s + window_s, "now_s": now_s}
        statement = _count_hit(self._connection.dialect.name)
        return int(self._connection.execute(statement, row).scalar_one())


@cache
def _count_hit(dialect: str) -> Any:
    """Return the statement that counts in one step. The row that comes in is a window that starts now."""
    statement: Any = postgresql.insert(rate_limits) if dialect == "postgresql" else sqlite.insert(rate_limits)
    stored, fresh = rate_limits.c, statement.excluded
    goes_on = (stored.ends_at_s > bindparam("now_s", type_=Double)) & (stored.ends_at_s <= fresh.ends_at_s)
    counted = {
        "hits": case((goes_on, stored.hits + 1), else_=fresh.hits),
        "ends_at_s": case((goes_on, stored.ends_at_s), else_=fresh.ends_at_s),
    }
    return statement.on_conflict_do_update(index_elements=[stored.name], set_=counted).returning(stored.hits)
