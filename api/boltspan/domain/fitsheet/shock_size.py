"""Whether the shock has the length and stroke that the frame takes; both ends hang on it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from boltspan.domain.answers import Assumed
from boltspan.domain.fitsheet.facts import Bench, FrameFacts, Limits
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.swaps import FrameEnd, NewShock, ShockSwapRequest, swap_shock

_ALIKE = Decimal(100)
"""Stands on both sides for a number that cannot be compared, so that it makes no difference."""


@dataclass(frozen=True, slots=True)
class SizeCheck:
    """What comparing came to: ``goes``, ``incompatible``, ``ask_frame_maker``, or ``not_compared``.

    ``goes`` needs both numbers compared, with the frame's or, where that is not known, with the old shock's
    (``compared_with`` ``frame`` or ``old_shock``). ``frame`` and ``shock`` hold what is known of each.
    """

    outcome: str
    frame: ShockSize
    shock: ShockSize
    standing: str
    reasons: tuple[str, ...] = ()
    compared_with: str | None = None
    assumed: tuple[Assumed, ...] = ()

    @property
    def sides(self) -> tuple[ShockSize, ShockSize]:
        """The frame's and the shock's numbers, a number that is missing on one side made alike on both."""
        longs = _pair(self.frame.eye_to_eye_mm, self.shock.eye_to_eye_mm)
        strokes = _pair(self.frame.stroke_mm, self.shock.stroke_mm)
        return ShockSize(longs[0], strokes[0]), ShockSize(longs[1], strokes[1])


def check_size(frame: FrameFacts, bench: Bench) -> SizeCheck:
    """Return how the shock's size goes with the frame's. No shock, or nothing known: not compared.

    Differences up to the tolerances count as equal. Against the old shock only equality is good: whether another size
    is allowed, only the frame's maker can say.
    """
    shock = bench.shock
    size = ShockSize() if shock is None else ShockSize(shock.eye_to_eye_mm, shock.stroke_mm)
    plain = SizeCheck("not_compared", frame.size, size, frame.size_standing)
    action, reasons, assumed = _swap(*plain.sides, bench.limits)
    if action != "none_needed":
        return SizeCheck(action, frame.size, size, frame.size_standing, reasons, "frame", assumed)
    known = _compared(frame.size, size)
    if all(known):
        return SizeCheck("goes", frame.size, size, frame.size_standing, (), "frame", assumed)
    old = bench.old_shock
    if old is None or bench.same_shock:
        return plain
    before = ShockSize(old.eye_to_eye_mm, old.stroke_mm)
    sides = SizeCheck("not_compared", before, size, frame.size_standing).sides
    if _swap(*sides, bench.limits)[0] != "none_needed":
        reasons = ("differs_from_old_shock",)
        return SizeCheck("ask_frame_maker", frame.size, size, frame.size_standing, reasons, "old_shock", assumed)
    both = all(a or b for a, b in zip(known, _compared(before, size), strict=True))
    if both:
        return SizeCheck("goes", frame.size, size, frame.size_standing, (), "old_shock", assumed)
    return plain


def _swap(frame: ShockSize, shock: ShockSize, limits: Limits) -> tuple[str, tuple[str, ...], tuple[Assumed, ...]]:
    """Compare sizes by the rule for swaps, at an end whose mount makes no difference."""
    assert frame.eye_to_eye_mm is not None and frame.stroke_mm is not None
    assert shock.eye_to_eye_mm is not None and shock.stroke_mm is not None
    answer = swap_shock(
        ShockSwapRequest(
            FrameEnd("trunnion", frame.eye_to_eye_mm, frame.stroke_mm),
            NewShock("trunnion", shock.eye_to_eye_mm, shock.stroke_mm),
            stroke_tolerance_mm=limits.stroke_tolerance_mm,
            eye_to_eye_tolerance_mm=limits.eye_to_eye_tolerance_mm,
        )
    )
    return answer.action, answer.reasons, answer.assumed


def _pair(a: Decimal | None, b: Decimal | None) -> tuple[Decimal, Decimal]:
    return (a or b or _ALIKE, b or a or _ALIKE)


def _compared(a: ShockSize, b: ShockSize) -> tuple[bool, bool]:
    return (
        a.eye_to_eye_mm is not None and b.eye_to_eye_mm is not None,
        a.stroke_mm is not None and b.stroke_mm is not None,
    )
