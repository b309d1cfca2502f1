"""Units of work: one transaction each, writers one after the other, readers each on a snapshot of their own."""

from __future__ import annotations

import pathlib
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy import Connection, Engine

from boltspan.domain.errors import StorageFull, Unavailable
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.storage.accounts import SqlAccounts
from boltspan.storage.cases import SqlCases
from boltspan.storage.catalogue import SqlCatalogue
from boltspan.storage.driver_errors import in_our_terms
from boltspan.storage.engine import PATIENCE_S, WRITE, is_sqlite
from boltspan.storage.events import SqlEvents
from boltspan.storage.findings import SqlFindings
from boltspan.storage.flags import SqlFlags
from boltspan.storage.keys import SqlKeys
from boltspan.storage.migrations import pending
from boltspan.storage.photos import SqlPhotos
from boltspan.storage.published import SqlPublished
from boltspan.storage.releases import SqlReleases
from boltspan.storage.settings import SqlSettings
from boltspan.storage.shocks import SqlHardware, SqlShocks
from boltspan.storage.snapshots import SqlSnapshots
from boltspan.storage.statements import SqlStatements
from boltspan.storage.tables import metadata
from boltspan.storage.wanted import SqlWantedFrames
from boltspan.storage.weighed import SqlWeighed

LEAST_FREE_BYTES: Final = 64 * 1024 * 1024
"""With less room than this on the disk of a SQLite file, the database is not ready (judgement)."""

MANY_FRAMES: Final = 1000
"""A unit of work that indexes as many frames has PostgreSQL count its rows anew (judgement)."""


class SqlUnitOfWork:
    """The nouns' queries inside one transaction."""

    def __init__(self, connection: Connection, clock: Clock) -> None:
        self.catalogue = SqlCatalogue(connection)
        self.shocks = SqlShocks(connection)
        self.hardware = SqlHardware(connection)
        self.statements = SqlStatements(connection)
        self.findings = SqlFindings(connection)
        self.snapshots = SqlSnapshots(connection)
        self.weighed = SqlWeighed(connection)
        self.published = SqlPublished(connection)
        self.events = SqlEvents(connection, clock)
        self.cases = SqlCases(connection)
        self.flags = SqlFlags(connection)
        self.wanted = SqlWantedFrames(connection)
        self.accounts = SqlAccounts(connection)
        self.photos = SqlPhotos(connection)
        self.keys = SqlKeys(connection)
        self.releases = SqlReleases(connection)
        self.settings = SqlSettings(connection)


class SqlStorage:
    """Storage in the database of ``engine``; ``clock`` dates the events.

    Writers take turns: within this process by a lock, so that those who wait hold no connection; over processes by
    BEGIN IMMEDIATE on SQLite and by the event counter's row on PostgreSQL.
    """

    def __init__(self, engine: Engine, clock: Clock) -> None:
        self.engine = engine
        self._clock = clock
        self._turn = threading.Lock()
        self._writer: int | None = None
        self._for_writing = engine.execution_options(**{WRITE: True})
        snapshot = {} if is_sqlite(engine) else {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        self._for_reading = engine.execution_options(**snapshot)

    @contextmanager
    def reading(self) -> Iterator[UnitOfWork]:
        """Open a unit of work on a snapshot that is taken at its first query.

        Raises Unavailable, and WrittenWhileReading at the first attempt to write.
        """
        with in_our_terms(reading=True), self._for_reading.connect() as connection, connection.begin():
            yield SqlUnitOfWork(connection, self._clock)

    @contextmanager
    def writing(self) -> Iterator[UnitOfWork]:
        """Open a unit of work that sees all that is committed and excludes other writers until it ends.

        It is committed on a clean exit and rolled back by an exception. Raises Unavailable, also after a minute of
        waiting for its turn; StorageFull; Clash for a write that does not go with what is stored; RuntimeError
        inside another one of the same thread, which would wait for itself.
        """
        with in_our_terms(), self._my_turn(), self._for_writing.connect() as connection, connection.begin():
            unit = SqlUnitOfWork(connection, self._clock)
            unit.events.lock()
            yield unit
            unit.events.write_counter()
            if unit.findings.indexed >= MANY_FRAMES:
                _count_anew(connection)

    def ready(self) -> list[str]:
        """Return what is not in order with database, migrations and disk; an empty list when all is."""
        problems = []
        try:
            with in_our_terms(), self._for_reading.connect() as connection, connection.begin():
                problems += [f"migrations: {revision} is pending" for revision in pending(connection)]
        except (Unavailable, StorageFull) as e:
            problems.append(f"database: {e}")
        if is_sqlite(self.engine) and (folder := pathlib.Path(self.engine.url.database or "").parent).is_dir():
            free = shutil.disk_usage(folder).free
            if free < LEAST_FREE_BYTES:
                problems.append(f"disk: {free} bytes are free, {LEAST_FREE_BYTES} are needed")
        return problems

    @contextmanager
    def _my_turn(self) -> Iterator[None]:
        if self._writer == threading.get_ident():
            raise RuntimeError("a writing unit of work is open in this thread already")
        if not self._turn.acquire(timeout=PATIENCE_S):
            raise Unavailable("the database is busy; try again")
        self._writer = threading.get_ident()
        try:
            yield
        finally:
            self._writer = None
            self._turn.release()


def _count_anew(connection: Connection) -> None:
    """Have PostgreSQL take the statistics that it plans by.

    It does so by itself about a minute later. Until then it takes full tables for empty ones, and a look-up by size
    among 20 thousand frames takes seconds instead of a millisecond. SQLite plans well without.
    """
    if not is_sqlite(connection):
        connection.exec_driver_sql(f"ANALYZE {', '.join(table.name for table in metadata.sorted_tables)}")
