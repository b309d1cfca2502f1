"""The columns that say which record a row is about: a frame or a shock, just one of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import CheckConstraint, Column, ColumnElement, ForeignKey, Row, Table, or_

from boltspan.domain.subjects import RECORD_KINDS, kind_of
from boltspan.storage.key_text import KeyText


def about_columns() -> list[Any]:
    """Return new columns for the record that a row is about, and what holds of them."""
    return [
        Column("frame", KeyText, ForeignKey("frames.id")),
        Column("shock", KeyText, ForeignKey("shocks.id")),
        CheckConstraint("(frame IS NULL) <> (shock IS NULL)", name="about_one"),
    ]


def about_row(record_id: str) -> dict[str, str | None]:
    """Return what stands in the columns for the record of this id."""
    return dict.fromkeys(RECORD_KINDS) | {kind_of(record_id): record_id}


def about_of(row: Row[Any]) -> str:
    """Return the id of the record that ``row`` is about."""
    found = row.frame or row.shock
    assert found is not None, "a row is about one record"
    return str(found)


def is_about(table: Table, record_id: str) -> ColumnElement[bool]:
    """Return the condition that a row is about the record of this id."""
    return table.c[kind_of(record_id)] == record_id


def is_about_any(table: Table, record_ids: Sequence[str]) -> ColumnElement[bool]:
    """Return the condition that a row is about one of these records."""
    kinds = {kind: [i for i in record_ids if kind_of(i) == kind] for kind in RECORD_KINDS}
    return or_(*(table.c[kind].in_(ids) for kind, ids in kinds.items() if ids))
