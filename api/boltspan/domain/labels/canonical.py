"""The one fixed spelling of what a label says."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from boltspan.domain.labels.reading import LabelPart

METRIC_BOLTS: Final = {Decimal(6): "M6", Decimal(8): "M8", Decimal(10): "M10"}
INCH_BOLTS: Final = {Decimal("6.35"): "1/4 in", Decimal("7.9375"): "5/16 in", Decimal("9.525"): "3/8 in"}
"""Bolts of the series in mm and their names: M6, M8, M10; 1/4, 5/16 and 3/8 in at 25.4 mm (common practice)."""
BOLTS: Final = METRIC_BOLTS | INCH_BOLTS

_UNNAMED: Final = frozenset({"unnamed", "unnamed_1", "unnamed_2"})
_MOUNTS: Final = {"trunnion": "trunnion", "proprietary": "proprietary", "bearing": "bearing"}


def canonical_label(parts: Sequence[LabelPart]) -> str:
    """Return the fixed spelling of the parts: ``M8 x 30``, ``front: M8 x 20; rear: trunnion``, ``5/16 in x 22.225``.

    It keeps every digit and reads back to the same parts for all parts a reading gives. No parts: the empty text.
    Raises ValueError for a part no label can state: hardware without bolt or width, a bolt outside the series.
    """
    return "; ".join([_named(part) for part in parts])


def digits(value: Decimal) -> str:
    """Return the number as written on a label: every digit, no exponent, no zeros at the end (30.50 is 30.5)."""
    plain = format(value, "f")
    return plain.rstrip("0").rstrip(".") if "." in plain else plain


def _named(part: LabelPart) -> str:
    if part.end in _UNNAMED:
        return _said(part)
    return f"{'both ends' if part.end == 'both' else part.end}: {_said(part)}"


def _said(part: LabelPart) -> str:
    if part.mount == "hardware":
        bore = "" if part.eyelet_bore_mm is None else f" x {digits(part.eyelet_bore_mm)}"
        return f"{_size(part)}{bore}{' bearing compatible' if part.bearing_compatible else ''}"
    if part.mount == "open_eyelet":
        bore = "" if part.eyelet_bore_mm is None else f"ID {digits(part.eyelet_bore_mm)}"
        width = "" if part.width_mm is None else f"{digits(part.width_mm)} wide"
        return f"open eyelet {bore}{' x ' if bore and width else ''}{width}".rstrip()
    if part.mount == "bearing" and not (part.bolt_mm is None and part.width_mm is None):
        return f"bearing {_size(part)}"
    try:
        return _MOUNTS[part.mount]
    except KeyError:
        raise ValueError(f"no label states the mount {part.mount!r}") from None


def _size(part: LabelPart) -> str:
    if part.bolt_mm is None or part.width_mm is None:
        raise ValueError(f"a label of mount {part.mount} states bolt and width; got {part.bolt_mm} and {part.width_mm}")
    try:
        return f"{BOLTS[part.bolt_mm]} x {digits(part.width_mm)}"
    except KeyError:
        raise ValueError(f"a bolt is one of {', '.join(BOLTS.values())}; got {part.bolt_mm} mm") from None
