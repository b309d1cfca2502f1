"""What people say is wrong, in the database."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, select

from boltspan.services.protocols import Flag
from boltspan.storage.about_columns import about_of, about_row, is_about
from boltspan.storage.queries import Queries
from boltspan.storage.tables import flags


class SqlFlags(Queries):
    """Flags."""

    def of_frame(self, frame_id: str) -> list[Flag]:
        """Return the flags on all subjects of the frame or shock, closed ones too, oldest first."""
        rows = self._all(select(flags).where(is_about(flags, frame_id)).order_by(flags.c.sequence, flags.c.id))
        return [_flag(row) for row in rows]

    def by(self, person: str) -> list[Flag]:
        """Return the flags that a person set, oldest first."""
        rows = self._all(select(flags).where(flags.c.flagged_by == person).order_by(flags.c.sequence, flags.c.id))
        return [_flag(row) for row in rows]

    def put(self, flag: Flag) -> None:
        """Insert the flag, or replace the one with its id."""
        row = asdict(flag)
        row |= about_row(row.pop("frame"))
        row["flagged_by"] = row.pop("by")
        self._put(flags, [row])


def _flag(row: Row[Any]) -> Flag:
    return Flag(
        row.id, about_of(row), row.subject, row.reason, row.flagged_on, row.words, row.flagged_by, row.sequence,
        row.closed_on,
    )  # fmt: skip
