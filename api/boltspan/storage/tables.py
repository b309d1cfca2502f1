"""The tables. Words are those of the job; a word that SQL keeps for itself gets a longer name (``ruled_on``).

Ids, slugs, dates and instants are text; whatever is ordered by is KeyText. People are named by their id without a
foreign key, since a dataset names people who have no account here; so are frames and shocks in events, which are
written first and name either in ``frame``.
"""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

from boltspan.storage.about_columns import about_columns
from boltspan.storage.key_text import KeyText
from boltspan.storage.source_columns import source_columns
from boltspan.storage.value_columns import value_columns

metadata: Final = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)


def _needed(name: str, kind: Any = Text, *more: Any) -> Column[Any]:
    return Column(name, kind, *more, nullable=False)


makes: Final = Table(
    "makes",
    metadata,
    Column("slug", KeyText, primary_key=True),
    _needed("name"),
    _needed("aliases"),
)

models: Final = Table(
    "models",
    metadata,
    _needed("make", KeyText, ForeignKey(makes.c.slug)),
    _needed("slug", KeyText),
    _needed("name"),
    _needed("aliases"),
    PrimaryKeyConstraint("make", "slug"),
)

frames: Final = Table(
    "frames",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("make", KeyText),
    _needed("model", KeyText),
    _needed("record"),
    _needed("year_from", Integer),
    Column("year_to", Integer),
    _needed("first_end"),
    _needed("second_end"),
    Column("qualifier", Text),
    _needed("went_into"),
    Column("withdrawn_on", Text),
    Column("why", Text),
    _needed("listed", Boolean),
    Column("proposed_by", KeyText),
    _needed("sequence", BigInteger),
    Column("holds_at", BigInteger),
    Column("holds_from", BigInteger),
    ForeignKeyConstraint(["make", "model"], [models.c.make, models.c.slug]),
    Index(None, "make", "model", "year_from", "id"),
)

same_ends: Final = Table(
    "same_ends",
    metadata,
    Column("frame", KeyText, ForeignKey(frames.c.id), primary_key=True),
    _needed("names"),
    *source_columns(),
)

shock_models: Final = Table(
    "shock_models",
    metadata,
    _needed("make", KeyText, ForeignKey(makes.c.slug)),
    _needed("slug", KeyText),
    _needed("name"),
    _needed("aliases"),
    PrimaryKeyConstraint("make", "slug"),
)

shocks: Final = Table(
    "shocks",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("make", KeyText),
    _needed("model", KeyText),
    _needed("record"),
    _needed("year_from", Integer),
    Column("year_to", Integer),
    Column("qualifier", Text),
    _needed("went_into"),
    Column("withdrawn_on", Text),
    Column("why", Text),
    _needed("listed", Boolean),
    Column("proposed_by", KeyText),
    _needed("sequence", BigInteger),
    ForeignKeyConstraint(["make", "model"], [shock_models.c.make, shock_models.c.slug]),
    Index(None, "make", "model", "year_from", "id"),
)

sold_with: Final = Table(
    "sold_with",
    metadata,
    _needed("shock", KeyText, ForeignKey(shocks.c.id)),
    _needed("place", Integer),
    _needed("frame", KeyText, ForeignKey(frames.c.id)),
    _needed("ends"),
    *source_columns(),
    PrimaryKeyConstraint("shock", "place"),
)

hardware_sizes: Final = Table(
    "hardware_sizes",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("bolt_nm", BigInteger),
    Column("eyelet_bore_nm", BigInteger),
    _needed("widths_nm"),
    *source_columns(),
    Column("withdrawn_on", Text),
    Column("withdrawn_why", Text),
    _needed("sequence", BigInteger),
)

claims: Final = Table(
    "claims",
    metadata,
    Column("id", KeyText, primary_key=True),
    *about_columns(),
    _needed("subject"),
    *value_columns(),
    Column("year_from", Integer),
    Column("year_to", Integer),
    *source_columns(),
    Column("withdrawn_on", Text),
    Column("withdrawn_why", Text),
    _needed("state"),
    _needed("sequence", BigInteger),
    Column("superseded_on", Text),
    Column("superseded_by", KeyText),
    _needed("unreviewed", Boolean),
    Index(None, "frame", "sequence", "id"),
    Index(None, "shock", "sequence", "id"),
    Index(None, "source_by", "sequence", "id"),
    Index(None, "source_document"),
    Index(None, "state", "source_document"),
)

decisions: Final = Table(
    "decisions",
    metadata,
    # The order of arrival; writers take turns, so it never runs against the order of sequences.
    Column("arrival", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True),
    _needed("id", KeyText),
    *about_columns(),
    _needed("subject"),
    _needed("ruled_on"),
    _needed("ruled_by", KeyText),
    _needed("ruling"),
    _needed("why"),
    *value_columns(),
    _needed("rests_on"),
    _needed("overrules"),
    _needed("refuses"),
    Column("reverses", KeyText),
    _needed("sequence", BigInteger),
    Column("reason", Text),
    UniqueConstraint("id"),
    Index(None, "ruled_by", "ruled_on"),
    Index(None, "frame", "sequence", "arrival"),
    Index(None, "shock", "sequence", "arrival"),
)

findings: Final = Table(
    "findings",
    metadata,
    _needed("frame", KeyText, ForeignKey(frames.c.id)),
    _needed("subject", KeyText),
    _needed("standing", KeyText),
    Column("mount", Text),
    Column("bolt_nm", BigInteger),
    Column("width_nm", BigInteger),
    PrimaryKeyConstraint("frame", "subject"),
    Index(None, "width_nm", "bolt_nm"),
    Index(None, "bolt_nm"),
    Index(None, "standing"),
)

snapshots: Final = Table(
    "snapshots",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("made_on"),
    _needed("event", BigInteger),
    _needed("model_version"),
    _needed("catalogue"),
    _needed("rates"),
)

weighed: Final = Table(
    "weighed",
    metadata,
    _needed("snapshot", KeyText, ForeignKey(snapshots.c.id)),
    _needed("frame", KeyText, ForeignKey(frames.c.id)),
    _needed("subject", KeyText),
    # The frame's last event when it was weighed; -1 before that.
    _needed("sequence", BigInteger),
    _needed("own"),
    Column("body", Text),
    PrimaryKeyConstraint("snapshot", "frame", "subject"),
    Index(None, "frame"),
)

published: Final = Table(
    "published",
    metadata,
    Column("path", KeyText, primary_key=True),
    Column("body", LargeBinary),
    _needed("etag"),
    _needed("sequence", BigInteger),
    Index(None, "sequence", "path"),
)

events: Final = Table(
    "events",
    metadata,
    Column("sequence", BigInteger, primary_key=True, autoincrement=False),
    _needed("at"),
    Column("actor", KeyText),
    _needed("kind"),
    Column("frame", KeyText),
    Column("subject", Text),
    _needed("payload"),
    Column("record_key", KeyText),
    _needed("hash"),
    Index(None, "actor"),
    Index(None, "frame", "sequence"),
    Index(None, "record_key", "sequence"),
)

event_counter: Final = Table(
    "event_counter",
    metadata,
    Column("id", Integer, CheckConstraint("id = 1", name="one_row"), primary_key=True, autoincrement=False),
    _needed("last", BigInteger),
)

cases: Final = Table(
    "cases",
    metadata,
    Column("id", KeyText, primary_key=True),
    *about_columns(),
    _needed("subject", KeyText),
    _needed("state", KeyText),
    _needed("opened_on"),
    _needed("reasons"),
    _needed("sequence", BigInteger),
    _needed("rank", BigInteger),
    UniqueConstraint("frame", "subject"),
    UniqueConstraint("shock", "subject"),
    Index(None, "rank", "sequence", "id"),
    Index(None, "state", "rank", "sequence", "id"),
)

questions: Final = Table(
    "questions",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("claim", KeyText, ForeignKey(claims.c.id)),
    _needed("asked_by", KeyText),
    _needed("asked_on"),
    _needed("question"),
    Column("answered_on", Text),
    Column("answer", Text),
    Column("answered_with", KeyText),
    _needed("sequence", BigInteger),
    Index(None, "claim", "sequence", "id"),
)

flags: Final = Table(
    "flags",
    metadata,
    Column("id", KeyText, primary_key=True),
    *about_columns(),
    _needed("subject", KeyText),
    _needed("reason"),
    Column("words", Text),
    _needed("flagged_on"),
    Column("flagged_by", KeyText),
    _needed("sequence", BigInteger),
    Column("closed_on", Text),
    Index(None, "frame", "sequence", "id"),
    Index(None, "shock", "sequence", "id"),
    Index(None, "flagged_by"),
)

wanted: Final = Table(
    "wanted",
    metadata,
    Column("key", KeyText, primary_key=True),
    _needed("what"),
    _needed("asked", BigInteger),
    _needed("first_on"),
    _needed("last_on"),
    Index(None, "asked", "key"),
)

accounts: Final = Table(
    "accounts",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("role"),
    Column("handle", Text),
    Column("handle_key", KeyText),
    Column("handle_skeleton", KeyText),
    _needed("created_on"),
    _needed("blocked", Boolean),
    Column("last_active_on", Text),
    Column("terms", Text),
    Column("left_on", Text),
    Index(None, "handle_key", unique=True),
    Index(None, "handle_skeleton"),
)

sessions: Final = Table(
    "sessions",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("account", KeyText, ForeignKey(accounts.c.id)),
    _needed("started_at"),
    _needed("ends_at", KeyText),
    Column("scopes", Text),
    Index(None, "account"),
    Index(None, "ends_at"),
)

photos: Final = Table(
    "photos",
    metadata,
    _needed("claim", KeyText, ForeignKey(claims.c.id)),
    _needed("hash", KeyText),
    _needed("person", KeyText),
    _needed("added_on"),
    _needed("width_px", Integer),
    _needed("height_px", Integer),
    _needed("bytes", Integer),
    _needed("sequence", BigInteger),
    Column("withdrawn_on", Text),
    PrimaryKeyConstraint("claim", "hash"),
    Index(None, "hash"),
    Index(None, "person", "sequence", "hash"),
)

tokens: Final = Table(
    "tokens",
    metadata,
    Column("id", KeyText, primary_key=True),
    _needed("account", KeyText, ForeignKey(accounts.c.id)),
    _needed("secret_sha256"),
    _needed("scopes"),
    _needed("issued_at", KeyText),
    Column("expires_at", Text),
    Column("revoked_at", Text),
    Column("last_used_on", Text),
    Index(None, "account", "issued_at", "id"),
)

saved_answers: Final = Table(
    "saved_answers",
    metadata,
    _needed("owner", KeyText),
    _needed("key", KeyText),
    _needed("fingerprint"),
    _needed("status", Integer),
    _needed("body"),
    Column("location", Text),
    _needed("saved_at", KeyText),
    PrimaryKeyConstraint("owner", "key"),
    Index(None, "saved_at"),
)

rate_limits: Final = Table(
    "rate_limits",
    metadata,
    Column("name", KeyText, primary_key=True),
    _needed("hits", BigInteger),
    _needed("ends_at_s", Double),
    Index(None, "ends_at_s"),
)

releases: Final = Table(
    "releases",
    metadata,
    Column("version", KeyText, primary_key=True),
    _needed("built_on"),
    _needed("event", BigInteger),
    _needed("manifest"),
    Column("withdrawn_on", Text),
    Column("withdrawn_why", Text),
)

settings: Final = Table(
    "settings",
    metadata,
    Column("name", KeyText, primary_key=True),
    _needed("value"),
)
