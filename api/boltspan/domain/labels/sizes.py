"""Which number of one end is the bolt, which the width, which the eyelet's bore."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from boltspan.domain.labels.canonical import BOLTS, INCH_BOLTS, METRIC_BOLTS
from boltspan.domain.labels.gathered import Gathered, gather
from boltspan.domain.labels.lookalikes import refuse_lookalikes
from boltspan.domain.labels.reading import LabelPart
from boltspan.domain.labels.refusals import LabelRefusalError
from boltspan.domain.labels.tokens import Scan
from boltspan.domain.labels.words import Number, Token

WIDTH_OVER_MM: Final = Decimal(12)
WIDTH_MOST_MM: Final = Decimal(80)
USUAL_WIDTHS_MM: Final = (Decimal(15), Decimal(70))
BUSHING_BORE_MM: Final = Decimal("12.7")
EYELET_BORE_MM: Final = Decimal(15)
EYELET_BORES_MM: Final = frozenset({BUSHING_BORE_MM, EYELET_BORE_MM})
"""Widths and bores of the trade (common practice, no source)."""
BOLT_MISSING_MOST_MM: Final = Decimal(150)
INCH_UNDER: Final = Decimal(3)
"""Two numbers below this without a unit are inches that lost their mark."""
OPEN_BORES_MM: Final = (Decimal(6), Decimal(30))
"""An open eyelet's bore takes the frame's own bolt: from the smallest of the series up (common practice)."""
LARGEST_KNOWN_BORE_MM: Final = Decimal("15.08")

_NO_SIZE: Final = ("trunnion", "proprietary")


def read_part(end: str, tokens: Sequence[Token], scan: Scan) -> LabelPart:
    """Return what ``tokens`` say of the end; warnings go into ``scan.warnings``.

    Raises LabelRefusalError when anything could be read in two ways, is missing, or lies outside the trade's sizes.
    """
    found = gather(tokens)
    mount = _mount(found)
    numbers = found.numbers
    if mount in _NO_SIZE:
        if numbers or found.half_open:
            raise LabelRefusalError("mount_with_size" if numbers else "no_number")
        return LabelPart(end, mount)
    if not numbers:
        if mount == "hardware" or found.half_open:
            raise LabelRefusalError("no_number")
        return LabelPart(end, mount)
    refuse_lookalikes(numbers, found.joins, screw=scan.screw)
    _refuse_loose_numbers(found, scan)
    part = _open_eyelet(end, found) if mount == "open_eyelet" else _hardware(end, mount, found, scan.warnings)
    if found.half_open or found.loose_role:
        raise LabelRefusalError("no_number")
    width = part.width_mm
    if width is not None and not USUAL_WIDTHS_MM[0] <= width <= USUAL_WIDTHS_MM[1]:
        scan.warnings.add("width_unusual")
    if found.bearing_compatible:
        scan.warnings.add("bearing_compatible")
    return part


def _mount(found: Gathered) -> str:
    mounts = found.mounts
    if not mounts:
        if found.none:
            raise LabelRefusalError("none_without_reason")
        return "hardware"
    if len(mounts) > 1 or found.bearing_compatible:
        raise LabelRefusalError("mount_with_size")
    return next(iter(mounts))


def _refuse_loose_numbers(found: Gathered, scan: Scan) -> None:
    """Check what stands between the numbers."""
    numbers, joins, warnings = found.numbers, found.joins, scan.warnings
    if len(numbers) > 3:
        raise LabelRefusalError("third_number_unclear")
    for place in range(1, len(numbers)):
        join = joins[place]
        if join == "x":
            continue
        if join == "-":
            if scan.numbers != 2 or sum(number.mm in BOLTS for number in numbers) != 1:
                raise LabelRefusalError("range_not_single")
            warnings.add("separator_unusual")
        elif join:
            warnings.add("separator_unusual")
        else:
            for near in (place - 1, place):
                if not (numbers[near].carries_unit or found.roles[near]):
                    raise LabelRefusalError("bad_number")
            warnings.add("separator_missing")
    if len(numbers) > 1 and all(number.mm < INCH_UNDER and not number.unit for number in numbers):
        raise LabelRefusalError("unit_missing_inch")


def _hardware(end: str, mount: str, found: Gathered, warnings: set[str]) -> LabelPart:
    place = _bolt(found)
    bolt = found.numbers[place].mm
    others = [number.mm for other, number in enumerate(found.numbers) if other != place]
    if not others:
        raise LabelRefusalError("width_missing")
    bore = None
    if len(others) == 1:
        width = others[0]
        if width == BUSHING_BORE_MM:
            raise LabelRefusalError("width_missing")
        if width == EYELET_BORE_MM:
            raise LabelRefusalError("width_or_bore_unclear")
    else:
        width, bore = _width_and_bore(found, place, mount)
    if not WIDTH_OVER_MM < width <= WIDTH_MOST_MM:
        raise LabelRefusalError("width_out_of_range")
    if bolt in INCH_BOLTS:
        warnings.add("inch_bolt")
    return LabelPart(end, mount, bolt, width, bore, found.bearing_compatible)


def _bolt(found: Gathered) -> int:
    """Return the place of the bolt: first by mark, else the one number that is a bolt's; never by written order."""
    numbers, roles = found.numbers, found.roles
    marked = [place for place, number in enumerate(numbers) if number.mark or roles[place] == "bolt"]
    if marked:
        if not all(_in_series(numbers[place]) for place in marked):
            raise LabelRefusalError("bolt_not_in_series")
        if len(marked) > 1:
            raise LabelRefusalError("two_bolts")
        return marked[0]
    free = [place for place, number in enumerate(numbers) if roles[place] != "width"]
    bolts = [place for place in free if numbers[place].mm in BOLTS]
    if len(bolts) == 1:
        return bolts[0]
    if bolts:
        raise LabelRefusalError("two_bolts")
    if any(numbers[place].mm in EYELET_BORES_MM for place in free):
        raise LabelRefusalError("bolt_is_eyelet_bore")
    if all(EYELET_BORE_MM <= numbers[place].mm <= BOLT_MISSING_MOST_MM for place in free):
        raise LabelRefusalError("bolt_missing")
    raise LabelRefusalError("bolt_not_in_series")


def _in_series(number: Number) -> bool:
    if number.mark == "m":
        return number.mm in METRIC_BOLTS and number.unit != "in"
    return number.mm in BOLTS


def _width_and_bore(found: Gathered, bolt: int, mount: str) -> tuple[Decimal, Decimal]:
    """Return width and eyelet bore of a label of three numbers: one of 12.7 and 15, and another over 15."""
    first, second = (place for place in range(3) if place != bolt)
    if found.numbers[first].mm in EYELET_BORES_MM:
        first, second = second, first
    width, bore = found.numbers[first].mm, found.numbers[second].mm
    slash = "/" in found.joins[1:]
    if slash and "x" in found.joins[1:]:
        raise LabelRefusalError("two_widths_unclear")
    if mount == "hardware" and bore in EYELET_BORES_MM and width > EYELET_BORE_MM and found.roles[second] != "width":
        return width, bore
    raise LabelRefusalError("two_widths_unclear" if slash else "third_number_unclear")


def _open_eyelet(end: str, found: Gathered) -> LabelPart:
    """Return an open eyelet: its numbers are the bore and the width, told apart by mark or where only one way fits."""
    numbers, roles = found.numbers, found.roles
    if len(numbers) > 2:
        raise LabelRefusalError("third_number_unclear")
    bores = [place for place, number in enumerate(numbers) if number.mark or roles[place] == "bolt"]
    widths = [place for place, role in enumerate(roles) if role == "width"]
    if len(bores) > 1 or len(widths) > 1:
        raise LabelRefusalError("width_or_bore_unclear")
    if not bores and not widths:
        bores, widths = _by_value(numbers)
    elif len(numbers) > 1:
        bores, widths = bores or [1 - widths[0]], widths or [1 - bores[0]]
    bore = numbers[bores[0]].mm if bores else None
    width = numbers[widths[0]].mm if widths else None
    if bore is not None and not OPEN_BORES_MM[0] <= bore <= OPEN_BORES_MM[1]:
        raise LabelRefusalError("width_or_bore_unclear")
    if width is not None and not WIDTH_OVER_MM < width <= WIDTH_MOST_MM:
        raise LabelRefusalError("width_out_of_range")
    return LabelPart(end, "open_eyelet", None, width, bore)


def _by_value(numbers: Sequence[Number]) -> tuple[list[int], list[int]]:
    if len(numbers) == 1:
        # No width is 12 mm or less, so such a number is the bore; a larger one may be either.
        if numbers[0].mm > WIDTH_OVER_MM:
            raise LabelRefusalError("width_or_bore_unclear")
        return [0], []
    small, large = (0, 1) if numbers[0].mm < numbers[1].mm else (1, 0)
    if not numbers[small].mm <= LARGEST_KNOWN_BORE_MM < numbers[large].mm:
        raise LabelRefusalError("width_or_bore_unclear")
    return [small], [large]
