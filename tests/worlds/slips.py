"""Slips of the pen: a digit mistyped, a mount misnamed, a size left out."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Final

from boltspan.domain.shock_values import ShockSize
from boltspan.domain.value_sizes import WIDTH_RANGE
from boltspan.domain.values import MOUNTS, EndValue, Value
from tests.worlds.chances import Chances
from tests.worlds.sizes import BOLTS

_OFF_BY: Final = tuple(map(Decimal, ("10", "-10", "1", "-1", "0.2", "-0.2", "3", "-3", "0.5", "2")))
_SLIPPED_BOLT: Final = 0.2


def writes_a_size(value: Value) -> bool:
    """Return whether the value has a number that can be mistyped here."""
    return isinstance(value, ShockSize) or value.bolt_mm is not None or value.width_mm is not None


def with_digit_slip(chances: Chances, value: Value) -> Value:
    """Return the value with one number mistyped into another possible one."""
    if isinstance(value, ShockSize):
        off = Decimal(chances.one_of((5, -5, 10, -10)))
        if value.stroke_mm is not None and (value.eye_to_eye_mm is None or chances.happens(0.5)):
            return replace(value, stroke_mm=value.stroke_mm + off)
        assert value.eye_to_eye_mm is not None
        return replace(value, eye_to_eye_mm=value.eye_to_eye_mm + off)
    if value.bolt_mm is not None and (value.width_mm is None or chances.happens(_SLIPPED_BOLT)):
        return replace(value, bolt_mm=chances.one_of([bolt for bolt in BOLTS if bolt != value.bolt_mm]))
    assert value.width_mm is not None
    low, high = WIDTH_RANGE
    possible = [value.width_mm + off for off in _OFF_BY if low < value.width_mm + off <= high]
    return replace(value, width_mm=chances.one_of(possible))


def with_wrong_mount(chances: Chances, value: EndValue) -> EndValue:
    """Return the value under another mount's name; sizes stay only where that mount has them."""
    mount = chances.one_of([m for m in MOUNTS if m != value.mount])
    if mount == "bearing" and value.mount == "hardware":
        return EndValue(mount, value.bolt_mm, value.width_mm)
    return EndValue(mount)


def left_partial(chances: Chances, value: Value) -> Value:
    """Return the value as a document tells it that leaves something out; unchanged when there is nothing to spare."""
    if isinstance(value, ShockSize):
        return replace(value, stroke_mm=None)
    if value.bolt_mm is None or value.width_mm is None:
        return value
    if chances.happens(0.5):
        return replace(value, bolt_mm=None, bearing_compatible=False)
    return EndValue(None, value.bolt_mm, value.width_mm)
