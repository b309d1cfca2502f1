"""Readings of a shock's eyelet, and shocks that contributors propose."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

WITH_SOURCES = ("claims", "hardware_sizes", "same_ends", "sold_with")
"""Tables whose rows have a source each."""
READINGS = ("bore_feature", "bore_readings_nm", "outer_feature", "outer_readings_nm")
NO_READINGS = "[]"


def upgrade() -> None:
    """Make room for readings of bore and outside; every shock that stands is listed."""
    for table in WITH_SOURCES:
        with op.batch_alter_table(table) as batch:
            for name in READINGS:
                batch.add_column(sa.Column(name, sa.Text))
        measured = sa.table(
            table, *(sa.column(name) for name in ("instrument", "bore_readings_nm", "outer_readings_nm"))
        )
        none_taken = {"bore_readings_nm": NO_READINGS, "outer_readings_nm": NO_READINGS}
        op.execute(measured.update().where(measured.c.instrument.is_not(None)).values(none_taken))
    with op.batch_alter_table("shocks") as batch:
        batch.add_column(sa.Column("listed", sa.Boolean))
        batch.add_column(_key("proposed_by"))
    shocks = sa.table("shocks", sa.column("listed", sa.Boolean))
    op.execute(shocks.update().values(listed=sa.true()))
    with op.batch_alter_table("shocks") as batch:
        batch.alter_column("listed", existing_type=sa.Boolean, nullable=False)


def downgrade() -> None:
    """Drop claims that say nothing without such readings, and what is about shocks that nobody has accepted."""
    unlisted = sa.table("shocks", sa.column("id"), sa.column("listed", sa.Boolean))
    proposed = sa.select(unlisted.c.id).where(unlisted.c.listed == sa.false())
    _drop_claims(_CLAIMS.c.shock.in_(proposed))
    _drop_claims(_CLAIMS.c.shock.is_not(None) & _CLAIMS.c.instrument.is_not(None))
    for name in ("decisions", "cases"):
        about = sa.table(name, sa.column("shock"))
        op.execute(sa.delete(about).where(about.c.shock.in_(proposed)))
    op.execute(sa.delete(unlisted).where(unlisted.c.listed == sa.false()))
    with op.batch_alter_table("shocks") as batch:
        batch.drop_column("proposed_by")
        batch.drop_column("listed")
    for table in WITH_SOURCES:
        with op.batch_alter_table(table) as batch:
            for name in reversed(READINGS):
                batch.drop_column(name)


_CLAIMS = sa.table("claims", sa.column("id"), sa.column("shock"), sa.column("instrument"))


def _drop_claims(which: sa.ColumnElement[bool]) -> None:
    """Delete these claims, and what was asked and shown about them."""
    ids = sa.select(_CLAIMS.c.id).where(which)
    for table in ("questions", "photos"):
        about = sa.table(table, sa.column("claim"))
        op.execute(sa.delete(about).where(about.c.claim.in_(ids)))
    op.execute(sa.delete(_CLAIMS).where(which))


def _key(name: str) -> sa.Column[Any]:
    """Return a column of text that is compared by its code points on both databases."""
    return sa.Column(name, sa.Text().with_variant(sa.Text(collation="C"), "postgresql"))
