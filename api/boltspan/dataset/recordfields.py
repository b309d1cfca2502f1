"""The fields of makes, models and frames that a merge looks at one by one, and how each is shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final, TypeVar

from boltspan.dataset.plan import RecordOf
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.jsontext import dumps
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.domain.shock_records import shock_json
from boltspan.domain.shocks import Shock, ShockModel

R = TypeVar("R", Make, Model, Frame, ShockModel, Shock)

FIELDS: Final[Mapping[type, Mapping[str, tuple[str, ...]]]] = MappingProxyType(
    {
        Make: {"name": ("name",), "aliases": ("aliases",)},
        Model: {"name": ("name",), "aliases": ("aliases",)},
        Frame: {
            "model": ("make", "model"),
            "record": ("record", "into", "withdrawn_on", "why"),
            "years": ("years",),
            "qualifier": ("qualifier",),
            "ends": ("ends",),
            "same_ends": ("same_ends",),
        },
        ShockModel: {"name": ("name",), "aliases": ("aliases",)},
        Shock: {
            "model": ("make", "model"),
            "record": ("record", "into", "withdrawn_on", "why"),
            "years": ("years",),
            "qualifier": ("qualifier",),
            "sold_with": ("sold_with",),
        },
    }
)
"""By kind of record, the fields that change together; the first name is what a conflict is told under."""
_KEYS: Final = {"model": ("make", "model"), "record": ("record", "into", "withdrawn_on", "why")}


def key_of(record: RecordOf) -> str:
    """Return what names the record among all: the id of a frame or shock, ``make/<slug>``, ``model/<make>/<slug>``.

    A shock model's is ``shock_model/<make>/<slug>``.
    """
    if isinstance(record, Frame | Shock):
        return record.id
    if isinstance(record, Make):
        return f"make/{record.slug}"
    return f"{'shock_model' if isinstance(record, ShockModel) else 'model'}/{record.make}/{record.slug}"


def field_of(record: RecordOf, field: str) -> tuple[Any, ...]:
    """Return the values that ``field`` (a name in FIELDS) stands for, to be compared."""
    return tuple(getattr(record, name) for name in FIELDS[type(record)][field])


def with_field(record: R, field: str, other: R) -> R:
    """Return ``record`` with ``field`` as ``other`` has it."""
    return replace(record, **{name: getattr(other, name) for name in FIELDS[type(record)][field]})


def shown_field(record: RecordOf, field: str) -> str:
    """Return the field as the files write it; "absent" when they leave it out."""
    data = _JSON[type(record)](record)
    keys = [key for key in _KEYS.get(field, (field,)) if key in data]
    if not keys:
        return "absent"
    return dumps(data[keys[0]] if len(keys) == 1 else {key: data[key] for key in keys})[:200]


def _frame_fields(frame: Frame) -> dict[str, Any]:
    return {"make": frame.make, "model": frame.model, **frame_json(frame)}


def _shock_fields(shock: Shock) -> dict[str, Any]:
    return {"make": shock.make, "model": shock.model, **shock_json(shock)}


_JSON: Final[dict[type, Callable[[Any], dict[str, Any]]]] = {
    Make: make_json,
    Model: model_json,
    Frame: _frame_fields,
    ShockModel: model_json,
    Shock: _shock_fields,
}
