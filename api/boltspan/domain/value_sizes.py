"""Bounds of the sizes that values state, and the reading of one size within them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.errors import FieldProblem, InvalidInput
from boltspan.domain.lengths import length, plain

# Bounds of what can stand between two tabs. Bolts M6, M8, M10 are usual, 12 and 12.7 occur; a shock's bolt outside
# 5 to 16 has not been heard of. Widths over 12 up to 80 as for labels. All common practice, no source.
BOLT_RANGE: Final = (Decimal(5), Decimal(16))
WIDTH_RANGE: Final = (Decimal(12), Decimal(80))
BORE_RANGE: Final = (Decimal(6), Decimal(30))
EYE_TO_EYE_RANGE: Final = (Decimal(100), Decimal(350))
STROKE_RANGE: Final = (Decimal(20), Decimal(120))
# Of a shock's eyelet: 10 to 26 wide, 18 to 40 over the outside are usual (common practice, no source).
EYELET_WIDTH_RANGE: Final = (Decimal(6), Decimal(60))
EYELET_OUTER_RANGE: Final = (Decimal(10), Decimal(60))


def size_within(
    data: Mapping[str, Any], key: str, bounds: tuple[Decimal, Decimal], pointer: str, problems: list[FieldProblem]
) -> Decimal | None:
    """Return the size (mm) that ``data`` states under ``key``, over the first bound and at most the second.

    None when the key is absent, or when the size does not go; then ``problems`` has got why.
    """
    if key not in data:
        return None
    try:
        size = length(data[key], f"{pointer}/{key}")
    except InvalidInput as e:
        problems.extend(e.problems)
        return None
    lo, hi = bounds
    if not lo < size <= hi:
        problems.append(
            FieldProblem(
                f"{pointer}/{key}",
                "impossible_size",
                "no shock mount has this size",
                plain(size),
                f"over {plain(lo)}, at most {plain(hi)} mm",
            )
        )
        return None
    return size
