"""The numbers of a label: decimals, inch fractions, units; exact and never rounded."""

from __future__ import annotations

import re
from decimal import Context, Decimal
from typing import Final

from boltspan.domain.labels.canonical import digits
from boltspan.domain.labels.refusals import LabelRefusalError
from boltspan.domain.labels.words import Number
from boltspan.domain.lengths import INCH_MM

# a/b is a fraction only if a is odd, b is 2, 4, 8, 16, 32 or 64, and a < b; otherwise it is two numbers.
_PROPER: Final = (
    r"0*(?:1/0*2|[13]/0*4|[1357]/0*8|(?:[13579]|1[135])/0*16"
    r"|(?:[12]?[13579]|31)/0*32|(?:[1-5]?[13579]|6[13])/0*64)(?!\d|[.,]\d)"
)
_UNIT: Final = r'"|(?:(mms?|milli?met(?:er|re)s?)|(cms?|centimet(?:er|re)s?)|inch(?:es)?|ins?)(?![a-wyz])(?:\.(?!\d))?'
NUMBER_PATTERN: Final = (
    rf"(?P<number>(?:([m⌀±])[ \t]*)?(?:(?:(\d+)(?:-|[ \t]+))?({_PROPER})|([.,]*\d+(?:[.,]+\d+)*\.*))"
    rf"(?:[ \t]*({_UNIT}))?)"
)
"""Groups after ``number``: mark, whole part of a mixed fraction, fraction, decimal, unit, millimetres, centimetres."""

_COMMA_DECIMAL: Final = re.compile(r"\d+,\d\d?", re.ASCII).fullmatch
# Exact for every text of at most 200 characters: no product or quotient formed here has more digits.
_EXACT: Final = Context(prec=500)


def number(mark: str, whole: str | None, fraction: str | None, written: str, unit: str) -> Number:
    """Return the number in mm; ``unit`` is "", mm, cm or in, and a fraction without a unit is in inches.

    Either ``fraction`` (with ``whole`` before it when mixed) or ``written`` is given, as cut by NUMBER_PATTERN.
    25.4 mm an inch, exactly (international inch). Raises LabelRefusalError: bad_number, comma_unclear,
    number_not_positive.
    """
    if fraction is not None:
        unit = unit or "in"
        above, below = map(int, fraction.split("/"))
        value = _EXACT.divide(Decimal(above), Decimal(below))
        if whole is not None:
            value = _EXACT.add(_positive(Decimal(whole)), value)
    elif written.isdigit():
        value = _positive(Decimal(written))
    else:
        value = _positive(Decimal(_with_point(written)))
    if unit == "in":
        value = Decimal(digits(_EXACT.multiply(value, INCH_MM)))
    elif unit == "cm":
        value = Decimal(digits(_EXACT.multiply(value, Decimal(10))))
    elif fraction is not None:
        value = Decimal(digits(value))
    return Number(value, unit, mark)


def _positive(value: Decimal) -> Decimal:
    if not value:
        raise LabelRefusalError("number_not_positive")
    return value


def _with_point(written: str) -> str:
    """Return the digits with one decimal point inside and without zeros at the end."""
    if "," in written:
        if not _COMMA_DECIMAL(written):
            points = written.count(",") + written.count(".")
            raise LabelRefusalError("comma_unclear" if points == 1 else "bad_number")
        written = written.replace(",", ".")
    if written.count(".") > 1:
        raise LabelRefusalError("bad_number")
    return written.rstrip("0").rstrip(".") or "0"
