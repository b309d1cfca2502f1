"""Flags on shocks: a flag is about a frame or a shock, as claims and cases are."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

KEY = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
"""Text that is compared by its code points on both databases."""


def upgrade() -> None:
    """Let a flag name a shock instead of a frame."""
    with op.batch_alter_table("flags") as batch:
        batch.alter_column("frame", existing_type=KEY, nullable=True)
        batch.add_column(sa.Column("shock", KEY))
        batch.create_foreign_key(op.f("fk_flags_shock"), "shocks", ["shock"], ["id"])
        batch.create_check_constraint(op.f("ck_flags_about_one"), "(frame IS NULL) <> (shock IS NULL)")
        batch.create_index(op.f("ix_flags_shock_sequence_id"), ["shock", "sequence", "id"])


def downgrade() -> None:
    """Drop the flags on shocks."""
    flags = sa.table("flags", sa.column("shock"))
    op.execute(sa.delete(flags).where(flags.c.shock.is_not(None)))
    with op.batch_alter_table("flags") as batch:
        batch.drop_index(op.f("ix_flags_shock_sequence_id"))
        batch.drop_constraint(op.f("ck_flags_about_one"), type_="check")
        batch.drop_constraint(op.f("fk_flags_shock"), type_="foreignkey")
        batch.drop_column("shock")
        batch.alter_column("frame", existing_type=KEY, nullable=False)
