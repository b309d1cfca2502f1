"""The value of a ruling, whose subject the review case tells: of a frame or of a shock."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.http.schemas.fields import OneOf
from boltspan.http.schemas.shock_values import SHOCK_END_VALUES, ShockSizesValue, shock_value_schema
from boltspan.http.schemas.values import END_VALUES, ShockSizeValue, any_value_schema

_OF_SHOCKS: Final = frozenset({"sizes", "only", "eyelet_width_mm", "eyelet_outer_mm", "bearings"})
_SHOCK_MOUNTS: Final = ("eyelet", "bearing_eyelet")


def _schema(value: Mapping[str, Any]) -> type[ma.Schema]:
    """Return the schema by what only a shock's value has; what fits both, such as a trunnion, is read as a frame's."""
    bore_alone = "mount" not in value and "eyelet_bore_mm" in value
    if _OF_SHOCKS & set(value) or value.get("mount") in _SHOCK_MOUNTS or bore_alone:
        return shock_value_schema(value)
    return any_value_schema(value)


def settled_value(**options: Any) -> OneOf:
    """Return the field of a value of any subject of a frame or shock; the domain knows which it must be."""
    return OneOf((*END_VALUES, ShockSizeValue, *SHOCK_END_VALUES, ShockSizesValue), _schema, **options)
