"""What one subject of a shock can be: an end (a tagged union by mount), or the sizes a shock is made in.

Also the shock size of a frame, which is one such size. As with all values, what is not stated is None here and absent
in JSON.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.errors import FieldProblem, InvalidInput
from boltspan.domain.lengths import plain, same_size
from boltspan.domain.value_sizes import (
    BORE_RANGE,
    EYE_TO_EYE_RANGE,
    EYELET_OUTER_RANGE,
    EYELET_WIDTH_RANGE,
    STROKE_RANGE,
    size_within,
)

SIZES: Final = "sizes"
SHOCK_MOUNTS: Final = ("eyelet", "trunnion", "bearing_eyelet", "open_eyelet")
BEARINGS: Final = ("swappable", "fixed")
"""Of a bearing eyelet: its bearings can be taken out and other hardware fitted, or they cannot."""
MOST_SIZES: Final = 60

_EYELET: Final = ("eyelet_bore_mm", "eyelet_width_mm", "eyelet_outer_mm")
_ALLOWED: Final = {
    "eyelet": _EYELET,
    "trunnion": (),
    "bearing_eyelet": (*_EYELET, "bearings"),
    "open_eyelet": _EYELET,
    None: _EYELET,
}


@dataclass(frozen=True, slots=True)
class ShockSize:
    """A shock's size: eye-to-eye length and stroke in mm; either may be missing in a claim about a frame."""

    eye_to_eye_mm: Decimal | None = None
    stroke_mm: Decimal | None = None

    @property
    def complete(self) -> bool:
        """Whether both numbers are stated."""
        return self.eye_to_eye_mm is not None and self.stroke_mm is not None

    @property
    def label(self) -> str:
        """Eye-to-eye by stroke as written on a shock ("210 x 55")."""
        return " x ".join("?" if n is None else plain(n) for n in (self.eye_to_eye_mm, self.stroke_mm))


@dataclass(frozen=True, slots=True)
class ShockEnd:
    """What one end of a shock is: its mount, one of SHOCK_MOUNTS, and its eyelet in mm.

    ``mount`` None with a size means: the source states the eyelet's size only. ``bearings`` is one of BEARINGS.
    """

    mount: str | None = None
    eyelet_bore_mm: Decimal | None = None
    eyelet_width_mm: Decimal | None = None
    eyelet_outer_mm: Decimal | None = None
    bearings: str | None = None

    @property
    def complete(self) -> bool:
        """Whether hardware can be chosen by it: an eyelet needs its bore."""
        return self.mount is not None and (self.mount == "trunnion" or self.eyelet_bore_mm is not None)

    @property
    def label(self) -> str:
        """The end in words ("eyelet, bore 15, width 22"); what is not stated is left out."""
        named = (("bore", self.eyelet_bore_mm), ("width", self.eyelet_width_mm), ("outer", self.eyelet_outer_mm))
        parts = [(self.mount or "eyelet").replace("_", " ")]
        parts += [f"{name} {plain(size)}" for name, size in named if size is not None]
        return ", ".join(parts + ([f"bearings {self.bearings}"] if self.bearings else []))


@dataclass(frozen=True, slots=True)
class ShockSizes:
    """The sizes a shock is made in, ascending. ``only``: the source lists them all, there is no other."""

    sizes: tuple[ShockSize, ...]
    only: bool = False

    @property
    def complete(self) -> bool:
        """Whether every size has both numbers, which is so."""
        return True

    @property
    def label(self) -> str:
        """The sizes as written ("210 x 50, 210 x 55")."""
        return ", ".join(size.label for size in self.sizes)

    def holds(self, size: ShockSize) -> bool:
        """Return whether ``size`` is one of these."""
        return any(same_shock_size(size, own) for own in self.sizes)


def same_shock_size(a: ShockSize, b: ShockSize) -> bool:
    """Return whether nothing that both state differs by more than 0.03 mm."""
    pairs = ((a.eye_to_eye_mm, b.eye_to_eye_mm), (a.stroke_mm, b.stroke_mm))
    return all(x is None or y is None or same_size(x, y) for x, y in pairs)


def ends_agree(a: ShockEnd, b: ShockEnd) -> bool:
    """Return whether both can be true of one end. An eyelet's size without a mount goes with all but a trunnion."""
    mounts = {a.mount, b.mount}
    mounts_go = len(mounts) == 1 or (None in mounts and "trunnion" not in mounts)
    near = ((getattr(a, key), getattr(b, key)) for key in _EYELET)
    bearings_go = a.bearings is None or b.bearings is None or a.bearings == b.bearings
    return mounts_go and bearings_go and all(x is None or y is None or same_size(x, y) for x, y in near)


def sizes_agree(a: ShockSizes, b: ShockSizes) -> bool:
    """Return whether both lists can be true: a list that says it is whole holds all that the other one names."""
    return not (
        (a.only and not all(a.holds(size) for size in b.sizes))
        or (b.only and not all(b.holds(size) for size in a.sizes))
    )


def merged_sizes(a: ShockSizes, b: ShockSizes) -> ShockSizes:
    """Return one list with the sizes of both; it is whole when either is."""
    return ShockSizes(_ascending([*a.sizes, *(s for s in b.sizes if not a.holds(s))]), a.only or b.only)


def _ascending(sizes: Sequence[ShockSize]) -> tuple[ShockSize, ...]:
    return tuple(sorted(sizes, key=lambda s: (s.eye_to_eye_mm or 0, s.stroke_mm or 0)))


def shock_end_from(data: Mapping[str, Any], pointer: str = "") -> ShockEnd:
    """Return the end of a shock in ``data`` (keys mount, eyelet_bore_mm, eyelet_width_mm, eyelet_outer_mm, bearings).

    Raises InvalidInput with every problem found: an unknown field, one that the mount does not carry, an impossible
    size, an eyelet's outside that is no larger than its bore, or nothing stated at all.
    """
    mount = data.get("mount")
    if mount is not None and mount not in SHOCK_MOUNTS:
        accepted = ", ".join(SHOCK_MOUNTS)
        raise InvalidInput.one(
            f"{pointer}/mount", "unknown_mount", "no end of a shock is mounted so", got=mount, accepted=accepted
        )
    allowed = ("mount", *_ALLOWED[mount])
    known = {field.name for field in fields(ShockEnd)}
    problems = [
        FieldProblem(
            f"{pointer}/{key}",
            "field_not_taken",
            f"a {mount or 'size without a mount'} carries no {key}" if key in known else f"unknown field {key!r}",
            str(data[key])[:80],
            ", ".join(allowed),
        )
        for key in data
        if key not in allowed
    ]
    bore = size_within(data, "eyelet_bore_mm", BORE_RANGE, pointer, problems)
    width = size_within(data, "eyelet_width_mm", EYELET_WIDTH_RANGE, pointer, problems)
    outer = size_within(data, "eyelet_outer_mm", EYELET_OUTER_RANGE, pointer, problems)
    if bore is not None and outer is not None and outer <= bore:
        detail = "the eyelet's outside is no larger than its bore"
        problems.append(
            FieldProblem(f"{pointer}/eyelet_outer_mm", "outer_within_bore", detail, plain(outer), f"over {plain(bore)}")
        )
    bearings = data.get("bearings")
    if "bearings" in allowed and bearings is not None and bearings not in BEARINGS:
        detail, accepted = "bearings can be swapped or not", ", ".join(BEARINGS)
        problems.append(FieldProblem(f"{pointer}/bearings", "unknown_bearings", detail, str(bearings)[:80], accepted))
    if not data:
        detail = "a value states at least one thing"
        problems.append(FieldProblem(pointer, "nothing_stated", detail, "{}", "mount, eyelet_bore_mm ..."))
    if problems:
        raise InvalidInput(problems)
    return ShockEnd(mount, bore, width, outer, bearings)


def shock_size_from(data: Mapping[str, Any], pointer: str = "") -> ShockSize:
    """Return the shock size in ``data`` (keys eye_to_eye_mm, stroke_mm), at least one of them stated.

    Raises InvalidInput with every problem found, a stroke that is as long as the shock included.
    """
    problems = [
        FieldProblem(
            f"{pointer}/{key}",
            "field_not_taken",
            f"unknown field {key!r} in a shock size",
            str(data[key])[:80],
            "eye_to_eye_mm, stroke_mm",
        )
        for key in data
        if key not in ("eye_to_eye_mm", "stroke_mm")
    ]
    long = size_within(data, "eye_to_eye_mm", EYE_TO_EYE_RANGE, pointer, problems)
    stroke = size_within(data, "stroke_mm", STROKE_RANGE, pointer, problems)
    if long is not None and stroke is not None and stroke >= long:
        detail = "the stroke is as long as the shock or longer"
        problems.append(
            FieldProblem(
                f"{pointer}/stroke_mm", "stroke_longer_than_shock", detail, plain(stroke), f"under {plain(long)}"
            )
        )
    if not data:
        detail = "a shock size states at least one number"
        problems.append(FieldProblem(pointer, "nothing_stated", detail, "{}", "eye_to_eye_mm, stroke_mm"))
    if problems:
        raise InvalidInput(problems)
    return ShockSize(long, stroke)


def shock_sizes_from(data: Mapping[str, Any], pointer: str = "") -> ShockSizes:
    """Return the sizes in ``data`` (keys sizes, a list of both numbers each, and only), ascending, each once.

    Raises InvalidInput with every problem found: no size, over MOST_SIZES, half a size, one named twice.
    """
    problems = [
        FieldProblem(
            f"{pointer}/{key}", "field_not_taken", f"unknown field {key!r}", str(data[key])[:80], "sizes, only"
        )
        for key in data
        if key not in ("sizes", "only")
    ]
    given = data.get("sizes", ())
    if not 1 <= len(given) <= MOST_SIZES:
        detail = "sizes are missing or too many"
        problems.append(
            FieldProblem(f"{pointer}/sizes", "bad_count", detail, str(len(given)), f"1 to {MOST_SIZES} sizes")
        )
    found: list[ShockSize] = []
    for place, item in enumerate(given):
        at = f"{pointer}/sizes/{place}"
        try:
            size = shock_size_from(item, at)
        except InvalidInput as e:
            problems.extend(e.problems)
            continue
        if not size.complete:
            detail = "a shock's own size has both numbers"
            problems.append(FieldProblem(at, "half_a_size", detail, size.label, "eye_to_eye_mm and stroke_mm"))
        elif ShockSizes(tuple(found)).holds(size):
            problems.append(FieldProblem(at, "named_twice", "a size is named twice", size.label, "each size once"))
        found.append(size)
    if "only" in data and data["only"] is not True:
        detail = "leave the field out when the list may not be whole"
        problems.append(FieldProblem(f"{pointer}/only", "only_true", detail, str(data["only"])[:80], "true"))
    if problems:
        raise InvalidInput(problems)
    return ShockSizes(_ascending(found), "only" in data)
