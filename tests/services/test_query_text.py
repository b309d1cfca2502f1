"""Model years, names and the words around them, as people write them."""

from __future__ import annotations

import pytest

from boltspan.domain.frames import Years
from boltspan.services.query_text import asked, year_in, years_in


@pytest.mark.parametrize(
    ("text", "rest", "first", "last"),
    [
        ("skerry 2021", "skerry", 2021, 2021),
        ("skerry '21", "skerry", 2021, 2021),
        ("’21 skerry", "skerry", 2021, 2021),
        ("skerry'09", "skerry", 2009, 2009),
        ("skerry '98", "skerry", 1998, 1998),
        ("skerry MY21", "skerry", 2021, 2021),
        ("skerry my 2021", "skerry", 2021, 2021),
        ("model year '22 skerry", "skerry", 2022, 2022),
        ("skerry2021", "skerry", 2021, 2021),
        ("skerry (2021), size l", "skerry ( ), size l", 2021, 2021),
        ("skerry 2019-21", "skerry", 2019, 2021),
        ("skerry 2019–2021", "skerry", 2019, 2021),
        ("skerry 19/20", "skerry", 2019, 2020),
        ("my 22/23 skerry", "my skerry", 2022, 2023),
        ("skerry '19-'21", "skerry", 2019, 2021),
        ("skerry 2020/21", "skerry", 2020, 2021),
        ("skerry 2019-05", "skerry", 2019, 2019),
        ("2021 skerry 2023", "skerry", 2021, 2023),
        ("skerry 29 2021", "skerry 29", 2021, 2021),
    ],
)
def test_years_are_read_and_taken_out(text: str, rest: str, first: int, last: int) -> None:
    left, years = years_in(text)
    assert " ".join(left.split()) == rest
    assert years == Years(first, last)
    assert year_in(text) == (left, first if first == last else None)


@pytest.mark.parametrize(
    "text",
    ["Skerry 29", "skerry 27.5/29", "skerry 29/27.5", "skerry 150", "8x22.2 skerry", "skerry 210x55", "skerry 10/21",
     "army 22", "skerry 20-30", "Skerry", "", "skerry 1899", "skerry 12021"],
)  # fmt: skip
def test_what_is_no_year_stays(text: str) -> None:
    assert years_in(text) == (text, None)


@pytest.mark.parametrize(
    ("text", "words", "numbers"),
    [
        ("Tarnvale Skerry 150", ("tarnvale", "skerry"), ("150",)),
        ("tarnvale-skerry150", ("tarnvale", "skerry"), ("150",)),
        ("Sölvi Öss", ("solvi", "oss"), ()),
        ("skerry frame size XL rear shock", ("skerry",), ()),
        ("skerry size 54 210 x 55 M8x22,2", ("skerry",), ()),
        ("hardware for my skerry", ("skerry",), ()),
        ("skerry frame s", ("skerry", "s"), ()),
        ("!?", (), ()),
    ],
)
def test_words_about_a_frame_are_no_part_of_its_name(
    text: str, words: tuple[str, ...], numbers: tuple[str, ...]
) -> None:
    question = asked(text, {"skerry", "tarnvale", "s"})
    assert (question.words, question.numbers) == (words, numbers)


def test_a_word_that_names_have_is_kept() -> None:
    assert asked("shock top", {"shock"}).words == ("shock",)


def test_of_a_long_text_the_beginning_counts() -> None:
    assert len(asked("skerry " * 100 + "29 " * 100, set()).words) == 12
