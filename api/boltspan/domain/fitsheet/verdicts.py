"""What to do at one end: buy, move, keep, nothing, ask, not at all, or no answer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import EYELET_BORE_TOLERANCE_MM
from boltspan.domain.fitsheet.facts import Limits, OldPart
from boltspan.domain.fitsheet.needs import Need
from boltspan.domain.fitsheet.shock_size import SizeCheck
from boltspan.domain.hardware_sizes import HardwareSizes, produced_widths
from boltspan.domain.lengths import SAME_SIZE_MM, same_size
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.sizes import SizeChoiceAnswer, SizeChoiceRequest, choose_size
from boltspan.domain.swaps import FrameEnd, NewShock, OldHardware, ShockSwapAnswer, ShockSwapRequest, swap_shock
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM

FITTED: Final = ("buy", "move", "keep")
"""Verdicts with hardware in the end."""
GOES_IN: Final = (*FITTED, "none_needed")
_EMPTY: Final = ("trunnion", "open_eyelet")
_STAND_IN_BORE: Final = Decimal(1)


@dataclass(frozen=True, slots=True)
class EndCase:
    """All that the verdict on one end hangs on. ``shock_end`` is None when the shock, or this end, is not known.

    ``shock_standing`` is how the shock's end stands in its record; ``in_the_box``: its box holds this end's hardware.
    ``hardware_seen``: hardware was in this end, or was measured; ``old_eyelet_mm``: the width of the eyelet it was in.
    """

    need: Need
    size: SizeCheck
    shock_named: bool
    shock_end: ShockEnd | None
    old: OldPart | None = None
    old_bore_mm: Decimal | None = None
    old_eyelet_mm: Decimal | None = None
    same_shock: bool = False
    shock_standing: str | None = None
    in_the_box: bool = False
    hardware_seen: bool = False
    made: tuple[HardwareSizes, ...] = ()
    limits: Limits = Limits()

    @property
    def bore_mm(self) -> Decimal | None:
        """Bore of the eyelet that goes in."""
        return None if self.shock_end is None else self.shock_end.eyelet_bore_mm

    @property
    def eyelet_mm(self) -> Decimal | None:
        """Width of the eyelet that goes in."""
        return None if self.shock_end is None else self.shock_end.eyelet_width_mm

    @property
    def onto_bearing(self) -> bool:
        """Whether the eyelet that goes in keeps its bearing, so that the hardware has no bushing."""
        kept = self.shock_end is not None and self.shock_end.mount == "bearing_eyelet"
        return self.need.mount == "bearing" or (kept and self.need.bearing_compatible)

    @property
    def other_eyelet(self) -> bool | None:
        """Whether the eyelet that goes in is of another width than the old hardware's; None when that is not known."""
        if self.same_shock:
            return False
        if self.old_eyelet_mm is None or self.eyelet_mm is None:
            return None
        return not same_size(self.old_eyelet_mm, self.eyelet_mm)


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict with its reasons and cautions; ``width_mm`` is the size to fetch, or that is moved or kept."""

    verdict: str
    reasons: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    width_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class _Width:
    """The width to fetch: None when no size that is made serves."""

    width_mm: Decimal | None
    reasons: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()


def decide(case: EndCase) -> Verdict:
    """Return the verdict on one end, in the order of the rule for swaps (``domain/swaps.py``).

    What an end or the shock's size makes impossible goes before what is not known: an end that is disputed stays
    marked, and a shock that is too long does not go in whichever source is right.
    """
    need, end = case.need, case.shock_end
    if need.mount == "proprietary":
        return Verdict("ask_frame_maker", ("proprietary_mount",))
    too_different = case.size.reasons if case.size.outcome == "incompatible" else ()
    if need.reasons == ("end_unknown",) and case.in_the_box and not too_different:
        return Verdict("keep", ("hardware_in_the_box", *need.reasons))
    if need.blocked is not None:
        return Verdict("incompatible" if too_different else need.blocked, (*too_different, *need.reasons))
    if need.mount in _EMPTY and case.hardware_seen:
        return Verdict("incompatible" if too_different else "disputed", (*too_different, "hardware_where_none_belongs"))
    if end is None or end.mount is None:
        return _without_shock(case, too_different)
    comes_out = (
        need.mount == "hardware" and not need.bearing_compatible
        and end.mount == "bearing_eyelet" and end.bearings == "swappable"
    )  # fmt: skip
    width = _width(case) if need.mount in ("hardware", "bearing") and need.sized else _Width(need.width_mm)
    swap = _swap(case, replace(end, mount="eyelet", bearings=None) if comes_out else end, width)
    cannot = (*(swap.reasons if swap.action == "incompatible" else ()), *_does_not_go(need, end, width.width_mm))
    if cannot:
        return Verdict("incompatible", (*cannot, *need.reasons), assumed=swap.assumed)
    reasons = (*need.reasons, *(("bearing_comes_out",) if comes_out else ()), *width.reasons)
    found = _found(case, swap, width)
    return replace(found, reasons=(*found.reasons, *reasons), assumed=(*swap.assumed, *width.assumed))


def _without_shock(case: EndCase, too_different: tuple[str, ...]) -> Verdict:
    if too_different:
        return Verdict("incompatible", too_different)
    if case.need.mount in _EMPTY and not case.shock_named:
        return Verdict("none_needed", ("shock_not_named",))
    if case.shock_standing == "disputed":
        return Verdict("disputed", ("shock_end_disputed", *case.need.reasons))
    why = "shock_end_not_known" if case.shock_named else "shock_not_named"
    return Verdict("not_known", (why, *case.need.reasons))


def _found(case: EndCase, swap: ShockSwapAnswer, width: _Width) -> Verdict:
    """Return the verdict when nothing speaks against the shock."""
    if swap.action == "ask_frame_maker":
        return Verdict(swap.action, swap.reasons)
    if case.size.outcome == "ask_frame_maker":
        return Verdict("ask_frame_maker", case.size.reasons)
    if swap.action == "none_needed":
        return Verdict("none_needed")
    if case.bore_mm is None:
        return Verdict("not_known", ("eyelet_bore_not_known",))
    if width.width_mm is None:
        return Verdict("ask_frame_maker", ("no_size_goes_in",))
    if case.in_the_box:
        return Verdict("keep", ("hardware_in_the_box",), width_mm=width.width_mm)
    if swap.action == "buy":
        return Verdict("buy", _why_not_moved(case), width_mm=width.width_mm)
    assert case.old is not None, "only old hardware is moved or kept"
    if swap.action != "move":
        return Verdict(swap.action, width_mm=case.old.width_mm)
    unsure = ("eyelet_widths_not_compared",) if case.other_eyelet is None else ()
    return Verdict("move", (), (*unsure, "fit_new_bushing_advised", "bushing_not_reused"), width_mm=case.old.width_mm)


def _swap(case: EndCase, end: ShockEnd, width: _Width) -> ShockSwapAnswer:
    """Ask the rule for swaps. A bore that is not known has a stand-in; nothing is then concluded from it."""
    need, (frame, shock) = case.need, case.size.sides
    assert need.mount is not None and end.mount is not None, "looked at before"
    assert frame.eye_to_eye_mm is not None and frame.stroke_mm is not None
    assert shock.eye_to_eye_mm is not None and shock.stroke_mm is not None
    width_mm = need.width_mm or width.width_mm or (None if need.gap is None else need.gap.mean_mm)
    old = case.old
    movable = old is not None and not old.stays_in_old_shock and not case.other_eyelet
    return swap_shock(
        ShockSwapRequest(
            FrameEnd(need.mount, frame.eye_to_eye_mm, frame.stroke_mm, need.bolt_mm, width_mm,
                     need.eyelet_bore_mm, need.bearing_compatible),
            NewShock(end.mount, shock.eye_to_eye_mm, shock.stroke_mm, end.eyelet_bore_mm or _STAND_IN_BORE),
            OldHardware(old.bolt_mm, old.width_mm, case.old_bore_mm, old.worn)
            if movable and old is not None and case.old_bore_mm is not None else None,
            case.same_shock,
            case.limits.stroke_tolerance_mm,
            case.limits.eye_to_eye_tolerance_mm,
        )
    )  # fmt: skip


def _does_not_go(need: Need, end: ShockEnd, width_mm: Decimal | None) -> tuple[str, ...]:
    """Return why the eyelet itself cannot be there, whatever hardware is in it."""
    found = []
    room = need.room_mm if width_mm is None or need.room_mm is None else min(need.room_mm, width_mm)
    if end.eyelet_width_mm is not None and room is not None and end.eyelet_width_mm > room + SAME_SIZE_MM:
        found.append("eyelet_wider_than_opening")
    bore = end.eyelet_bore_mm
    if need.mount in ("hardware", "bearing") and need.bolt_mm is not None and bore is not None and need.bolt_mm >= bore:
        found.append("bolt_too_large_for_eyelet")
    takes = need.eyelet_bore_mm if need.mount == "open_eyelet" else None
    if takes is not None and bore is not None and abs(takes - bore) > EYELET_BORE_TOLERANCE_MM:
        found.append("eyelet_bore_differs")
    return tuple(found)


def _width(case: EndCase) -> _Width:
    """Return the width to fetch: the size by name, if it is made, else the next smaller one that is.

    A smaller one is never narrower than the eyelet.
    """
    need = case.need
    assert need.bolt_mm is not None, "the need is sized"
    made = produced_widths(case.made, need.bolt_mm, case.bore_mm)
    if need.width_mm is not None:
        if not made or any(same_size(need.width_mm, each) for each in made):
            return _Width(need.width_mm)
        made = tuple(each for each in made if not narrower(each, case.eyelet_mm))
        rule = choose_size(SizeChoiceRequest(need.width_mm, "nominal", made, max_undersize_mm=_most(case)))
        return _chosen(rule, ("smaller_size_made",))
    assert need.gap is not None, "the need is sized"
    old = () if case.old is None or case.old.worn else (case.old.width_mm,)
    stock = (*(made or TRADE_WIDTHS_MM), *old)
    rule = choose_size(SizeChoiceRequest(need.gap.mean_mm, "reading", stock, need.gap.uncertainty_mm, _most(case)))
    return _chosen(rule, ())


def narrower(width_mm: Decimal, eyelet_mm: Decimal | None) -> bool:
    """Return whether hardware is narrower than the eyelet, which the tabs would then clamp; no width known: False."""
    return eyelet_mm is not None and width_mm < eyelet_mm - SAME_SIZE_MM


def _chosen(rule: SizeChoiceAnswer, reasons: tuple[str, ...]) -> _Width:
    return _Width(rule.choice_mm, reasons if rule.choice_mm is not None else (), rule.assumed)


def _most(case: EndCase) -> Decimal:
    return case.limits.max_undersize_mm


def _why_not_moved(case: EndCase) -> tuple[str, ...]:
    """Return why the old hardware, where there is some, is not moved."""
    old, need = case.old, case.need
    if old is None:
        return ()
    found = []
    room, width = need.room_mm, need.width_mm
    if room is not None and old.width_mm > room + SAME_SIZE_MM:
        found.append("old_hardware_too_wide")
    elif need.bolt_mm is None or not same_size(old.bolt_mm, need.bolt_mm) or (
        width is not None and not same_size(old.width_mm, width)
    ):  # fmt: skip
        found.append("old_hardware_differs")
    if old.worn:
        found.append("old_hardware_worn")
    if old.stays_in_old_shock:
        found.append("old_hardware_stays")
    if case.old_bore_mm is None:
        found += [] if found else ["old_bore_not_known"]  # of what is not moved anyway the bore is nothing to ask
    elif case.bore_mm is not None and abs(case.old_bore_mm - case.bore_mm) > EYELET_BORE_TOLERANCE_MM:
        found.append("old_bore_differs")
    if case.other_eyelet:
        found.append("old_eyelet_width_differs")
    return tuple(found) or ("old_hardware_differs",)
