"""Which stocked width serves: the same size, or the next slightly smaller one. Never a larger one between the tabs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import MAX_UNDERSIZE_MM, SIDE_PLAY_OVER_MM
from boltspan.domain.bench_cautions import IN_THE_FRAME
from boltspan.domain.lengths import SAME_SIZE_MM, plain
from boltspan.domain.preconditions import require_amount, require_entries, require_length, require_one_of

NEEDS: Final = ("nominal", "reading")


@dataclass(frozen=True, slots=True)
class SizeChoiceRequest:
    """A needed width and the widths in stock, in mm, in any order; doubles count once.

    ``need_is`` says whether ``need_mm`` is a size by name or a reading of the frame's opening, which comes with its
    expanded uncertainty ``uncertainty_mm`` (k = 2). Raises BenchRefusal for anything out of its range.
    """

    need_mm: Decimal
    need_is: str
    stock_mm: tuple[Decimal, ...]
    uncertainty_mm: Decimal = Decimal(0)
    max_undersize_mm: Decimal = MAX_UNDERSIZE_MM
    same_size_tolerance_mm: Decimal = SAME_SIZE_MM

    def __post_init__(self) -> None:
        require_length("need_mm", self.need_mm)
        require_one_of("need_is", self.need_is, NEEDS)
        require_entries("stock_mm", self.stock_mm)
        for place, size in enumerate(self.stock_mm):
            require_length(f"stock_mm/{place}", size)
        require_amount("uncertainty_mm", self.uncertainty_mm)
        require_amount("max_undersize_mm", self.max_undersize_mm)
        require_amount("same_size_tolerance_mm", self.same_size_tolerance_mm)


@dataclass(frozen=True, slots=True)
class SizeChoiceAnswer:
    """The choice and how it came about: ``same_size``, ``size_down``, ``proven`` (a reading), or ``none``.

    ``undersize_mm`` is need less choice, so it is below 0 for a same size of the larger spelling. ``never_mm`` and
    ``try_by_hand_mm`` are ascending; the latter is there for a reading only.
    """

    how: str
    never_mm: tuple[Decimal, ...]
    why: str
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]
    choice_mm: Decimal | None = None
    undersize_mm: Decimal | None = None
    try_by_hand_mm: tuple[Decimal, ...] | None = None


def choose_size(request: SizeChoiceRequest) -> SizeChoiceAnswer:
    """Return the stocked width to fit, or none; and which must never be forced in.

    Nominal need N: the nearest size within ``same_size_tolerance_mm`` (22.2 and 22.225; a tie goes to the smaller),
    else the largest below N by at most ``max_undersize_mm``; every size over N and that tolerance is a never.

    Reading y with uncertainty U: the decision rule of ISO 14253-1 for an upper limit. Proven to go in: s <= y - U; to
    be tried by hand: between; proven not to: s >= y + U. The largest proven size with y - s <= ``max_undersize_mm`` + U
    is chosen. With U = 0 a size equal to the reading is proven.
    """
    stock = sorted(set(request.stock_mm))
    if request.need_is == "reading":
        return _from_reading(request, stock)
    need, same = request.need_mm, request.same_size_tolerance_mm
    never = tuple(size for size in stock if size > need + same)
    alike = [size for size in stock if abs(size - need) <= same]
    if alike:
        choice = min(alike, key=lambda size: (abs(size - need), size))
        why = f"{plain(choice)} is the size needed, {plain(need)}, within {plain(same)}."
        return _answer(request, "same_size", choice, never, why)
    smaller = [size for size in stock if size < need and need - size <= request.max_undersize_mm]
    if smaller:
        why = f"{plain(need)} is not in stock; {plain(smaller[-1])} is the next smaller size."
        return _answer(request, "size_down", smaller[-1], never, why)
    why = (
        f"No size in stock is {plain(need)}, or smaller by at most {plain(request.max_undersize_mm)}. "
        "A larger one must not be used."
    )
    return _answer(request, "none", None, never, why)


def _from_reading(request: SizeChoiceRequest, stock: list[Decimal]) -> SizeChoiceAnswer:
    reading, unsure = request.need_mm, request.uncertainty_mm
    proven = [size for size in stock if size <= reading - unsure]
    by_hand = tuple(size for size in stock if reading - unsure < size < reading + unsure)
    never = tuple(size for size in stock if size > reading - unsure and size >= reading + unsure)
    near = [size for size in proven if reading - size <= request.max_undersize_mm + unsure]
    if near:
        why = f"{plain(near[-1])} goes into an opening read as {plain(reading)} -/+ {plain(unsure)}."
        return _answer(request, "proven", near[-1], never, why, by_hand=by_hand)
    why = f"No size in stock is proven to go into an opening read as {plain(reading)} without being far too small."
    if by_hand:
        why += " What is listed to try may go in by hand; never spread the frame."
    return _answer(request, "none", None, never, why, by_hand=by_hand)


def _answer(
    request: SizeChoiceRequest,
    how: str,
    choice: Decimal | None,
    never: tuple[Decimal, ...],
    why: str,
    *,
    by_hand: tuple[Decimal, ...] | None = None,
) -> SizeChoiceAnswer:
    undersize = None if choice is None else request.need_mm - choice
    assumed = [] if how == "same_size" else [Assumed("max_undersize_mm", request.max_undersize_mm)]
    cautions = list(IN_THE_FRAME)
    if undersize is not None and how != "same_size":
        assumed.append(Assumed("side_play_over_mm", SIDE_PLAY_OVER_MM))
        why += f" It is {plain(undersize)} under."
        if undersize > SIDE_PLAY_OVER_MM:
            why += " Side play is likely."
            cautions.append("side_play_likely")
    return SizeChoiceAnswer(
        how=how,
        never_mm=never,
        why=why,
        assumed=tuple(assumed),
        cautions=tuple(cautions),
        choice_mm=choice,
        undersize_mm=undersize,
        try_by_hand_mm=by_hand,
    )
