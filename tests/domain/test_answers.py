"""Answers as plain mappings."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import pytest

from boltspan.domain.answers import Assumed, as_mapping
from boltspan.domain.refusals import BenchRefusal


@dataclass(frozen=True, slots=True)
class _Sample:
    sizes: tuple[Decimal, ...]
    assumed: tuple[Assumed, ...]
    text: str
    absent: Decimal | None = None


def test_none_is_left_out_and_numbers_stay_exact() -> None:
    sizes = tuple(map(Decimal, ("30.00", "3E+1", "0.396875", "-0.0")))
    found = as_mapping(_Sample(sizes, (Assumed("accept", 0.9),), "x"))
    assert set(found) == {"sizes", "assumed", "text"}
    assert [str(size) for size in found["sizes"]] == ["30", "30", "0.396875", "0"]  # type: ignore[attr-defined]
    assert found["assumed"] == [{"name": "accept", "value": 0.9}]


def test_only_answers_are_taken() -> None:
    wrong: tuple[object, ...] = (None, {}, _Sample)
    for other in wrong:
        with pytest.raises(TypeError):
            as_mapping(other)


def test_a_refusal_says_what_was_got_and_what_is_accepted() -> None:
    refusal = BenchRefusal("out_of_range", "tools/1/inner_mm", "9" * 200, "over 0, at most 2000 mm")
    assert len(refusal.got) == 80
    assert str(refusal).startswith("tools/1/inner_mm: this lies outside what can be; got 999")
    assert str(refusal).endswith("accepted: over 0, at most 2000 mm")
    assert isinstance(refusal, ValueError)
