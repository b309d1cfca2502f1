"""Published answers, encoded once. Derived; a path that no longer answers stays as a tombstone (body NULL).

Tombstones are how a process that looks for what is newer learns of a withdrawal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, delete, select

from boltspan.services.protocols import Encoded
from boltspan.storage.queries import Queries, chunks
from boltspan.storage.tables import published

_ORDER = (published.c.sequence, published.c.path)


class SqlPublished(Queries):
    """Answers encoded once, by path."""

    def put(self, answers: Iterable[Encoded]) -> None:
        """Insert the answers, or replace those of the same path."""
        for some in chunks([asdict(answer) for answer in answers]):
            self._put(published, some)

    def get(self, path: str) -> Encoded | None:
        """Return what is published under the path, a tombstone too, or None."""
        row = self._one(select(published).where(published.c.path == path))
        return None if row is None else _encoded(row)

    def paths(self, start: str) -> list[str]:
        """Return the paths that begin with ``start``, in order, those of tombstones too."""
        end = start[:-1] + chr(ord(start[-1]) + 1)  # the first text behind all that begin so; paths go by code points
        among = select(published.c.path).where(published.c.path >= start, published.c.path < end)
        return list(self._connection.execute(among.order_by(published.c.path)).scalars())

    def since(self, sequence: int) -> Iterator[Encoded]:
        """Yield what was published after event ``sequence``, tombstones too, by sequence and path."""
        newer = select(published).where(published.c.sequence > sequence)
        return map(_encoded, self._pages(newer, _ORDER))

    def newest(self, limit: int) -> Iterator[Encoded]:
        """Yield up to ``limit`` answers without tombstones, newest sequence first."""
        answering = select(published).where(published.c.body.is_not(None))
        return map(_encoded, self._pages(answering, _ORDER, limit=limit, newest_first=True))

    def clear(self) -> None:
        """Drop all answers, tombstones too."""
        self._connection.execute(delete(published))


def _encoded(row: Row[Any]) -> Encoded:
    return Encoded(row.path, row.body, row.etag, row.sequence)
