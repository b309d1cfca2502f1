"""Lengths: exact decimals in millimetres, at most six places, integer nanometres in the database.

An inch is exactly 25.4 mm (international inch, ISO 31-1 / NIST SP 811), so 1/64 in = 0.396875 mm needs all six
places and nothing finer occurs. Floats never hold a size outside the numerical core.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Final

from boltspan.domain.errors import InvalidInput

PLACES: Final = 6
MOST_MM: Final = Decimal(2000)
INCH_MM: Final = Decimal("25.4")
NM_PER_MM: Final = 1_000_000
SAME_SIZE_MM: Final = Decimal("0.03")
"""Widths within this are one size: 22.2 is the trade's name of 7/8 in = 22.225 (common practice, no source)."""
_ONE: Final = Decimal(1)


def length(value: object, pointer: str = "", *, zero: bool = False) -> Decimal:
    """Return ``value`` as an exact length in mm, without trailing zeros.

    ``value`` is an int or a Decimal (a JSON number read with ``parse_float=Decimal``). Over 0 (or not below 0 with
    ``zero``), at most 2,000, at most six decimal places. Raises InvalidInput naming ``pointer`` for anything else:
    bool, text, float, NaN and infinity included.
    """
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise InvalidInput.one(
            pointer,
            "not_a_number",
            "a length is a JSON number in millimetres",
            got=value,
            accepted="a number such as 22.2",
        )
    exact = Decimal(value)
    if not exact.is_finite() or exact > MOST_MM or exact < 0 or (exact == 0 and not zero):
        raise InvalidInput.one(
            pointer,
            "out_of_range",
            "a length lies outside what a shock mount can have",
            got=value,
            accepted=f"{'0 or more' if zero else 'over 0'}, at most {MOST_MM} mm",
        )
    exact = trimmed(exact)
    exponent = exact.as_tuple().exponent
    if isinstance(exponent, int) and -exponent > PLACES:
        raise InvalidInput.one(
            pointer,
            "too_many_places",
            "a length has at most six decimal places",
            got=value,
            accepted="at most six decimal places, e.g. 0.396875 for 1/64 in",
        )
    return exact


def trimmed(value: Decimal) -> Decimal:
    """Return the same number without trailing zeros and without an exponent above 0 (30.0 and 3E1 become 30)."""
    short = value.normalize()
    return short.quantize(_ONE) if "E+" in str(short) else short


def plain(value: Decimal) -> str:
    """Return the digits as written on a label: no exponent, no trailing zeros ("22.2", "0.396875", "30")."""
    text = str(value)  # most lengths are written so already, and asking is much quicker than writing anew
    if "E" in text or (text[-1] == "0" and "." in text):
        return format(trimmed(value), "f")
    return text


def to_nm(value: Decimal) -> int:
    """Return the length in whole nanometres. Raises ValueError when a finer digit would be lost."""
    scaled = value.scaleb(PLACES)
    whole = int(scaled)
    if whole != scaled:
        raise ValueError(f"{value} mm has more than six decimal places")
    return whole


def from_nm(value: int) -> Decimal:
    """Return whole nanometres as an exact length in mm, without trailing zeros."""
    return trimmed(Decimal(value).scaleb(-PLACES))


def inches(value: Fraction) -> Decimal:
    """Return ``value`` inches in mm, exactly (7/8 is 22.225).

    Raises ValueError when six places do not hold it, as for 1/3 in; every fraction to 64ths fits.
    """
    micro = value * Fraction(INCH_MM) * NM_PER_MM
    if micro.denominator != 1:
        raise ValueError(f"{value} in is no whole number of nanometres")
    return from_nm(micro.numerator)


def same_size(a: Decimal, b: Decimal) -> bool:
    """Return whether two sizes are one in the trade: within 0.03 mm, the limit included."""
    return abs(a - b) <= SAME_SIZE_MM
