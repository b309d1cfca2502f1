"""Accounts have unique handles, a last day and terms; people sign in by page; claims have photos."""

from __future__ import annotations

import unicodedata
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the columns, fill what handles are compared by, make both tables."""
    op.add_column("accounts", sa.Column("handle_key", _key_text(), nullable=True))
    for name in ("last_active_on", "terms", "left_on"):
        op.add_column("accounts", sa.Column(name, sa.Text(), nullable=True))
    accounts = sa.table("accounts", sa.column("id"), sa.column("handle"), sa.column("handle_key"))
    connection = op.get_bind()
    for row in connection.execute(sa.select(accounts.c.id, accounts.c.handle).where(accounts.c.handle.is_not(None))):
        key = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", row.handle).casefold())
        connection.execute(accounts.update().where(accounts.c.id == row.id).values(handle_key=key))
    op.create_index("ix_accounts_handle_key", "accounts", ["handle_key"], unique=True)
    _make_sessions()
    _make_photos()


def downgrade() -> None:
    """Drop both tables and the columns."""
    op.drop_table("photos")
    op.drop_table("sessions")
    op.drop_index("ix_accounts_handle_key", "accounts")
    for name in ("left_on", "terms", "last_active_on", "handle_key"):
        op.drop_column("accounts", name)


def _make_sessions() -> None:
    op.create_table(
        "sessions",
        sa.Column("id", _key_text(), nullable=False),
        sa.Column("account", _key_text(), nullable=False),
        sa.Column("started_at", sa.Text(), nullable=False),
        sa.Column("ends_at", _key_text(), nullable=False),
        sa.Column("scopes", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_sessions"),
        sa.ForeignKeyConstraint(["account"], ["accounts.id"], name="fk_sessions_account"),
    )
    op.create_index("ix_sessions_account", "sessions", ["account"])
    op.create_index("ix_sessions_ends_at", "sessions", ["ends_at"])


def _make_photos() -> None:
    op.create_table(
        "photos",
        sa.Column("claim", _key_text(), nullable=False),
        sa.Column("hash", _key_text(), nullable=False),
        sa.Column("person", _key_text(), nullable=False),
        sa.Column("added_on", sa.Text(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("claim", "hash", name="pk_photos"),
        sa.ForeignKeyConstraint(["claim"], ["claims.id"], name="fk_photos_claim"),
    )
    op.create_index("ix_photos_hash", "photos", ["hash"])
    op.create_index("ix_photos_person_sequence_hash", "photos", ["person", "sequence", "hash"])


def _key_text() -> Any:
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
