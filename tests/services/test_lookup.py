"""Look-ups: by name, by year, by size, many at once; what is not known is an answer."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.errors import InvalidInput, NotFound
from boltspan.evidence import load_parameters
from boltspan.services import lookup
from boltspan.services.answers import encode, etag
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import FrameQuery
from boltspan.services.publishing import republish_all
from tests.domain.builders import SIZE, frame, page
from tests.services.conftest import Shop

F1, F2 = "f-0000000001", "f-0000000002"
ASK = "Which letter does the serial number start with?"


def plant_two(shop: Shop) -> None:
    later = frame(2, start=2024, end=None)
    first = frame(1)
    claims = (
        page(1, SIZE, of=first),
        page(2, {"mount": "hardware", "bolt_mm": 10, "width_mm": "25.4"}, of=first, subject="lower"),
        page(3, {"mount": "hardware", "bolt_mm": 8, "width_mm": "25.4"}, of=later, seen_on="2026-01-01"),
        page(4, {"mount": "trunnion"}, of=later, subject="lower", seen_on="2026-01-01"),
    )
    shop.plant(first, later, claims=claims)


def find(shop: Shop, text: str | None = None, **query: Any) -> list[str]:
    with shop.storage.reading() as uow:
        page_found = lookup.frames(uow, FrameQuery(**query), lookup.name_index(uow), text)
    return [f["id"] for f in page_found.frames]


def test_what_takes_8_by_22_2(shop: Shop) -> None:
    plant_two(shop)
    assert find(shop, bolt_mm=Decimal(8), width_mm=Decimal("22.2")) == [F1]
    assert find(shop, bolt_mm=Decimal(8), width_mm=Decimal("22.225")) == [F1]
    assert find(shop, bolt_mm=Decimal(8), width_mm=Decimal(22)) == []
    assert find(shop, bolt_mm=Decimal(8), width_mm=Decimal("25.4")) == [F2]
    assert find(shop, mount="trunnion") == [F2]


def test_the_bolt_of_one_end_and_the_width_of_the_other_are_no_match(shop: Shop) -> None:
    plant_two(shop)
    assert find(shop, bolt_mm=Decimal(10), width_mm=Decimal("22.2")) == []


@pytest.mark.parametrize("text", ["Tarnvale Skerry", "skerry", "tarnvlae skery", "Skerry Tarnvale", "SKERRY 2022"])
def test_names_as_people_write_them(shop: Shop, text: str) -> None:
    assert find(shop, text) == [F1]


def test_a_year_in_the_text_counts(shop: Shop) -> None:
    plant_two(shop)
    assert find(shop, "tarnvale skerry 2025") == [F2]
    assert find(shop, "tarnvale skerry") == [F1, F2]
    assert find(shop, "nothing like it") == []


def test_the_year_question_is_answered_for_every_year(shop: Shop) -> None:
    plant_two(shop)
    with shop.storage.reading() as uow:
        known = lookup.year(uow, "tarnvale", "skerry", 2022)
        beyond = lookup.year(uow, "tarnvale", "skerry", 2031)
        never = lookup.year(uow, "tarnvale", "skerry", 2001)
        with pytest.raises(NotFound):
            lookup.year(uow, "tarnvale", "cairn", 2022)
    assert known["outcome"] == "one"
    assert beyond["frames"][0]["ends"]["upper"]["standing"] == "provisional"
    assert never["outcome"] == "unknown"
    assert never["frames"] == []


def test_what_is_published_equals_what_is_computed(shop: Shop) -> None:
    plant_two(shop)
    with shop.storage.reading() as uow:
        for encoded in list(uow.published.newest(100)):
            parts = encoded.path.split("/")
            computed = (
                lookup.frame(uow, ANYBODY, parts[-1])
                if parts[2] == "frames"
                else lookup.year(uow, *parts[3:5], int(parts[5]))
            )
            assert encoded.body == encode(computed)
            assert encoded.etag == etag(encode(computed))


def test_encoding_everything_anew_changes_no_byte(shop: Shop) -> None:
    plant_two(shop)
    with shop.storage.reading() as uow:
        before = {e.path: e.body for e in uow.published.newest(100)}
    with shop.storage.writing() as uow:
        republish_all(uow)
    with shop.storage.reading() as uow:
        assert {e.path: e.body for e in uow.published.newest(100)} == before


def test_many_questions_each_answered_on_its_own(shop: Shop) -> None:
    plant_two(shop)
    questions = [
        {"ref": "a", "make": "tarnvale", "model": "skerry", "year": 2022},
        {"ref": "b", "make": "Tarnvale", "model": "Skery", "year": 2025},
        {"ref": "c", "q": "tarnvale skerry"},
        {"ref": "d", "bolt_mm": Decimal(8), "width_mm": Decimal("22.2")},
        {"ref": "e", "frame": F1},
        {"ref": "f", "frame": "f-zzzzzzzzzz"},
        {"q": "zzzz"},
    ]
    with shop.storage.reading() as uow:
        answers = lookup.lookups(uow, lookup.name_index(uow), questions)["answers"]
    assert [a.get("ref") for a in answers] == ["a", "b", "c", "d", "e", "f", None]
    assert [a["outcome"] for a in answers] == ["one", "one", "several", "one", "one", "unknown", "unknown"]
    assert [f["id"] for f in answers[1]["frames"]] == [F2]
    assert answers[2]["ask"] == "Which model year is it?"


def test_an_answer_says_what_it_is_how_sure_it_is_and_by_which_model(shop: Shop) -> None:
    plant_two(shop)
    with shop.storage.reading() as uow:
        found = lookup.frame(uow, ANYBODY, F1)
    upper = found["ends"]["upper"]
    assert Decimal("0.9") < upper["confidence"] < 1
    assert upper["model_version"] == load_parameters().model_version
    assert upper["basis"] == {"claims": 1, "independent": 1, "evidence_to": 2023}
    assert len(found["cautions"]) == 7
    assert found["shock_size"] == {
        "standing": "unknown",
        "advice": "do_not_sell",
        "basis": {"claims": 0, "independent": 0},
    }


def test_changes_are_complete_and_in_order(shop: Shop) -> None:
    plant_two(shop)
    with shop.storage.reading() as uow:
        whole = lookup.changes(uow, 0, 100)["changes"]
        seen, since = [], 0
        while (part := lookup.changes(uow, since, 2))["changes"]:
            seen += part["changes"]
            since = part["next_since"]
        assert seen == whole
        assert [c["event"] for c in whole] == list(range(1, len(whole) + 1))
        with pytest.raises(InvalidInput):
            lookup.changes(uow, 10_000, 10)


def test_pages_go_on_where_the_last_ended(shop: Shop) -> None:
    shop.plant(*(frame(n, start=1990 + n, end=1990 + n) for n in range(2, 8)))
    with shop.storage.reading() as uow:
        index = lookup.name_index(uow)
        first = lookup.frames(uow, FrameQuery(limit=3), index)
        rest = lookup.frames(uow, FrameQuery(limit=10, after=first.after), index)
    ids = [f["id"] for f in first.frames + rest.frames]
    assert len(ids) == len(set(ids)) == 7
    assert rest.after is None
