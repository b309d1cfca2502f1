"""A claim whose size is sent as the source writes it: read as labels are, kept as the quote, never guessed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.errors import Clash, FieldProblem, InvalidInput
from boltspan.services.submit import submit_claim
from tests.services.conftest import Shop, page_claim


def submit(shop: Shop, label: str, **more: Any) -> dict[str, Any]:
    body = page_claim(label=label, **more)
    if "value" not in more:
        del body["value"]
    with shop.storage.writing() as uow:
        return dict(submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body)).body["claim"])


def refusal(shop: Shop, label: str, **more: Any) -> FieldProblem:
    with pytest.raises(InvalidInput) as refused:
        submit(shop, label, **more)
    with shop.storage.reading() as uow:
        assert uow.statements.claims("f-0000000001") == []
    return refused.value.problems[0]


@pytest.mark.parametrize(("label", "value"), [
    ("30 x M8", {"mount": "hardware", "bolt_mm": 8, "width_mm": 30}),
    ("22,2 x 8", {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal("22.2")}),
    ("top: M8 x 7/8 in", {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal("22.225")}),
    ("trunnion", {"mount": "trunnion"}),
    ("8 x 30 x 15", {"mount": "hardware", "bolt_mm": 8, "width_mm": 30}),
    ("8 x 30 bearing compatible", {"mount": "hardware", "bolt_mm": 8, "width_mm": 30, "bearing_compatible": True}),
])  # fmt: skip
def test_a_label_is_the_value_and_the_quote(shop: Shop, label: str, value: dict[str, Any]) -> None:
    claim = submit(shop, label)
    assert claim["value"] == value
    assert claim["source"]["quote"] == label


def test_a_quote_that_is_sent_stays(shop: Shop) -> None:
    source = page_claim()["source"] | {"quote": "upper mount: 30 x M8"}
    assert submit(shop, "30 x M8", source=source)["source"]["quote"] == "upper mount: 30 x M8"


def test_the_same_label_twice_counts_once(shop: Shop) -> None:
    submit(shop, "30 x M8")
    with pytest.raises(Clash):
        submit(shop, "30 x M8")


@pytest.mark.parametrize(("label", "code"), [
    ("8 x 15", "width_or_bore_unclear"), ("210 x 55", "shock_size"), ("M8", "width_missing"),
    ("upper 8x20 / lower 8x30", "several_ends"), ("8x20 / 8x30", "several_ends"), ("both ends 8x20", "several_ends"),
    ("lower 8x20", "other_end"), ("front 8x20", "end_of_another_pair"),
])  # fmt: skip
def test_what_is_not_one_size_of_this_end_is_refused_with_the_reason_and_advice(
    shop: Shop, label: str, code: str
) -> None:
    problem = refusal(shop, label)
    assert (problem.pointer, problem.code) == ("/label", code)
    assert problem.detail
    assert problem.accepted


def test_a_size_is_stated_once(shop: Shop) -> None:
    assert refusal(shop, "30 x M8", value=page_claim()["value"]).code == "value_twice"


def test_a_shocks_size_is_no_label(shop: Shop) -> None:
    assert refusal(shop, "210 x 55", subject="shock_size").code == "not_an_end"
