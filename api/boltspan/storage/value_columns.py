"""The columns that hold a value of a subject, and the way there and back. Lengths are whole nanometres."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from sqlalchemy import BigInteger, Boolean, Column, Row, Text

from boltspan.domain.lengths import from_nm, to_nm
from boltspan.domain.shock_values import SIZES, ShockEnd, ShockSize, ShockSizes
from boltspan.domain.values import SHOCK_SIZE, EndValue, Value
from boltspan.storage.stored_json import dumps, loads


def value_columns() -> list[Column[Any]]:
    """Return new columns for a value that may be missing."""
    return [
        Column("mount", Text),
        Column("bolt_nm", BigInteger),
        Column("width_nm", BigInteger),
        Column("eyelet_bore_nm", BigInteger),
        Column("bearing_compatible", Boolean),
        Column("eye_to_eye_nm", BigInteger),
        Column("stroke_nm", BigInteger),
        Column("eyelet_width_nm", BigInteger),
        Column("eyelet_outer_nm", BigInteger),
        Column("bearings", Text),
        Column("sizes_nm", Text),
        Column("sizes_only", Boolean),
    ]


_NAMES: Final = tuple(column.name for column in value_columns())


def value_row(value: Value | None) -> dict[str, Any]:
    """Return what stands in the columns for ``value``.

    ``bearing_compatible`` is NULL just when there is no value of an end, which tells "says nothing" from "no value".
    Raises ValueError for a length with more than six places.
    """
    row: dict[str, Any] = dict.fromkeys(_NAMES)
    if isinstance(value, EndValue):
        row |= {
            "mount": value.mount,
            "bolt_nm": nm(value.bolt_mm),
            "width_nm": nm(value.width_mm),
            "eyelet_bore_nm": nm(value.eyelet_bore_mm),
            "bearing_compatible": value.bearing_compatible,
        }
    elif isinstance(value, ShockSize):
        row |= {"eye_to_eye_nm": nm(value.eye_to_eye_mm), "stroke_nm": nm(value.stroke_mm)}
    elif isinstance(value, ShockEnd):
        row |= {
            "mount": value.mount,
            "eyelet_bore_nm": nm(value.eyelet_bore_mm),
            "eyelet_width_nm": nm(value.eyelet_width_mm),
            "eyelet_outer_nm": nm(value.eyelet_outer_mm),
            "bearings": value.bearings,
        }
    elif isinstance(value, ShockSizes):
        pairs = [[nm(size.eye_to_eye_mm), nm(size.stroke_mm)] for size in value.sizes]
        row |= {"sizes_nm": dumps(pairs), "sizes_only": value.only}
    return row


def value_of(row: Row[Any]) -> Value | None:
    """Return the value in ``row``, which also has the subject and the shock if any; None when there is none."""
    if row.shock is not None:
        return _of_shock(row)
    if row.subject == SHOCK_SIZE:
        if row.eye_to_eye_nm is None and row.stroke_nm is None:
            return None
        return ShockSize(mm(row.eye_to_eye_nm), mm(row.stroke_nm))
    if row.bearing_compatible is None:
        return None
    return EndValue(row.mount, mm(row.bolt_nm), mm(row.width_nm), mm(row.eyelet_bore_nm), row.bearing_compatible)


def _of_shock(row: Row[Any]) -> Value | None:
    if row.subject == SIZES:
        if row.sizes_nm is None:
            return None
        return ShockSizes(tuple(ShockSize(mm(e), mm(s)) for e, s in loads(row.sizes_nm)), row.sizes_only)
    stated = (row.mount, row.eyelet_bore_nm, row.eyelet_width_nm, row.eyelet_outer_nm, row.bearings)
    if all(item is None for item in stated):
        return None
    mount, bore, width, outer, bearings = stated
    return ShockEnd(mount, mm(bore), mm(width), mm(outer), bearings)


def nm_list(lengths_mm: Iterable[Decimal]) -> str:
    """Return lengths as a JSON list of whole nanometres."""
    return dumps([to_nm(length) for length in lengths_mm])


def of_nm_list(text: str) -> tuple[Decimal, ...]:
    """Return the lengths in mm of such a list."""
    return tuple(from_nm(length) for length in loads(text))


def nm(length_mm: Decimal | None) -> int | None:
    """Return a length in whole nanometres; None stays None."""
    return None if length_mm is None else to_nm(length_mm)


@lru_cache(maxsize=4096)  # few sizes occur, and each occurs often
def mm(length_nm: int | None) -> Decimal | None:
    """Return whole nanometres as a length in mm; None stays None."""
    return None if length_nm is None else from_nm(length_nm)
