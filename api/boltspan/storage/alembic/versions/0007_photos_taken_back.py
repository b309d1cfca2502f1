"""Photos that are taken back, handles that look alike, and documents that wait."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from boltspan.domain.handles import handle_skeleton

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the columns and indexes; every handle that stands gets what it looks like."""
    op.add_column("photos", sa.Column("withdrawn_on", sa.Text))
    op.add_column(
        "accounts", sa.Column("handle_skeleton", sa.Text().with_variant(sa.Text(collation="C"), "postgresql"))
    )
    accounts = sa.table("accounts", sa.column("id"), sa.column("handle"), sa.column("handle_skeleton"))
    connection = op.get_bind()
    for row in connection.execute(sa.select(accounts.c.id, accounts.c.handle).where(accounts.c.handle.is_not(None))):
        alike = accounts.update().where(accounts.c.id == row.id).values(handle_skeleton=handle_skeleton(row.handle))
        connection.execute(alike)
    op.create_index("ix_accounts_handle_skeleton", "accounts", ["handle_skeleton"])
    op.create_index("ix_claims_state_source_document", "claims", ["state", "source_document"])


def downgrade() -> None:
    """Take them away again."""
    op.drop_index("ix_claims_state_source_document", "claims")
    op.drop_index("ix_accounts_handle_skeleton", "accounts")
    op.drop_column("accounts", "handle_skeleton")
    op.drop_column("photos", "withdrawn_on")
