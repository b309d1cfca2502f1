"""What the named queries of every noun are made of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Final, TypeVar

from sqlalchemy import Column, Connection, Row, Select, Table, tuple_
from sqlalchemy.dialects import postgresql, sqlite

Item = TypeVar("Item")
PAGE: Final = 500
"""Rows read, and names listed in one statement, at a time."""


class Queries:
    """Named queries of one noun inside one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def _one(self, statement: Select[Any]) -> Row[Any] | None:
        return self._connection.execute(statement).one_or_none()

    def _all(self, statement: Select[Any]) -> Sequence[Row[Any]]:
        return self._connection.execute(statement).all()

    def _put(self, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
        """Insert ``rows`` or replace those with the same primary key."""
        if rows:
            self._connection.execute(_upsert(table, self._connection.dialect.name), rows)

    def _add(self, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
        """Insert ``rows`` in their order; a taken primary key is a clash."""
        if rows:
            self._connection.execute(table.insert().inline(), rows)

    def _pages(
        self,
        statement: Select[Any],
        key: Sequence[Column[Any]],
        *,
        after: tuple[Any, ...] | None = None,
        limit: int | None = None,
        newest_first: bool = False,
    ) -> Iterator[Row[Any]]:
        """Yield the rows in the order of ``key``, which is unique, from behind ``after`` on, at most ``limit``.

        They are read a page at a time by their key: memory stays bounded, no cursor stays open, and the same
        transaction may write in between on both databases.
        """
        ordered = statement.order_by(*(c.desc() if newest_first else c for c in key))
        left = limit
        while left is None or left > 0:
            size = PAGE if left is None else min(PAGE, left)
            page = ordered if after is None else ordered.where(_beyond(key, after, newest_first))
            rows = self._all(page.limit(size))
            yield from rows
            if len(rows) < size:
                return
            after = tuple(rows[-1]._mapping[c] for c in key)
            left = None if left is None else left - size


def chunks(items: Sequence[Item]) -> Iterator[Sequence[Item]]:
    """Yield ``items`` in their order, at most a page at a time; nothing for no items."""
    for start in range(0, len(items), PAGE):
        yield items[start : start + PAGE]


def _beyond(key: Sequence[Column[Any]], after: tuple[Any, ...], newest_first: bool) -> Any:
    return tuple_(*key) < after if newest_first else tuple_(*key) > after


@cache
def _upsert(table: Table, dialect: str) -> Any:
    statement: Any = postgresql.insert(table) if dialect == "postgresql" else sqlite.insert(table)
    replaced = {c.name: statement.excluded[c.name] for c in table.c if not c.primary_key}
    return statement.on_conflict_do_update(index_elements=list(table.primary_key), set_=replaced)
