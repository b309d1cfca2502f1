"""The columns that hold a source, and the way there and back. Readings are JSON lists of whole nanometres."""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import BigInteger, Column, Row, Text

from boltspan.domain.lengths import from_nm, to_nm
from boltspan.domain.sources import PARTS, Measurement, Source
from boltspan.storage.key_text import KeyText
from boltspan.storage.value_columns import nm_list, of_nm_list


def source_columns() -> list[Column[Any]]:
    """Return new columns for a source."""
    return [
        Column("source_kind", Text, nullable=False),
        Column("source_by", KeyText, nullable=False),
        Column("source_seen_on", Text, nullable=False),
        Column("source_document", Text),
        Column("source_url", Text),
        Column("source_page", Text),
        Column("source_quote", Text),
        Column("instrument", Text),
        Column("resolution_nm", BigInteger),
        Column("bolt_feature", Text),
        Column("width_feature", Text),
        Column("bolt_readings_nm", Text),
        Column("width_readings_nm", Text),
        Column("bore_feature", Text),
        Column("bore_readings_nm", Text),
        Column("outer_feature", Text),
        Column("outer_readings_nm", Text),
    ]


_NAMES: Final = tuple(column.name for column in source_columns())


def source_row(source: Source) -> dict[str, Any]:
    """Return what stands in the columns for ``source``; all of a measurement is NULL where there is none."""
    row: dict[str, Any] = dict.fromkeys(_NAMES)
    row |= {
        "source_kind": source.kind,
        "source_by": source.by,
        "source_seen_on": source.seen_on,
        "source_document": source.document,
        "source_url": source.url,
        "source_page": source.page,
        "source_quote": source.quote,
    }
    if (measured := source.measurement) is not None:
        row |= {
            "instrument": measured.instrument,
            "resolution_nm": to_nm(measured.resolution_mm),
        }
        for part in PARTS:
            row[f"{part}_feature"] = getattr(measured, f"{part}_feature")
            row[f"{part}_readings_nm"] = nm_list(getattr(measured, f"{part}_readings_mm"))
    return row


def source_of(row: Row[Any]) -> Source:
    """Return the source in ``row``."""
    measured = None
    if row.instrument is not None:
        measured = Measurement(
            row.instrument,
            from_nm(row.resolution_nm),
            row.bolt_feature,
            row.width_feature,
            of_nm_list(row.bolt_readings_nm),
            of_nm_list(row.width_readings_nm),
            row.bore_feature,
            row.outer_feature,
            of_nm_list(row.bore_readings_nm),
            of_nm_list(row.outer_readings_nm),
        )
    return Source(
        row.source_kind,
        row.source_by,
        row.source_seen_on,
        row.source_document,
        row.source_url,
        row.source_page,
        row.source_quote,
        measured,
    )
