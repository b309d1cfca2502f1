"""What one subject of a shock can be, as it is sent: an end (a union told apart by ``mount``) or the sizes made."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.shock_values import BEARINGS, MOST_SIZES
from boltspan.domain.value_sizes import BORE_RANGE, EYELET_OUTER_RANGE, EYELET_WIDTH_RANGE
from boltspan.http.schemas.fields import Choice, Closed, Flag, Items, Length, OneOf, Part, by_word
from boltspan.http.schemas.values import eye_to_eye, stroke


def shock_bore(**options: Any) -> Length:
    """Return the field of the bore of a shock's eyelet."""
    text = {"description": "Hole of the eyelet, which takes the bushing."}
    return Length(over=BORE_RANGE[0], most=BORE_RANGE[1], metadata=text, **options)


def _eyelet_width() -> Length:
    text = {"description": "Length of the eyelet along the bolt."}
    return Length(over=EYELET_WIDTH_RANGE[0], most=EYELET_WIDTH_RANGE[1], metadata=text)


def _eyelet_outer() -> Length:
    text = {"description": "Outside diameter of the eyelet; larger than its bore."}
    return Length(over=EYELET_OUTER_RANGE[0], most=EYELET_OUTER_RANGE[1], metadata=text)


class EyeletValue(Closed):
    """An eyelet that takes a bushing, or the frame's own bolt."""

    mount = Choice(["eyelet", "open_eyelet"], required=True)
    eyelet_bore_mm = shock_bore()
    eyelet_width_mm = _eyelet_width()
    eyelet_outer_mm = _eyelet_outer()


class BearingEyeletValue(Closed):
    """An eyelet with bearings in it."""

    mount = Choice(["bearing_eyelet"], required=True)
    eyelet_bore_mm = shock_bore()
    eyelet_width_mm = _eyelet_width()
    eyelet_outer_mm = _eyelet_outer()
    bearings = Choice(BEARINGS, metadata={"description": "Whether they can be taken out and other hardware fitted."})


class TrunnionEndValue(Closed):
    """Bolted straight into the frame; there is no eyelet at this end."""

    mount = Choice(["trunnion"], required=True)


class EyeletSizeValue(Closed):
    """An eyelet's size without a mount: the source states the size only."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    eyelet_bore_mm = shock_bore()
    eyelet_width_mm = _eyelet_width()
    eyelet_outer_mm = _eyelet_outer()


class WholeShockSize(Closed):
    """One size that a shock is made in. The stroke is shorter than the shock."""

    eye_to_eye_mm = eye_to_eye(required=True)
    stroke_mm = stroke(required=True)


class ShockSizesValue(Closed):
    """The sizes a shock is made in, each once."""

    sizes = Items(Part(WholeShockSize), least=1, most=MOST_SIZES, unique=True, required=True)
    only_ = Flag(only=True, data_key="only", attribute="only", metadata={"description": "The source lists them all."})


_BY_MOUNT: Final[dict[str, type[ma.Schema]]] = {
    "eyelet": EyeletValue,
    "open_eyelet": EyeletValue,
    "bearing_eyelet": BearingEyeletValue,
    "trunnion": TrunnionEndValue,
}
SHOCK_END_VALUES: Final[tuple[type[ma.Schema], ...]] = (
    EyeletValue,
    BearingEyeletValue,
    TrunnionEndValue,
    EyeletSizeValue,
)


def shock_end_schema(value: Mapping[str, Any]) -> type[ma.Schema]:
    """Return the schema of the value of a shock's end by its mount."""
    return by_word("mount", _BY_MOUNT)(value) if "mount" in value else EyeletSizeValue


def shock_value_schema(value: Mapping[str, Any]) -> type[ma.Schema]:
    """Return the schema of a value of a shock: its sizes by their key, else an end's value."""
    return ShockSizesValue if {"sizes", "only"} & set(value) else shock_end_schema(value)


def shock_end_value(**options: Any) -> OneOf:
    """Return the field of the value of a shock's end."""
    return OneOf(SHOCK_END_VALUES, shock_end_schema, **options)


def shock_value(**options: Any) -> OneOf:
    """Return the field of a value of any subject of a shock."""
    return OneOf((*SHOCK_END_VALUES, ShockSizesValue), shock_value_schema, **options)
