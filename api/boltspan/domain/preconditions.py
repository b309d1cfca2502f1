"""The ranges every bench request keeps, each stated once. All raise BenchRefusal naming the field.

A length is over 0 and at most 2,000 mm; readings, offsets, tolerances and gaps may be 0; a list has at most 1,000
entries. A storefront may well send 22.099999999999998, which is a fine length; only a number with more decimal places
than any binary float has is refused, since writing it out could fill an answer with a million digits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from boltspan.domain.lengths import MOST_MM
from boltspan.domain.refusals import BenchRefusal

MOST_ENTRIES: Final = 1000
MOST_PLACES: Final = 400
"""The smallest binary float, 5e-324 with 17 digits, has fewer decimal places than this (IEEE 754 binary64)."""


def require_length(field: str, value: Decimal | None) -> None:
    """Refuse a length that is not over 0 and at most 2,000 mm; None (not given) passes."""
    if value is not None and not (_written_out(value) and 0 < value <= MOST_MM):
        raise BenchRefusal("out_of_range", field, value, f"over 0, at most {MOST_MM} mm")


def require_amount(field: str, value: Decimal | None) -> None:
    """Refuse a reading, offset, tolerance or gap below 0 or over 2,000 mm; None (not given) passes."""
    if value is not None and not (_written_out(value) and 0 <= value <= MOST_MM):
        raise BenchRefusal("out_of_range", field, value, f"0 or more, at most {MOST_MM} mm")


def require_within(field: str, value: Decimal | float, least: float, most: float, *, open_below: bool = False) -> None:
    """Refuse a number outside [least, most]; with ``open_below`` the lower bound itself is refused too."""
    fits = math.isfinite(value) and least <= value <= most and not (open_below and value == least)
    if not fits:
        start = "over" if open_below else "from"
        raise BenchRefusal("out_of_range", field, value, f"{start} {least:g}, up to {most:g}")


def require_one_of(field: str, value: str, accepted: Sequence[str]) -> None:
    """Refuse a word that is not one of ``accepted``."""
    if value not in accepted:
        raise BenchRefusal("not_one_of", field, value, ", ".join(accepted))


def require_entries(field: str, values: Sequence[object], least: int = 0, most: int = MOST_ENTRIES) -> None:
    """Refuse a list with fewer than ``least`` or more than ``most`` entries."""
    if not least <= len(values) <= most:
        raise BenchRefusal("wrong_number_of_entries", field, f"{len(values)} entries", f"{least} to {most} entries")


def require_given(field: str, value: object, accepted: str) -> None:
    """Refuse a field left out although this kind of request needs it; ``accepted`` says what it holds."""
    if value is None:
        raise BenchRefusal("missing", field, "nothing", accepted)


def _written_out(value: Decimal) -> bool:
    """Whether the number is finite and its decimal places can all be shown."""
    exponent = value.as_tuple().exponent
    return isinstance(exponent, int) and exponent >= -MOST_PLACES
