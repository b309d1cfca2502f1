"""First tables."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

TABLES = (
    "makes", "models", "frames", "same_ends", "claims", "decisions", "findings", "published", "events", "event_counter",
    "cases", "accounts", "tokens", "saved_answers", "rate_limits", "releases", "settings",
)  # fmt: skip
"""In the order of their foreign keys."""


def upgrade() -> None:
    """Make all tables, and the one row of the event counter."""
    _make_catalogue()
    _make_statements()
    _make_derived()
    counter = _make_events()
    _make_people()
    _make_requests()
    _make_facts()
    op.bulk_insert(counter, [{"id": 1, "last": 0}])


def downgrade() -> None:
    """Drop all tables."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _make_catalogue() -> None:
    op.create_table("makes", _key("slug"), _text("name"), _text("aliases"), _primary("makes", "slug"))
    op.create_table(
        "models",
        _key("make"),
        _key("slug"),
        _text("name"),
        _text("aliases"),
        _foreign("models", ["make"], ["makes.slug"]),
        _primary("models", "make", "slug"),
    )
    op.create_table(
        "frames",
        _key("id"),
        _key("make"),
        _key("model"),
        _text("record"),
        sa.Column("year_from", sa.Integer, nullable=False),
        sa.Column("year_to", sa.Integer),
        _text("first_end"),
        _text("second_end"),
        _text("qualifier", missing=True),
        _text("went_into"),
        _text("withdrawn_on", missing=True),
        _text("why", missing=True),
        sa.Column("listed", sa.Boolean, nullable=False),
        _key("proposed_by", missing=True),
        _number("sequence"),
        _foreign("frames", ["make", "model"], ["models.make", "models.slug"]),
        _primary("frames", "id"),
    )
    _index("frames", "make", "model", "year_from", "id")
    op.create_table(
        "same_ends",
        _key("frame"),
        _text("names"),
        *_source_columns(),
        _foreign("same_ends", ["frame"], ["frames.id"]),
        _primary("same_ends", "frame"),
    )


def _make_statements() -> None:
    op.create_table(
        "claims",
        _key("id"),
        _key("frame"),
        _text("subject"),
        *_value_columns(),
        sa.Column("year_from", sa.Integer),
        sa.Column("year_to", sa.Integer),
        *_source_columns(),
        _text("withdrawn_on", missing=True),
        _text("withdrawn_why", missing=True),
        _text("state"),
        _number("sequence"),
        _foreign("claims", ["frame"], ["frames.id"]),
        _primary("claims", "id"),
    )
    _index("claims", "frame", "sequence", "id")
    _index("claims", "source_by", "sequence", "id")
    op.create_table(
        "decisions",
        sa.Column("arrival", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        _key("id"),
        _key("frame"),
        _text("subject"),
        _text("ruled_on"),
        _key("ruled_by"),
        _text("ruling"),
        _text("why"),
        *_value_columns(),
        _text("rests_on"),
        _text("overrules"),
        _text("refuses"),
        _key("reverses", missing=True),
        _number("sequence"),
        _foreign("decisions", ["frame"], ["frames.id"]),
        _primary("decisions", "arrival"),
        _unique("decisions", "id"),
    )
    _index("decisions", "frame", "sequence", "arrival")


def _make_derived() -> None:
    op.create_table(
        "findings",
        _key("frame"),
        _key("subject"),
        _key("standing"),
        _text("mount", missing=True),
        _number("bolt_nm", missing=True),
        _number("width_nm", missing=True),
        _foreign("findings", ["frame"], ["frames.id"]),
        _primary("findings", "frame", "subject"),
    )
    _index("findings", "width_nm", "bolt_nm")
    _index("findings", "bolt_nm")
    _index("findings", "standing")
    op.create_table(
        "published",
        _key("path"),
        sa.Column("body", sa.LargeBinary),
        _text("etag"),
        _number("sequence"),
        _primary("published", "path"),
    )
    _index("published", "sequence", "path")


def _make_events() -> sa.Table:
    op.create_table(
        "events",
        sa.Column("sequence", sa.BigInteger, autoincrement=False, nullable=False),
        _text("at"),
        _key("actor", missing=True),
        _text("kind"),
        _key("frame", missing=True),
        _text("subject", missing=True),
        _text("payload"),
        _key("record_key", missing=True),
        _primary("events", "sequence"),
    )
    _index("events", "frame", "sequence")
    _index("events", "record_key", "sequence")
    return op.create_table(
        "event_counter",
        sa.Column("id", sa.Integer, autoincrement=False, nullable=False),
        _number("last"),
        sa.CheckConstraint("id = 1", name=op.f("ck_event_counter_one_row")),
        _primary("event_counter", "id"),
    )


def _make_people() -> None:
    op.create_table(
        "accounts",
        _key("id"),
        _text("role"),
        _text("handle", missing=True),
        _text("created_on"),
        sa.Column("blocked", sa.Boolean, nullable=False),
        _primary("accounts", "id"),
    )
    op.create_table(
        "tokens",
        _key("id"),
        _key("account"),
        _text("secret_sha256"),
        _text("scopes"),
        _key("issued_at"),
        _text("expires_at", missing=True),
        _text("revoked_at", missing=True),
        _text("last_used_on", missing=True),
        _foreign("tokens", ["account"], ["accounts.id"]),
        _primary("tokens", "id"),
    )
    _index("tokens", "account", "issued_at", "id")
    op.create_table(
        "cases",
        _key("id"),
        _key("frame"),
        _key("subject"),
        _key("state"),
        _text("opened_on"),
        _text("reasons"),
        _number("sequence"),
        _foreign("cases", ["frame"], ["frames.id"]),
        _primary("cases", "id"),
        _unique("cases", "frame", "subject"),
    )
    _index("cases", "sequence", "id")
    _index("cases", "state", "sequence", "id")


def _make_requests() -> None:
    op.create_table(
        "saved_answers",
        _key("owner"),
        _key("key"),
        _text("fingerprint"),
        sa.Column("status", sa.Integer, nullable=False),
        _text("body"),
        _text("location", missing=True),
        _key("saved_at"),
        _primary("saved_answers", "owner", "key"),
    )
    _index("saved_answers", "saved_at")
    op.create_table(
        "rate_limits",
        _key("name"),
        _number("hits"),
        sa.Column("ends_at_s", sa.Double, nullable=False),
        _primary("rate_limits", "name"),
    )
    _index("rate_limits", "ends_at_s")


def _make_facts() -> None:
    op.create_table(
        "releases",
        _key("version"),
        _text("built_on"),
        _number("event"),
        _text("manifest"),
        _text("withdrawn_on", missing=True),
        _text("withdrawn_why", missing=True),
        _primary("releases", "version"),
    )
    op.create_table("settings", _key("name"), _text("value"), _primary("settings", "name"))


def _value_columns() -> list[sa.Column[Any]]:
    return [
        _text("mount", missing=True),
        _number("bolt_nm", missing=True),
        _number("width_nm", missing=True),
        _number("eyelet_bore_nm", missing=True),
        sa.Column("bearing_compatible", sa.Boolean),
        _number("eye_to_eye_nm", missing=True),
        _number("stroke_nm", missing=True),
    ]


def _source_columns() -> list[sa.Column[Any]]:
    return [
        _text("source_kind"),
        _key("source_by"),
        _text("source_seen_on"),
        _text("source_document", missing=True),
        _text("source_url", missing=True),
        _text("source_page", missing=True),
        _text("source_quote", missing=True),
        _text("instrument", missing=True),
        _number("resolution_nm", missing=True),
        _text("bolt_feature", missing=True),
        _text("width_feature", missing=True),
        _text("bolt_readings_nm", missing=True),
        _text("width_readings_nm", missing=True),
    ]


def _text(name: str, *, missing: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=missing)


def _key(name: str, *, missing: bool = False) -> sa.Column[Any]:
    """Return a column of text that is compared by its code points on both databases."""
    return sa.Column(name, sa.Text().with_variant(sa.Text(collation="C"), "postgresql"), nullable=missing)


def _number(name: str, *, missing: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.BigInteger, nullable=missing)


def _primary(table: str, *columns: str) -> sa.PrimaryKeyConstraint:
    return sa.PrimaryKeyConstraint(*columns, name=op.f(f"pk_{table}"))


def _foreign(table: str, columns: list[str], others: list[str]) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(columns, others, name=op.f(f"fk_{table}_{'_'.join(columns)}"))


def _unique(table: str, *columns: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(*columns, name=op.f(f"uq_{table}_{'_'.join(columns)}"))


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))
