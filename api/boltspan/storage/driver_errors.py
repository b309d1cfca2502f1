"""What the drivers raise, in the job's own terms. A driver's text is kept as the cause, never in a message."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from boltspan.domain.errors import BoltspanError, Clash, StorageFull, Unavailable

_CANNOT_REACH: Final = "the database cannot be reached at the moment"
_BUSY: Final = "the database is busy; try again"
_NOT_READY: Final = "the database is not ready: its tables are not those of this version"
_NO_ROOM: Final = "the database has no room to grow"
_CLASH: Final = "the change does not go with what is stored: an id is taken, or what it names is not there"

# Result codes of SQLite (sqlite.org/rescode.html): primary ones, but for clashes, which only the extended ones tell.
_SQLITE_BUSY: Final = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_SQLITE_BROKEN: Final = {
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_CORRUPT,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_PROTOCOL,
    sqlite3.SQLITE_AUTH,
    sqlite3.SQLITE_NOTADB,
}
_SQLITE_CLASH: Final = {
    sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY,
    sqlite3.SQLITE_CONSTRAINT_UNIQUE,
    sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY,
}
# Error codes of PostgreSQL (its manual, appendix A): by class, then single ones.
_PG_UNREACHABLE_CLASSES: Final = ("08", "28", "3D", "53", "57", "58")
_PG_DISK_FULL: Final = "53100"
_PG_BUSY: Final = {"55P03", "40001", "40P01"}
_PG_NO_TABLE: Final = {"42P01", "42703"}
_PG_CLASH: Final = {"23503", "23505"}
_PG_READ_ONLY: Final = "25006"


class WrittenWhileReading(RuntimeError):
    """A unit of work opened for reading was written to: a mistake in the calling code. Nothing was written."""


@contextmanager
def in_our_terms(*, reading: bool = False) -> Iterator[None]:
    """Raise a driver's error from inside as Unavailable, StorageFull or Clash.

    While ``reading``, a refused write raises WrittenWhileReading. Errors that say the statement itself is wrong stay
    what they are, since they are mistakes of ours.
    """
    try:
        yield
    except PoolTimeout as e:
        raise Unavailable(_BUSY) from e
    except DBAPIError as e:
        if reading and _refuses_writes(e):
            raise WrittenWhileReading("a reading unit of work must not be written to") from e
        if (ours := _in_our_terms(e)) is None:
            raise
        raise ours from e


def _refuses_writes(error: DBAPIError) -> bool:
    return _sqlite_code(error) == sqlite3.SQLITE_READONLY or _pg_code(error) == _PG_READ_ONLY


def _in_our_terms(error: DBAPIError) -> BoltspanError | None:
    if isinstance(error.orig, sqlite3.Error):
        return _from_sqlite(error)
    return _from_postgresql(error)


def _from_sqlite(error: DBAPIError) -> BoltspanError | None:
    if getattr(error.orig, "sqlite_errorcode", 0) in _SQLITE_CLASH:
        return Clash(_CLASH)
    code = _sqlite_code(error)
    if code == sqlite3.SQLITE_FULL:
        return StorageFull(_NO_ROOM)
    if code in _SQLITE_BUSY:
        return Unavailable(_BUSY)
    if code in _SQLITE_BROKEN:
        return Unavailable(_CANNOT_REACH)
    if str(error.orig).startswith(("no such table", "no such column")):  # SQLite has no code of its own for these
        return Unavailable(_NOT_READY)
    return None


def _from_postgresql(error: DBAPIError) -> BoltspanError | None:
    code = _pg_code(error)
    if code == _PG_DISK_FULL:
        return StorageFull(_NO_ROOM)
    if code in _PG_BUSY:
        return Unavailable(_BUSY)
    if code in _PG_CLASH:
        return Clash(_CLASH)
    if code in _PG_NO_TABLE:
        return Unavailable(_NOT_READY)
    lost = isinstance(error, OperationalError | InterfaceError) and not code
    if lost or error.connection_invalidated or code.startswith(_PG_UNREACHABLE_CLASSES) or code == _PG_READ_ONLY:
        return Unavailable(_CANNOT_REACH)
    return None


def _sqlite_code(error: DBAPIError) -> int:
    return int(getattr(error.orig, "sqlite_errorcode", 0)) & 0xFF  # the low byte is the primary code


def _pg_code(error: DBAPIError) -> str:
    return getattr(error.orig, "sqlstate", None) or ""
