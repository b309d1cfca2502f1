"""The database: SQLite or PostgreSQL, tables and named queries per noun, one unit of work a transaction."""

from __future__ import annotations

from boltspan.storage.engine import make_engine
from boltspan.storage.migrations import downgrade, migrate
from boltspan.storage.unit_of_work import SqlStorage

__all__ = ["SqlStorage", "downgrade", "make_engine", "migrate"]
