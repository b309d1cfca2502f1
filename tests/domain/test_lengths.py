"""Lengths stay exact: inch fractions and six decimals through text, JSON and nanometres."""

from __future__ import annotations

import json
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain import jsontext
from boltspan.domain.errors import InvalidInput
from boltspan.domain.lengths import from_nm, inches, length, plain, same_size, to_nm, trimmed

nanometres = st.integers(min_value=1, max_value=2_000_000_000)
sixty_fourths = st.integers(min_value=1, max_value=64 * 78)


@pytest.mark.parametrize(
    ("inch", "mm"),
    # The international inch is 25.4 mm exactly (NIST Special Publication 811, appendix B.9); the rest is arithmetic.
    [("1", "25.4"), ("7/8", "22.225"), ("1/64", "0.396875"), ("5/16", "7.9375"), ("9/8", "28.575"), ("1/2", "12.7")],
)
def test_an_inch_is_25_4_mm_exactly(inch: str, mm: str) -> None:
    assert inches(Fraction(inch)) == Decimal(mm)


def test_a_third_of_an_inch_is_refused_rather_than_rounded() -> None:
    with pytest.raises(ValueError, match="whole number of nanometres"):
        inches(Fraction(1, 3))


@given(sixty_fourths)
def test_every_64th_of_an_inch_passes_through_json_and_nanometres(k: int) -> None:
    mm = inches(Fraction(k, 64))
    assert Fraction(mm) == Fraction(k, 64) * Fraction("25.4")
    text = jsontext.dumps({"width_mm": mm})
    assert length(jsontext.loads(text.encode())["width_mm"]) == mm
    assert from_nm(to_nm(mm)) == mm


@given(nanometres)
def test_six_decimals_pass_through_json_and_nanometres(nm: int) -> None:
    mm = from_nm(nm)
    assert to_nm(mm) == nm
    assert to_nm(length(jsontext.loads(plain(mm).encode()))) == nm
    # The standard library's own JSON reader agrees on the text.
    assert Fraction(json.loads(plain(mm), parse_float=Decimal)) == Fraction(nm, 1_000_000)


@given(nanometres)
def test_text_has_no_exponent_and_no_trailing_zero(nm: int) -> None:
    text = plain(from_nm(nm))
    assert "e" not in text.lower()
    assert not ("." in text and text.endswith("0"))


@pytest.mark.parametrize(
    "value", [True, "8", 8.0, None, Decimal("NaN"), Decimal("Infinity"), 0, -1, Decimal("2000.1"), Decimal("8.1234567")]
)
def test_what_is_no_length_is_refused_with_the_field_named(value: object) -> None:
    with pytest.raises(InvalidInput) as caught:
        length(value, "/value/width_mm")
    problem = caught.value.problems[0]
    assert problem.pointer == "/value/width_mm"
    assert problem.accepted


def test_zero_is_taken_only_where_asked_for() -> None:
    assert length(0, zero=True) == 0


def test_a_finer_digit_is_never_lost_in_silence() -> None:
    with pytest.raises(ValueError, match="six decimal places"):
        to_nm(Decimal("0.0000001"))


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        ("22.2", "22.225", True),
        ("22.2", "22.23", True),
        ("22.2", "22.231", False),
        ("22", "22.2", False),
        ("21.8", "22", False),
    ],
)
def test_the_trade_calls_7_8_inch_22_2(a: str, b: str, same: bool) -> None:
    """22.2 and 22.225 are one size, 21.8, 22 and 22.2 are three (common practice, no source)."""
    assert same_size(Decimal(a), Decimal(b)) is same


@pytest.mark.parametrize(
    ("given", "text"), [("30.0", "30"), ("3E1", "30"), ("22.20", "22.2"), ("0.396875", "0.396875")]
)
def test_numbers_are_trimmed(given: str, text: str) -> None:
    assert str(trimmed(Decimal(given))) == text


def test_sizes_never_pass_through_binary_floats() -> None:
    """ISO 80000-1, annex B: a tie goes to the even digit, 22.225 to 22.22 and 22.235 to 22.24.

    Binary floats follow no rule at all: both become 22.23. So sizes are read and kept as written, and never rounded.
    """
    assert (round(22.225, 2), round(22.235, 2)) == (22.23, 22.23)
    sizes = jsontext.loads(b"[22.225, 22.235]")
    assert [plain(size) for size in sizes] == ["22.225", "22.235"]
    assert [size.quantize(Decimal("0.01"), ROUND_HALF_EVEN) for size in sizes] == [Decimal("22.22"), Decimal("22.24")]
