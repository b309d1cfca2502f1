"""Labels of other things that look like a size of mounting hardware."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from boltspan.domain.labels.refusals import LabelRefusalError
from boltspan.domain.labels.words import Number

PITCHES_MM: Final = frozenset(map(Decimal, ("0.75", "1", "1.25", "1.5")))
"""Pitches of M6, M8 and M10 threads (ISO 261, from memory)."""
PROPERTY_CLASSES: Final = frozenset(map(Decimal, ("8.8", "10.9", "12.9")))
"""Strength of a steel bolt as stamped on its head (ISO 898-1, from memory)."""
INCH_THREADS: Final = frozenset(
    (Decimal(bolt), Decimal(threads))
    for bolt, threads in (
        ("6.35", 20), ("6.35", 28), ("7.9375", 18), ("7.9375", 24), ("9.525", 16), ("9.525", 24),
    )
)  # fmt: skip
"""1/4-20, 1/4-28, 5/16-18, 5/16-24, 3/8-16, 3/8-24: diameter in mm, threads an inch (ASME B1.1, from memory)."""
AXLES_MM: Final = frozenset(
    (Decimal(axle), Decimal(spacing))
    for axle, spacing in ((12, 142), (12, 148), (12, 157), (15, 100), (15, 110), (20, 110))
)
"""Wheel axles by diameter and spacing (from memory)."""
SHOCK_LENGTH_FROM_MM: Final = Decimal(120)
SHOCK_STROKE_MM: Final = (Decimal(25), Decimal(90))
SHOCK_LENGTH_IN: Final = (Decimal("5.4"), Decimal("10.6"))
SHOCK_STROKE_IN: Final = (Decimal("1.2"), Decimal("3.6"))
"""What eye-to-eye length and stroke run to, in mm and in inches (common practice, no source)."""


def refuse_lookalikes(numbers: Sequence[Number], joins: Sequence[str], *, screw: bool) -> None:
    """Raise LabelRefusalError for a screw's designation, a wheel axle's size or a shock's size; else do nothing.

    ``joins[i]`` is what stands before ``numbers[i]``; ``screw`` says whether the text speaks of a screw. A pitch goes
    before a shock's size in inches.
    """
    if len(numbers) < 2:
        return
    if screw or _is_thread(numbers, joins) or _has_property_class(numbers):
        raise LabelRefusalError("screw_designation")
    if len(numbers) > 2:
        return
    low, high = sorted(numbers)
    if (low.mm, high.mm) in AXLES_MM:
        raise LabelRefusalError("axle_spacing")
    if high.mm >= SHOCK_LENGTH_FROM_MM and SHOCK_STROKE_MM[0] <= low.mm <= SHOCK_STROKE_MM[1]:
        raise LabelRefusalError("shock_size")
    inches = SHOCK_STROKE_IN[0] <= low.mm <= SHOCK_STROKE_IN[1] and SHOCK_LENGTH_IN[0] <= high.mm <= SHOCK_LENGTH_IN[1]
    if inches and not low.unit and not high.unit:
        raise LabelRefusalError("shock_size")


def _is_thread(numbers: Sequence[Number], joins: Sequence[str]) -> bool:
    # A pitch written in inches is no such number of millimetres: none of them is a terminating decimal of an inch.
    if any(number.mark == "m" for number in numbers) and any(
        number.mm in PITCHES_MM and number.mark != "m" for number in numbers
    ):
        return True
    bolt, threads = numbers[0], numbers[1]
    return joins[1] == "-" and bolt.unit == "in" and not threads.unit and (bolt.mm, threads.mm) in INCH_THREADS


def _has_property_class(numbers: Sequence[Number]) -> bool:
    """Whether a strength stands beside a full size."""
    return len(numbers) > 2 and any(number.mm in PROPERTY_CLASSES and not number.carries_unit for number in numbers)
