"""What one subject can be: the value of a frame's end (a tagged union by mount) or its shock size, or of a shock.

A value may be partial, since a source may state only the width, or only the mount. What is not stated is None here
and absent in JSON; nothing stands for "unknown".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.errors import FieldProblem, InvalidInput
from boltspan.domain.lengths import plain, same_size
from boltspan.domain.shock_values import (
    ShockEnd,
    ShockSize,
    ShockSizes,
    ends_agree,
    merged_sizes,
    same_shock_size,
    shock_size_from,
    sizes_agree,
)
from boltspan.domain.value_sizes import BOLT_RANGE, BORE_RANGE, WIDTH_RANGE, size_within

MOUNTS: Final = ("hardware", "bearing", "trunnion", "open_eyelet", "proprietary")
SHOCK_SIZE: Final = "shock_size"

_ALLOWED: Final = {
    "hardware": {"bolt_mm", "width_mm", "bearing_compatible"},
    "bearing": {"bolt_mm", "width_mm"},
    "trunnion": set[str](),
    "open_eyelet": {"eyelet_bore_mm", "width_mm"},
    "proprietary": set[str](),
    None: {"bolt_mm", "width_mm", "bearing_compatible"},
}


@dataclass(frozen=True, slots=True)
class EndValue:
    """What one end of a frame is. ``mount`` None with a size means: the source states the size only."""

    mount: str | None = None
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    eyelet_bore_mm: Decimal | None = None
    bearing_compatible: bool = False

    @property
    def complete(self) -> bool:
        """Whether the value says all that a technician needs to fetch the part."""
        return self.mount is not None and (
            self.mount != "hardware" or (self.bolt_mm is not None and self.width_mm is not None)
        )

    @property
    def label(self) -> str:
        """The size as the trade writes it ("M8 x 22.2"), or the mount's name; what is not stated is said so."""
        if self.mount in ("trunnion", "proprietary"):
            return self.mount
        if self.mount == "open_eyelet":
            numbers = [plain(n) for n in (self.eyelet_bore_mm, self.width_mm) if n is not None]
            return " ".join(["open eyelet", " x ".join(numbers)]).strip()
        if self.bolt_mm is None and self.width_mm is None:
            return (self.mount or "hardware") + ", size not stated"
        bolt = "bolt not stated" if self.bolt_mm is None else bolt_label(self.bolt_mm)
        width = "width not stated" if self.width_mm is None else plain(trade_width(self.width_mm))
        return f"{'bearing ' if self.mount == 'bearing' else ''}{bolt} x {width}"


Value = EndValue | ShockSize | ShockEnd | ShockSizes

INCH_BOLTS: Final = {Decimal("6.35"): "1/4 in", Decimal("7.9375"): "5/16 in", Decimal("9.525"): "3/8 in"}
# 7/8 in is 22.225 and is called 22.2 by the trade (common practice, no source).
_TRADE_WIDTHS: Final = {Decimal("22.225"): Decimal("22.2")}


def bolt_label(bolt_mm: Decimal) -> str:
    """Return the bolt as written: M and the number when whole, the inch fraction for an inch bolt, else digits."""
    return INCH_BOLTS.get(bolt_mm) or (f"M{plain(bolt_mm)}" if bolt_mm == int(bolt_mm) else f"{plain(bolt_mm)} mm")


def trade_width(width_mm: Decimal) -> Decimal:
    """Return the width under the trade's own name (22.2 for 22.225 = 7/8 in); all others unchanged."""
    return _TRADE_WIDTHS.get(width_mm, width_mm)


def value_from(subject: str, data: Mapping[str, Any], pointer: str = "") -> Value:
    """Return the value in ``data`` (its JSON form) for ``subject``: ``shock_size`` or the name of an end.

    Raises InvalidInput with every problem found: an unknown field, a number a mount does not carry, an impossible
    size, or nothing stated at all.
    """
    if subject == SHOCK_SIZE:
        return shock_size_from(data, pointer)
    problems: list[FieldProblem] = []
    mount = data.get("mount")
    if mount is not None and mount not in MOUNTS:
        raise InvalidInput.one(
            f"{pointer}/mount", "unknown_mount", "this is no kind of mount", got=mount, accepted=", ".join(MOUNTS)
        )
    known = {f.name for f in fields(EndValue)} - {"mount"}
    allowed = _ALLOWED[mount]
    for key in data:
        if key != "mount" and key not in allowed:
            detail = f"a {mount} mount carries no {key}" if key in known and mount else f"unknown field {key!r}"
            problems.append(
                FieldProblem(
                    f"{pointer}/{key}",
                    "field_not_taken",
                    detail,
                    str(data[key])[:80],
                    ", ".join(["mount", *sorted(allowed)]),
                )
            )
    sizes = {
        "bolt_mm": size_within(data, "bolt_mm", BOLT_RANGE, pointer, problems),
        "width_mm": size_within(data, "width_mm", WIDTH_RANGE, pointer, problems),
        "eyelet_bore_mm": size_within(data, "eyelet_bore_mm", BORE_RANGE, pointer, problems),
    }
    compatible = data.get("bearing_compatible", False)
    if "bearing_compatible" in data and compatible is not True:
        problems.append(
            FieldProblem(
                f"{pointer}/bearing_compatible",
                "only_true",
                "leave the field out when it is not known or not so",
                str(compatible)[:80],
                "true",
            )
        )
    if not data:
        problems.append(
            FieldProblem(
                pointer, "nothing_stated", "a value states at least one thing", "{}", "mount, bolt_mm, width_mm ..."
            )
        )
    if problems:
        raise InvalidInput(problems)
    return EndValue(mount=mount, bearing_compatible=bool(compatible), **sizes)


def value_json(value: Value, *, labelled: bool = False) -> dict[str, Any]:
    """Return the JSON form: stated fields only, in their fixed order, with ``label`` last when asked for."""
    found: dict[str, Any] = {}
    for field in fields(value):
        item = getattr(value, field.name)
        if isinstance(item, tuple):
            item = [value_json(size) for size in item]
        if item is not None and item is not False:
            found[field.name] = item
    if labelled:
        found["label"] = value.label
    return found


def agree(a: Value, b: Value) -> bool:
    """Return whether both can be true of one subject: nothing stated by both differs.

    Widths and bores within 0.03 mm are one size; what only one states is no difference. A size without a mount goes
    with hardware and bearing only.
    """
    if isinstance(a, ShockSize) and isinstance(b, ShockSize):
        return same_shock_size(a, b)
    if isinstance(a, ShockEnd) and isinstance(b, ShockEnd):
        return ends_agree(a, b)
    if isinstance(a, ShockSizes) and isinstance(b, ShockSizes):
        return sizes_agree(a, b)
    if isinstance(a, EndValue) and isinstance(b, EndValue):
        if a.mount is None or b.mount is None:
            mounts_go = {a.mount, b.mount} <= {None, "hardware", "bearing"}
        else:
            mounts_go = a.mount == b.mount
        return (
            mounts_go
            and _near(a.bolt_mm, b.bolt_mm)
            and _near(a.width_mm, b.width_mm)
            and _near(a.eyelet_bore_mm, b.eyelet_bore_mm)
        )
    return False


def merged(a: Value, b: Value) -> Value:
    """Return one value with all that either states; ``a`` wins where both do. Both must agree."""
    if isinstance(a, ShockSizes) and isinstance(b, ShockSizes):
        return merged_sizes(a, b)
    found = {f.name: getattr(a, f.name) or getattr(b, f.name) for f in fields(a)}
    return type(a)(**found)


def stated(value: Value) -> int:
    """Return how many things the value states; each size of a list is one."""
    if isinstance(value, ShockSizes):
        return len(value.sizes) + value.only
    return len(value_json(value))


def _near(a: Decimal | None, b: Decimal | None) -> bool:
    return a is None or b is None or same_size(a, b)
