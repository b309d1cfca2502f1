"""Run by alembic for every command; the connection comes from ``boltspan.storage.migrations``."""

from __future__ import annotations

from alembic import context

from boltspan.storage.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,  # SQLite changes a table by making it anew
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
