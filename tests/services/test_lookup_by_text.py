"""Look-ups by one line of text: the frame that is meant, or candidates and a question, never the next best thing."""

from __future__ import annotations

from typing import Any

from boltspan.domain.frames import Frame, Years
from boltspan.services import lookup
from boltspan.services.protocols import FrameQuery
from tests.domain.builders import frame
from tests.services.conftest import Shop


def model(number: int, slug: str, start: int, end: int | None, make: str = "tarnvale") -> Frame:
    return Frame(f"f-{number:010d}", make, slug, "frame", Years(start, end), ("upper", "lower"))


def plant(shop: Shop) -> None:
    """The first frame, Tarnvale Skerry 2021 to 2023, is there already."""
    shop.plant(
        frame(2, start=2024, end=None),
        model(3, "skerrow", 2015, 2023),
        model(4, "kitterwake", 2015, 2019),
        model(5, "kitterwake", 2020, 2022, make="fennard"),
    )


def ask(shop: Shop, text: str, **more: Any) -> dict[str, Any]:
    with shop.storage.reading() as uow:
        answers = lookup.lookups(uow, lookup.name_index(uow), [{"q": text, **more}])["answers"]
    return dict(answers[0])


def ids(answer: dict[str, Any]) -> list[str]:
    return [f["id"][-1] for f in answer["frames"]]


def test_one_line_finds_the_frame_of_its_year(shop: Shop) -> None:
    plant(shop)
    for text in (
        "tarnvale skerry '21",
        "skerry tarnvale MY22 frame size L",
        "2023 Tarnvale Skery",
        "tarnvaleskerry 21/22",
    ):
        answer = ask(shop, text)
        assert (answer["outcome"], ids(answer)) == ("one", ["1"]), text


def test_several_years_give_every_frame_that_touches_them(shop: Shop) -> None:
    plant(shop)
    answer = ask(shop, "tarnvale skerry 2023-24")
    assert (answer["outcome"], ids(answer), answer["ask"]) == ("several", ["1", "2"], "Which model year is it?")
    assert ids(ask(shop, "tarnvale skerry 2023-24", year=2024)) == ["2"]


def test_a_name_of_two_makes_is_answered_with_both(shop: Shop) -> None:
    plant(shop)
    answer = ask(shop, "kitterwake")
    assert (answer["outcome"], ids(answer), answer["ask"]) == ("several", ["5", "4"], "Which make and model is it?")


def test_a_model_not_made_that_year_gives_way_to_no_other(shop: Shop) -> None:
    plant(shop)
    answer = ask(shop, "tarnvale skerry 2016")
    assert (answer["outcome"], answer["frames"]) == ("unknown", []), "Skerrow was made then, and was not asked for"


def test_what_is_only_somewhat_alike_is_asked_back(shop: Shop) -> None:
    plant(shop)
    answer = ask(shop, "skrrey '21")
    assert (answer["outcome"], ids(answer), answer["ask"]) == ("several", ["1"], "Is it the Tarnvale Skerry?")
    assert ask(shop, "orvanth pellow '21")["outcome"] == "unknown"


def test_the_search_by_name_lists_those_that_are_like_in_the_years_written(shop: Shop) -> None:
    plant(shop)
    with shop.storage.reading() as uow:
        index = lookup.name_index(uow)
        assert ids({"frames": lookup.frames(uow, FrameQuery(), index, "tarnvale skerry 22-24").frames}) == [
            "1",
            "2",
            "3",
        ]
        assert ids({"frames": lookup.frames(uow, FrameQuery(year=2015), index, "tarnvale skerry 2022").frames}) == ["3"]
