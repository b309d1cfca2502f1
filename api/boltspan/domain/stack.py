"""What stands between the tabs: eyelet and two spacers, or a pin of the full width; and whether it fits the opening.

W hardware width, E eyelet width, o shift of the eyelet to the right, t tolerances (plus or minus), G the opening.
Worst case adds all tolerances; the root of the sum of squares (RSS) speaks of lots. The workshop holds one part, so
RSS informs and the worst case decides.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.bench_cautions import IN_THE_FRAME
from boltspan.domain.lengths import PLACES
from boltspan.domain.preconditions import require_amount, require_length, require_one_of
from boltspan.domain.refusals import BenchRefusal

BUILDS: Final = ("two_spacers", "full_width_pin")

Range = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class StackRequest:
    """One build at one end, in mm. Tolerances are plus or minus, but for the pin, whose two limits may differ.

    Raises BenchRefusal for a number out of range and for the three builds that cannot be: ``width_below_eyelet``,
    ``width_equals_eyelet_no_spacer`` (two_spacers only), ``shift_exceeds_spacer``.
    """

    build: str
    width_mm: Decimal
    eyelet_width_mm: Decimal
    eyelet_tolerance_mm: Decimal | None = None
    spacer_tolerance_mm: Decimal | None = None
    pin_minus_mm: Decimal | None = None
    pin_plus_mm: Decimal | None = None
    eyelet_shift_right_mm: Decimal | None = None
    gap_mm: Decimal | None = None
    gap_tolerance_mm: Decimal | None = None

    def __post_init__(self) -> None:
        require_one_of("build", self.build, BUILDS)
        require_length("width_mm", self.width_mm)
        require_length("eyelet_width_mm", self.eyelet_width_mm)
        for name in (
            "eyelet_tolerance_mm", "spacer_tolerance_mm", "pin_minus_mm", "pin_plus_mm", "eyelet_shift_right_mm",
            "gap_mm", "gap_tolerance_mm",
        ):  # fmt: skip
            require_amount(name, getattr(self, name))
        if self.width_mm < self.eyelet_width_mm:
            raise BenchRefusal("width_below_eyelet", "width_mm", self.width_mm, f"at least {self.eyelet_width_mm} mm")
        if self.build == "two_spacers" and self.width_mm == self.eyelet_width_mm:
            accepted = "a width over the eyelet's, or a full_width_pin"
            raise BenchRefusal("width_equals_eyelet_no_spacer", "width_mm", self.width_mm, accepted)
        if (self.eyelet_shift_right_mm or 0) > self.side_mm:
            accepted = f"at most {self.side_mm} mm, the room on one side"
            raise BenchRefusal("shift_exceeds_spacer", "eyelet_shift_right_mm", self.eyelet_shift_right_mm, accepted)

    @property
    def side_mm(self) -> Decimal:
        """Room on each side of a centred eyelet, (W - E) / 2."""
        return (self.width_mm - self.eyelet_width_mm) / 2


@dataclass(frozen=True, slots=True)
class StackAnswer:
    """Lengths in mm; what cannot be said from what was given is absent. ``fits`` is by the worst case alone.

    ``proven``: nowhere below 0 (0 itself is proven); ``never``: everywhere below 0; ``not_proven``: in between.
    """

    total_mm: Decimal
    cautions: tuple[str, ...] = IN_THE_FRAME
    spacer_each_mm: Decimal | None = None
    spacer_left_mm: Decimal | None = None
    spacer_right_mm: Decimal | None = None
    sleeve_length_mm: Decimal | None = None
    total_tolerance_worst_mm: Decimal | None = None
    total_tolerance_rss_mm: Decimal | None = None
    clearance_nominal_mm: Decimal | None = None
    clearance_worst_mm: Range | None = None
    clearance_rss_mm: Range | None = None
    fits: str | None = None


def stack_up(request: StackRequest) -> StackAnswer:
    """Return spacers, total and clearance of one build.

    Spacers: (W - E)/2 each, or (W - E)/2 + o on the left and - o on the right. Clearance of two_spacers, worst case:
    (G - W) -/+ (t_E + 2 t_S + t_G), RSS: -/+ sqrt(t_E^2 + 2 t_S^2 + t_G^2). Of a full_width_pin only the pin's own
    limits count: (G - t_G) - (W + plus) to (G + t_G) - (W - minus). Sums of tolerances: common practice; checked
    against published examples. A pin as wide as the eyelet has spacers of 0.
    """
    shift = request.eyelet_shift_right_mm
    worst = _clearance_worst(request)
    two_spacers = request.build == "two_spacers"
    tolerances = _spacer_stack_tolerances(request) if two_spacers else None
    return StackAnswer(
        total_mm=request.width_mm,
        spacer_each_mm=request.side_mm if shift is None else None,
        spacer_left_mm=None if shift is None else request.side_mm + shift,
        spacer_right_mm=None if shift is None else request.side_mm - shift,
        sleeve_length_mm=None if two_spacers else request.width_mm,
        total_tolerance_worst_mm=None if tolerances is None else worst_case(tolerances),
        total_tolerance_rss_mm=None if tolerances is None else root_sum_of_squares(tolerances),
        clearance_nominal_mm=None if request.gap_mm is None else request.gap_mm - request.width_mm,
        clearance_worst_mm=worst,
        clearance_rss_mm=_clearance_rss(request, tolerances),
        fits=None if worst is None else _fits(worst),
    )


def worst_case(tolerances_mm: Iterable[Decimal]) -> Decimal:
    """Return the tolerance of a chain when all its parts are at their limits: the plain sum; 0 for none."""
    return sum(tolerances_mm, Decimal(0))


def root_sum_of_squares(tolerances_mm: Iterable[Decimal]) -> Decimal:
    """Return the tolerance of a chain of independent parts, sqrt(sum t^2), to six places; 0 for none."""
    squares = sum((tolerance * tolerance for tolerance in tolerances_mm), Decimal(0))
    return round(squares.sqrt(), PLACES)


def _spacer_stack_tolerances(request: StackRequest) -> tuple[Decimal, ...] | None:
    eyelet, spacer = request.eyelet_tolerance_mm, request.spacer_tolerance_mm
    return None if eyelet is None or spacer is None else (eyelet, spacer, spacer)


def _clearance_worst(request: StackRequest) -> Range | None:
    gap, gap_tolerance = request.gap_mm, request.gap_tolerance_mm
    limits = _width_limits(request)
    if gap is None or gap_tolerance is None or limits is None:
        return None
    smallest, largest = limits
    return gap - gap_tolerance - largest, gap + gap_tolerance - smallest


def _width_limits(request: StackRequest) -> Range | None:
    """Smallest and largest width of the build, all tolerances at their limits."""
    if request.build == "two_spacers":
        tolerances = _spacer_stack_tolerances(request)
        total = None if tolerances is None else worst_case(tolerances)
        return None if total is None else (request.width_mm - total, request.width_mm + total)
    minus, plus = request.pin_minus_mm, request.pin_plus_mm
    return None if minus is None or plus is None else (request.width_mm - minus, request.width_mm + plus)


def _clearance_rss(request: StackRequest, tolerances: tuple[Decimal, ...] | None) -> Range | None:
    if request.gap_mm is None or request.gap_tolerance_mm is None or tolerances is None:
        return None
    nominal = request.gap_mm - request.width_mm
    total = root_sum_of_squares((*tolerances, request.gap_tolerance_mm))
    return nominal - total, nominal + total


def _fits(worst: Range) -> str:
    smallest, largest = worst
    if smallest >= 0:
        return "proven"
    return "never" if largest < 0 else "not_proven"
