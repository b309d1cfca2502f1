"""Strict JSON: what RFC 8259 leaves open is refused, and every digit is written."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.errors import BrokenJson, InvalidInput
from boltspan.domain.jsontext import dumps, loads

texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)
decimals = st.decimals(allow_nan=False, allow_infinity=False, min_value=-2000, max_value=2000, places=6)
values = st.recursive(
    texts | st.booleans() | st.integers(-(10**14), 10**14) | decimals,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=12,
)


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "Expecting value"),
        (b"{", "Expecting"),
        (b'{"a": 1, "a": 2}', "'a' stands twice"),
        (b"[NaN]", "NaN is not JSON"),
        (b"[Infinity]", "Infinity is not JSON"),
        (b"[1e400]", "out of range"),
        (b"1" * 5000, "5000 characters"),
        (b"1." + b"1" * 5000, "5002 characters"),
        (b"[" * 100_000, "nested deeper"),
        (b"[" * 50 + b"]" * 50, "nested deeper"),
        (b'"\xff"', "not UTF-8"),
        (b"\xef\xbb\xbf1", "BOM"),
    ],
)
def test_what_is_not_json_is_refused_in_plain_words(raw: bytes, words: str) -> None:
    with pytest.raises(BrokenJson, match=words):
        loads(raw)


@pytest.mark.parametrize("raw", [rb'{"a": "\u0000"}', rb'["\ud800"]', rb'{"\udfff": 1}'])
def test_text_that_no_database_keeps_is_refused(raw: bytes) -> None:
    with pytest.raises(InvalidInput) as caught:
        loads(raw)
    assert caught.value.problems[0].code == "bad_text"


@given(values)
def test_what_is_written_reads_back_the_same(value: object) -> None:
    for indent in (None, 2):
        assert loads(dumps(value, indent=indent).encode()) == value


@given(values)
def test_the_standard_reader_agrees(value: object) -> None:
    assert json.loads(dumps(value, indent=2), parse_float=Decimal) == value


@pytest.mark.parametrize("value", [None, 1.5, {"a": None}, object()])
def test_nothing_inexact_and_no_null_is_written(value: object) -> None:
    with pytest.raises(TypeError, match="no JSON text"):
        dumps(value)
