"""Reviewing: states of claims, questions, flags, wanted frames, the queue's order, and the chain of events."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from alembic import op

from boltspan.domain.eventchain import START, link

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_PAGE = 1000


def upgrade() -> None:
    """Add columns and tables; every event that stands gets its hash, every claim whether it came in unreviewed."""
    _add_columns()
    _fill_claims()
    _link_events()
    with op.batch_alter_table("claims") as batch:
        batch.alter_column("unreviewed", existing_type=sa.Boolean, nullable=False)
    with op.batch_alter_table("events") as batch:
        batch.alter_column("hash", existing_type=sa.Text, nullable=False)
    with op.batch_alter_table("cases") as batch:
        batch.alter_column("rank", existing_type=sa.BigInteger, nullable=False)
    _make_tables()
    _make_indexes()


def downgrade() -> None:
    """Take them away again."""
    for table in ("wanted", "flags", "questions"):
        op.drop_table(table)
    _index("cases", "sequence", "id")
    _index("cases", "state", "sequence", "id")
    for table, columns in _INDEXES:
        op.drop_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table)
    for table, names in (
        ("frames", ("holds_at", "holds_from")),
        ("claims", ("superseded_on", "superseded_by", "unreviewed")),
        ("decisions", ("reason",)),
        ("events", ("hash",)),
        ("cases", ("rank",)),
    ):
        with op.batch_alter_table(table) as batch:
            for name in names:
                batch.drop_column(name)


_INDEXES = (
    ("claims", ("source_document",)),
    ("decisions", ("ruled_by", "ruled_on")),
    ("events", ("actor",)),
    ("cases", ("rank", "sequence", "id")),
    ("cases", ("state", "rank", "sequence", "id")),
)


def _add_columns() -> None:
    for name in ("holds_at", "holds_from"):
        op.add_column("frames", sa.Column(name, sa.BigInteger))
    op.add_column("claims", sa.Column("superseded_on", sa.Text))
    op.add_column("claims", _key("superseded_by", missing=True))
    op.add_column("claims", sa.Column("unreviewed", sa.Boolean))
    op.add_column("decisions", sa.Column("reason", sa.Text))
    op.add_column("events", sa.Column("hash", sa.Text))
    op.add_column("cases", sa.Column("rank", sa.BigInteger))
    op.execute("UPDATE cases SET rank = 0")


def _fill_claims() -> None:
    """A claim that a contributor sent came in with an event of its own kind."""
    claims = sa.table("claims", sa.column("sequence"), sa.column("unreviewed", sa.Boolean))
    events = sa.table("events", sa.column("sequence"), sa.column("kind"))
    sent = sa.select(events.c.sequence).where(events.c.kind == "claim_submitted")
    op.execute(claims.update().values(unreviewed=claims.c.sequence.in_(sent)))


def _link_events() -> None:
    connection = op.get_bind()
    names = ("sequence", "at", "actor", "kind", "frame", "subject", "payload", "hash")
    events = sa.table("events", *(sa.column(name) for name in names))
    previous, after = START, -1
    change = events.update().where(events.c.sequence == sa.bindparam("number")).values(hash=sa.bindparam("linked"))
    while rows := connection.execute(
        sa.select(events).where(events.c.sequence > after).order_by(events.c.sequence).limit(_PAGE)
    ).all():
        linked: list[dict[str, Any]] = []
        for row in rows:
            payload = json.loads(row.payload, parse_float=Decimal)
            previous = link(previous, row.sequence, row.at, row.actor, row.kind, row.frame, row.subject, payload)
            linked.append({"number": row.sequence, "linked": previous})
        connection.execute(change, linked)
        after = rows[-1].sequence


def _make_tables() -> None:
    op.create_table(
        "questions",
        _key("id"),
        _key("claim"),
        _key("asked_by"),
        _text("asked_on"),
        _text("question"),
        _text("answered_on", missing=True),
        _text("answer", missing=True),
        _key("answered_with", missing=True),
        sa.Column("sequence", sa.BigInteger, nullable=False),
        sa.ForeignKeyConstraint(["claim"], ["claims.id"], name=op.f("fk_questions_claim")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_questions")),
    )
    _index("questions", "claim", "sequence", "id")
    op.create_table(
        "flags",
        _key("id"),
        _key("frame"),
        _key("subject"),
        _text("reason"),
        _text("words", missing=True),
        _text("flagged_on"),
        _key("flagged_by", missing=True),
        sa.Column("sequence", sa.BigInteger, nullable=False),
        _text("closed_on", missing=True),
        sa.ForeignKeyConstraint(["frame"], ["frames.id"], name=op.f("fk_flags_frame")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_flags")),
    )
    _index("flags", "frame", "sequence", "id")
    _index("flags", "flagged_by")
    op.create_table(
        "wanted",
        _key("key"),
        _text("what"),
        sa.Column("asked", sa.BigInteger, nullable=False),
        _text("first_on"),
        _text("last_on"),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_wanted")),
    )
    _index("wanted", "asked", "key")


def _make_indexes() -> None:
    op.drop_index(op.f("ix_cases_sequence_id"), "cases")
    op.drop_index(op.f("ix_cases_state_sequence_id"), "cases")
    for table, columns in _INDEXES:
        _index(table, *columns)


def _text(name: str, *, missing: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=missing)


def _key(name: str, *, missing: bool = False) -> sa.Column[Any]:
    """Return a column of text that is compared by its code points on both databases."""
    return sa.Column(name, sa.Text().with_variant(sa.Text(collation="C"), "postgresql"), nullable=missing)


def _index(table: str, *columns: str) -> None:
    op.create_index(op.f(f"ix_{table}_{'_'.join(columns)}"), table, list(columns))
