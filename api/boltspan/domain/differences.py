"""Why a source says another size than the likeliest: usual slips, as phrases a mechanic would use.

Each is a guess from the numbers alone and is worded as one. All are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.explanation_sides import value_words
from boltspan.domain.lengths import INCH_MM, plain
from boltspan.domain.values import EndValue, bolt_label, trade_width
from boltspan.domain.weighed import same_end, same_width

_WORN: Final = (Decimal("0.1"), Decimal("0.45"))
_FITTED_UNDER: Final = Decimal("0.5")
_OTHER_BOLT_MM: Final = Decimal("0.3")
_TABS: Final = (Decimal(8), Decimal(14))
_EYELETS: Final = (Decimal("12.7"), Decimal(15), Decimal(20))
_INCHES: Final = {
    Decimal("19.05"): "3/4 in", Decimal("22.2"): "7/8 in", Decimal("22.225"): "7/8 in", Decimal("25.4"): "1 in",
    Decimal("28.575"): "1 1/8 in", Decimal("31.75"): "1 1/4 in", Decimal("38.1"): "1 1/2 in",
}  # fmt: skip
_BORES: Final = (Decimal("12.5"), Decimal("15.3"))


@dataclass(frozen=True, slots=True)
class Beside:
    """What else is known: the likeliest value of the frame's other end, and the value of this end in other years."""

    other_end: EndValue | None = None
    other_years: tuple[tuple[str, EndValue], ...] = ()


def why_other(
    said: EndValue, right: EndValue, kind: str, beside: Beside, *, hardware_width: bool = False
) -> str | None:
    """Return a likely reason why a source of ``kind`` says ``said`` where ``right`` is likelier; None for no idea.

    ``hardware_width`` tells that old hardware was measured, which wears. Sizes that are not stated are not compared.
    """
    return mixed_up(said, right, kind, beside) or _another_size(said, right, kind, hardware_width=hardware_width)


def mixed_up(said: EndValue, right: EndValue, kind: str, beside: Beside) -> str | None:
    """Return what else has the value that is said: the other end, or the same end in other years; None for nothing."""
    other = beside.other_end
    if not _is_whole(said):
        return None
    if other is not None and not same_end(right, other) and same_end(said, other):
        return f"{value_words(other)} is what the other end has; the two ends may have been mixed up"
    for years, value in beside.other_years:
        if not same_end(right, value) and same_end(said, value):
            such = "it may have been one of those" if kind in ("measured", "fitted") else "it may speak of that one"
            return f"{value_words(value)} is what the frame of {years} has; {such}"
    return None


def _another_size(said: EndValue, right: EndValue, kind: str, *, hardware_width: bool) -> str | None:
    if (said.mount or "hardware") != right.mount:
        if kind == "measured" and said.mount is None:
            return f"its sizes are those of usual hardware, where {_mount(right.mount)} is likelier"
        return f"it names another kind of mount than {_mount(right.mount)}"
    if right.mount != "hardware":
        return None
    if kind != "measured" and _both_differ(said, right):
        mixed = "shops' charts mix years and models" if kind == "retailer_chart" else None
        return mixed or "both numbers differ; it may be of another bike, another year or the other end"
    bolt = _bolt(said.bolt_mm, right.bolt_mm, kind)
    return bolt or _width(said.width_mm, right.width_mm, kind, hardware_width=hardware_width)


def _both_differ(said: EndValue, right: EndValue) -> bool:
    if said.bolt_mm is None or said.width_mm is None or right.bolt_mm is None or right.width_mm is None:
        return False
    return abs(said.bolt_mm - right.bolt_mm) >= _OTHER_BOLT_MM and abs(said.width_mm - right.width_mm) > _FITTED_UNDER


def _is_whole(value: EndValue) -> bool:
    return value.mount not in (None, "hardware") or value.width_mm is not None


def _mount(mount: str | None) -> str:
    return {"open_eyelet": "open eyelet", "proprietary": "a part of the maker's own"}.get(str(mount), str(mount))


def _bolt(said: Decimal | None, right: Decimal | None, kind: str) -> str | None:
    if said is None or right is None or abs(said - right) < _OTHER_BOLT_MM:
        return None
    if kind == "measured" and said >= _BORES[0] and said <= _BORES[1] and right < said - 2:
        return f"{plain(said)} is the bore of a bushing or an eyelet, not the bolt"
    if kind == "measured" and Decimal("0.7") < right - said < Decimal("2.2"):
        return f"{plain(said)} is what the bottom of the thread of an {bolt_label(right)} measures"
    return None if kind == "measured" else f"a bolt of {plain(said)} may be a slip for {plain(right)}"


def _width(said: Decimal | None, right: Decimal | None, kind: str, *, hardware_width: bool) -> str | None:
    if said is None or right is None or same_width(said, right):
        return None
    right, said = trade_width(right), trade_width(said)
    under = right - said
    if kind == "fitted" and 0 < under <= _FITTED_UNDER:
        return "a slightly smaller size going in proves no more than that it is not larger than the gap"
    if kind == "measured" and hardware_width and _WORN[0] <= under <= _WORN[1]:
        return f"old hardware wears, and {plain(under)} under {plain(right)} is what worn spacers measure"
    if kind == "measured" and _TABS[0] <= -under <= _TABS[1]:
        return f"{plain(-under)} over {plain(right)} is what two tabs add when their outsides are measured"
    if kind == "measured" and under > 4 and any(abs(said - eyelet) <= Decimal("0.15") for eyelet in _EYELETS):
        return f"{plain(said)} is the width of an eyelet without its spacers"
    if kind != "measured":
        return _slip(said, right) or ("shops' charts mix years and models" if kind == "retailer_chart" else None)
    if abs(under) < 1:
        return None
    wrong = ", or the wrong hardware was in it" if hardware_width else ""
    return f"no usual mistake explains it; it may have been another bike{wrong}"


def _slip(said: Decimal, right: Decimal) -> str | None:
    """Return how one number may have become the other on its way into the source."""
    if abs(said / 10 * INCH_MM - right) <= Decimal("0.06"):
        return f"{plain(said / 10)} in, written without its point, is {plain(right)}"
    one, other = plain(trade_width(said)), plain(trade_width(right))
    if sorted(one) == sorted(other):
        return f"{one} is {other} with digits exchanged"
    if said in _INCHES and right in _INCHES:
        return f"{one} is {_INCHES[said]} and {other} is {_INCHES[right]}; fractions are easily misread"
    one_digit = len(one) == len(other) and sum(a != b for a, b in zip(one, other, strict=True)) == 1
    if one_digit and not 1 < abs(said - right) < 5:
        return f"{one} and {other} differ in one digit, as when a number is copied wrongly"
    return None
