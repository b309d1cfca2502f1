"""What one subject can be, as it is sent: an end's value (a union told apart by ``mount``) or a shock's size."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.frames import YEARS
from boltspan.domain.value_sizes import BOLT_RANGE, BORE_RANGE, EYE_TO_EYE_RANGE, STROKE_RANGE, WIDTH_RANGE
from boltspan.http.schemas.fields import Choice, Closed, Flag, Length, OneOf, Whole, by_word


def bolt(**options: Any) -> Length:
    """Return the field of a bolt's diameter."""
    return Length(over=BOLT_RANGE[0], most=BOLT_RANGE[1], **_says(options, "Outer diameter of the frame's bolt."))


def width(**options: Any) -> Length:
    """Return the field of a hardware's width."""
    text = "Over the outsides of both spacers: what goes between the tabs."
    return Length(over=WIDTH_RANGE[0], most=WIDTH_RANGE[1], **_says(options, text))


def bore(**options: Any) -> Length:
    """Return the field of an eyelet's bore."""
    text = "Hole of an eyelet that takes the frame's own bolt."
    return Length(over=BORE_RANGE[0], most=BORE_RANGE[1], **_says(options, text))


def eye_to_eye(**options: Any) -> Length:
    """Return the field of a shock's length."""
    text = "Between the axes of the shock's two ends."
    return Length(over=EYE_TO_EYE_RANGE[0], most=EYE_TO_EYE_RANGE[1], **_says(options, text))


def stroke(**options: Any) -> Length:
    """Return the field of a shock's stroke."""
    return Length(over=STROKE_RANGE[0], most=STROKE_RANGE[1], **options)


def bearing_compatible() -> Flag:
    """Return the flag of hardware ends that also take a bearing eyelet."""
    return Flag(only=True, metadata={"description": "The frame also takes a bearing eyelet of this size."})


def _says(options: dict[str, Any], text: str) -> dict[str, Any]:
    return {**options, "metadata": {"description": text, **options.get("metadata", {})}}


class HardwareValue(Closed):
    """Bushing, sleeve and spacers; what the source does not state is left out."""

    mount = Choice(["hardware"], required=True)
    bolt_mm = bolt()
    width_mm = width()
    bearing_compatible = bearing_compatible()


class BearingValue(Closed):
    """A bearing in the eyelet."""

    mount = Choice(["bearing"], required=True)
    bolt_mm = bolt()
    width_mm = width()


class TrunnionValue(Closed):
    """The shock is bolted straight into the frame; there is no size to state."""

    mount = Choice(["trunnion"], required=True)


class OpenEyeletValue(Closed):
    """The frame's own bolt goes through the eyelet."""

    mount = Choice(["open_eyelet"], required=True)
    eyelet_bore_mm = bore()
    width_mm = width()


class ProprietaryValue(Closed):
    """Hardware that only the frame's maker sells; no size is stated."""

    mount = Choice(["proprietary"], required=True)


class SizeOnlyValue(Closed):
    """A size without a mount: the source states the size only."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    bolt_mm = bolt()
    width_mm = width()
    bearing_compatible = bearing_compatible()


class ShockSizeValue(Closed):
    """The shock a frame takes. The stroke is shorter than the shock."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    eye_to_eye_mm = eye_to_eye()
    stroke_mm = stroke()


BY_MOUNT: Final[dict[str, type[ma.Schema]]] = {
    "hardware": HardwareValue,
    "bearing": BearingValue,
    "trunnion": TrunnionValue,
    "open_eyelet": OpenEyeletValue,
    "proprietary": ProprietaryValue,
}
END_VALUES: Final[tuple[type[ma.Schema], ...]] = (*BY_MOUNT.values(), SizeOnlyValue)


def end_value_schema(value: Mapping[str, Any]) -> type[ma.Schema]:
    """Return the schema of an end's value by its mount."""
    return by_word("mount", BY_MOUNT)(value) if "mount" in value else SizeOnlyValue


def any_value_schema(value: Mapping[str, Any]) -> type[ma.Schema]:
    """Return the schema of a value whose subject is told elsewhere: a shock's size by its keys, else an end's value."""
    return ShockSizeValue if {"eye_to_eye_mm", "stroke_mm"} & set(value) else end_value_schema(value)


def end_value(**options: Any) -> OneOf:
    """Return the field of an end's value."""
    return OneOf(END_VALUES, end_value_schema, **options)


def any_value(**options: Any) -> OneOf:
    """Return the field of a value of any subject."""
    return OneOf((*END_VALUES, ShockSizeValue), any_value_schema, **options)


class Years(Closed):
    """Model years, both included; without ``to`` while still made."""

    from_ = Whole(least=YEARS[0], most=YEARS[1], required=True, data_key="from", attribute="from")
    to = Whole(least=YEARS[0], most=YEARS[1])
