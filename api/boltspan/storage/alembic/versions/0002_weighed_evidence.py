"""What the evidence says of each end, and the snapshots of rates it was weighed with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make both tables; they fill at the start, when every answer is encoded anew."""
    op.create_table(
        "snapshots",
        _key("id"),
        sa.Column("made_on", sa.Text, nullable=False),
        sa.Column("event", sa.BigInteger, nullable=False),
        sa.Column("model_version", sa.Text, nullable=False),
        sa.Column("catalogue", sa.Text, nullable=False),
        sa.Column("rates", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_snapshots"),
    )
    op.create_table(
        "weighed",
        _key("snapshot"),
        _key("frame"),
        _key("subject"),
        sa.Column("sequence", sa.BigInteger, nullable=False),
        sa.Column("own", sa.Text, nullable=False),
        sa.Column("body", sa.Text),
        sa.ForeignKeyConstraint(["snapshot"], ["snapshots.id"], name="fk_weighed_snapshot"),
        sa.ForeignKeyConstraint(["frame"], ["frames.id"], name="fk_weighed_frame"),
        sa.PrimaryKeyConstraint("snapshot", "frame", "subject", name="pk_weighed"),
    )
    op.create_index("ix_weighed_frame", "weighed", ["frame"])


def downgrade() -> None:
    """Drop both tables; what stands in them is worked out again."""
    op.drop_table("weighed")
    op.drop_table("snapshots")


def _key(name: str) -> sa.Column[str]:
    text = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
    return sa.Column(name, text, nullable=False)
