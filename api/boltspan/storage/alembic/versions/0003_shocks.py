"""Shocks and hardware sizes; claims, decisions and review cases are about frames and shocks alike."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

ABOUT = ("claims", "decisions", "cases")
"""Tables whose rows are about a frame or a shock."""
ORDERED_BY = {"claims": "id", "decisions": "arrival"}
MADE = ("shock_models", "shocks", "sold_with", "hardware_sizes")
"""In the order of their foreign keys."""


def upgrade() -> None:
    """Make the tables of shocks, and let claims, decisions and cases name a shock instead of a frame."""
    _make_shocks()
    for table in ABOUT:
        with op.batch_alter_table(table) as batch:
            batch.alter_column("frame", existing_type=_text_type(), nullable=True)
            batch.add_column(_key("shock", missing=True))
            batch.create_foreign_key(op.f(f"fk_{table}_shock"), "shocks", ["shock"], ["id"])
            batch.create_check_constraint(op.f(f"ck_{table}_about_one"), "(frame IS NULL) <> (shock IS NULL)")
            if table == "cases":
                batch.create_unique_constraint(op.f("uq_cases_shock_subject"), ["shock", "subject"])
            else:
                for column in _value_columns():
                    batch.add_column(column)
                batch.create_index(
                    op.f(f"ix_{table}_shock_sequence_{ORDERED_BY[table]}"), ["shock", "sequence", ORDERED_BY[table]]
                )


def downgrade() -> None:
    """Drop all that is about shocks."""
    for table in ABOUT:
        about = sa.table(table, sa.column("shock"))
        op.execute(sa.delete(about).where(about.c.shock.is_not(None)))
        with op.batch_alter_table(table) as batch:
            if table == "cases":
                batch.drop_constraint(op.f("uq_cases_shock_subject"), type_="unique")
            else:
                batch.drop_index(op.f(f"ix_{table}_shock_sequence_{ORDERED_BY[table]}"))
                for column in _value_columns():
                    batch.drop_column(column.name)
            batch.drop_constraint(op.f(f"ck_{table}_about_one"), type_="check")
            batch.drop_constraint(op.f(f"fk_{table}_shock"), type_="foreignkey")
            batch.drop_column("shock")
            batch.alter_column("frame", existing_type=_text_type(), nullable=False)
    for table in reversed(MADE):
        op.drop_table(table)


def _make_shocks() -> None:
    op.create_table(
        "shock_models",
        _key("make"),
        _key("slug"),
        _text("name"),
        _text("aliases"),
        sa.ForeignKeyConstraint(["make"], ["makes.slug"], name=op.f("fk_shock_models_make")),
        sa.PrimaryKeyConstraint("make", "slug", name=op.f("pk_shock_models")),
    )
    op.create_table(
        "shocks",
        _key("id"),
        _key("make"),
        _key("model"),
        _text("record"),
        sa.Column("year_from", sa.Integer, nullable=False),
        sa.Column("year_to", sa.Integer),
        _text("qualifier", missing=True),
        _text("went_into"),
        _text("withdrawn_on", missing=True),
        _text("why", missing=True),
        _number("sequence"),
        sa.ForeignKeyConstraint(
            ["make", "model"], ["shock_models.make", "shock_models.slug"], name=op.f("fk_shocks_make_model")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shocks")),
    )
    op.create_index(op.f("ix_shocks_make_model_year_from_id"), "shocks", ["make", "model", "year_from", "id"])
    op.create_table(
        "sold_with",
        _key("shock"),
        sa.Column("place", sa.Integer, nullable=False),
        _key("frame"),
        _text("ends"),
        *_source_columns(),
        sa.ForeignKeyConstraint(["shock"], ["shocks.id"], name=op.f("fk_sold_with_shock")),
        sa.ForeignKeyConstraint(["frame"], ["frames.id"], name=op.f("fk_sold_with_frame")),
        sa.PrimaryKeyConstraint("shock", "place", name=op.f("pk_sold_with")),
    )
    op.create_table(
        "hardware_sizes",
        _key("id"),
        _number("bolt_nm"),
        _number("eyelet_bore_nm", missing=True),
        _text("widths_nm"),
        *_source_columns(),
        _text("withdrawn_on", missing=True),
        _text("withdrawn_why", missing=True),
        _number("sequence"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hardware_sizes")),
    )


def _value_columns() -> list[sa.Column[Any]]:
    return [
        _number("eyelet_width_nm", missing=True),
        _number("eyelet_outer_nm", missing=True),
        _text("bearings", missing=True),
        _text("sizes_nm", missing=True),
        sa.Column("sizes_only", sa.Boolean),
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


def _text_type() -> Any:
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def _text(name: str, *, missing: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=missing)


def _key(name: str, *, missing: bool = False) -> sa.Column[Any]:
    """Return a column of text that is compared by its code points on both databases."""
    return sa.Column(name, _text_type(), nullable=missing)


def _number(name: str, *, missing: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.BigInteger, nullable=missing)
