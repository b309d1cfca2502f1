"""Requests read from JSON without a schema in front of them: the shared vectors, and whatever else may come."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain import jsontext
from boltspan.domain.answers import as_mapping, exact
from boltspan.domain.computations import COMPUTATIONS
from boltspan.domain.errors import InvalidInput
from boltspan.domain.fitsheet.question import FitQuestion
from boltspan.domain.questions import question_from
from tests.domain.bench_vectors import VECTORS, compare

TESTS = [v for v in jsontext.loads(VECTORS.read_bytes())["tests"] if not v["endpoint"].endswith("/labels")]
KINDS = [computation.request for computation in COMPUTATIONS.values()] + [FitQuestion]


@pytest.mark.parametrize("vector", TESTS, ids=[v["id"] for v in TESTS])
def test_every_vector(vector: dict[str, Any]) -> None:
    computation = COMPUTATIONS[vector["endpoint"].rpartition("/")[2]]
    if vector.get("status", 200) == 422:
        with pytest.raises((InvalidInput, ValueError)):
            computation.work(question_from(computation.request, vector["request"]))
        return
    answer = exact(as_mapping(computation.work(question_from(computation.request, vector["request"]))))
    for name, expected in vector["response_has"].items():
        compare(answer[name], expected, float(vector["tolerance"]), name)


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.decimals() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)


@given(st.sampled_from(KINDS), st.data())
def test_anything_is_read_or_refused_with_its_place(kind: type[Any], data: st.DataObject) -> None:
    names = list(kind.__dataclass_fields__)
    sent = data.draw(st.dictionaries(st.sampled_from([*names, "other"]), anything, max_size=len(names)))
    try:
        read = question_from(kind, sent)
    except InvalidInput as refused:
        assert all(p.pointer.startswith("/") for p in refused.problems)  # noqa: PT017 - most are refused, not all
    else:
        assert isinstance(read, kind)
        assert "other" not in sent


def test_every_problem_is_told_at_its_place() -> None:
    sent = {"width_mm": "22 mm", "eyelet_width_mm": True, "gap": 3, "build": 8}
    with pytest.raises(InvalidInput) as refused:
        question_from(COMPUTATIONS["stacks"].request, sent)
    assert {(p.pointer, p.code) for p in refused.value.problems} == {
        ("/gap", "unknown_field"), ("/build", "not_text"), ("/width_mm", "not_a_number"),
        ("/eyelet_width_mm", "not_a_number"),
    }  # fmt: skip


def test_a_refusal_of_the_request_itself_names_its_field() -> None:
    with pytest.raises(InvalidInput) as refused:
        question_from(COMPUTATIONS["stacks"].request, {"build": "two_spacers", "width_mm": 10, "eyelet_width_mm": 12})
    assert [(p.pointer, p.code) for p in refused.value.problems] == [("/width_mm", "width_below_eyelet")]


def test_numbers_stay_exact() -> None:
    read = question_from(COMPUTATIONS["size-choices"].request,
                         {"need_mm": Decimal("22.225"), "need_is": "nominal", "stock_mm": [22.2, 30]})  # fmt: skip
    assert (read.need_mm, read.stock_mm) == (Decimal("22.225"), (Decimal("22.2"), Decimal(30)))
