"""Lengths as people type them into a form: a point or a comma, with or without a unit."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.lengths import INCH_MM, PLACES, inches, length

_DECIMAL: Final = re.compile(r"([0-9]{1,4}(?:[.,][0-9]{1,6})?|[.,][0-9]{1,6}) ?(mm|in|inch|\"|”|″)?")
_FRACTION: Final = re.compile(r"(?:([0-9]{1,2})[ -])?([0-9]{1,2})/(2|4|8|16|32|64) ?(?:in|inch|\"|”|″)")
_ACCEPTED: Final = "one number in millimetres such as 8.06 or 8,06; inches when they say so, as 0.317 in or 7/8 in"


def typed_length(text: str, pointer: str) -> Decimal:
    """Return the length in mm that ``text`` states, exactly (an inch is 25.4 mm).

    A comma is a decimal sign, since there is one number. Raises InvalidInput naming ``pointer`` for anything else than
    one number, and as ``lengths.length`` does.

    >>> typed_length("8,06", "/bolt")
    Decimal('8.06')
    >>> typed_length('7/8"', "/width")
    Decimal('22.225')
    """
    written = " ".join(text.split()).lower()
    if match := _FRACTION.fullmatch(written):
        return length(inches(int(match[1] or 0) + Fraction(int(match[2]), int(match[3]))), pointer)
    match = _DECIMAL.fullmatch(written)
    if match is None:
        raise InvalidInput.one(pointer, "bad_number", "this is no length", got=text, accepted=_ACCEPTED)
    number = Decimal(match[1].replace(",", "."))
    if match[2] in (None, "mm"):
        return length(number, pointer)
    return length(round(number * INCH_MM, PLACES), pointer)
