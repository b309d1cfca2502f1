"""Finding models by name as shops and riders write it."""

from __future__ import annotations

import pytest

from boltspan.domain.frames import Make, Model
from boltspan.services.names import SURE, Hit, NameIndex, clear, year_in
from tests.worlds import World
from tests.worlds.mangle import queries

TARNVALE = Make("tarnvale", "Tarnvale", ("Tarnvale Works",))
FENNARD = Make("fennard", "Fennard")
QUILL = Make("quill-hope", "Quill Hope")
SOLVI = Make("solvi", "Sölvi")
MODELS = (
    Model("tarnvale", "skerry", "Skerry"),
    Model("tarnvale", "skerry-150", "Skerry 150"),
    Model("tarnvale", "skerry-140", "Skerry 140"),
    Model("tarnvale", "brindle-mark", "Brindle Mark", ("BM One",)),
    Model("fennard", "kitterwake-29", "Kitterwake 29"),
    Model("fennard", "skerry", "Skerry"),
    Model("quill-hope", "pellow", "Pellow"),
    Model("solvi", "ossiter", "Ossiter"),
)
INDEX = NameIndex([TARNVALE, FENNARD, QUILL, SOLVI], MODELS)


def found(text: str) -> list[tuple[str, str]]:
    return [(hit.make, hit.model) for hit in INDEX.find(year_in(text)[0])]


@pytest.mark.parametrize(
    ("text", "model"),
    [
        ("tarnvale skerry 150 '21", "skerry-150"),
        ("Skerry 150 Tarnvale", "skerry-150"),
        ("TARNVALE SKERRY 140", "skerry-140"),
        ("tarnvale skerry", "skerry"),
        ("tarnvlae skery 150", "skerry-150"),
        ("taarnvale skkerry140", "skerry-140"),
        ("tarnvaleskerry150", "skerry-150"),
        ("skerry150 tarnvale MY21", "skerry-150"),
        ("tarn. skerry 150", "skerry-150"),
        ("tarnvale sker 150", "skerry-150"),
        ("tarnvale works skerry 150", "skerry-150"),
        ("tarn vale sker ry 150", "skerry-150"),
        ("2019-21 tarnvale skerry 150", "skerry-150"),
        ("hardware for a tarnvale skerry 150, size L, rear shock 210x55", "skerry-150"),
        ("spacers for my tarnvale skerry 150 frame please, M8 x 22.2", "skerry-150"),
        ("brindlemark", "brindle-mark"),
        ("mark brindle tarnvale", "brindle-mark"),
        ("bm one", "brindle-mark"),
        ("kitterwake 29er", "kitterwake-29"),
        ("kiterwaek", "kitterwake-29"),
        ("quillhope pelow", "pellow"),
        ("solvi ossiter", "ossiter"),
        ("SÖLVI OSSITER", "ossiter"),
    ],
)
def test_a_name_is_found_as_it_is_written(text: str, model: str) -> None:
    assert found(text)[0][1] == model


def test_a_make_decides_between_models_of_one_name() -> None:
    assert found("skerry fennard")[0] == ("fennard", "skerry")
    assert found("tarnvale skerry")[0] == ("tarnvale", "skerry")


def test_one_name_of_two_makes_gives_both_as_alike() -> None:
    hits = clear(INDEX.find("skerry"))
    assert [(h.make, h.model) for h in hits] == [("fennard", "skerry"), ("tarnvale", "skerry")]
    assert {h.likeness for h in hits} == {100.0}


def test_a_number_tells_siblings_apart_and_its_absence_does_not() -> None:
    assert [h.model for h in clear(INDEX.find("tarnvale skerry 150"))] == ["skerry-150"]
    assert {h.model for h in INDEX.find("tarnvale skerry")[:3]} == {"skerry", "skerry-140", "skerry-150"}


def test_the_more_letters_are_wrong_the_less_alike() -> None:
    likeness = [INDEX.find(text)[0].likeness for text in ("kitterwake 29", "kiterwake 29", "kiterwaek 29")]
    assert likeness == sorted(likeness, reverse=True)
    assert len(set(likeness)) == 3
    assert likeness[0] == 100.0
    assert likeness[-1] > SURE


@pytest.mark.parametrize(
    "text", ["", " ", "zzzz", "2021", "size L", "rear shock hardware", "nothing like it", "!?", "x" * 200]
)
def test_nothing_alike_is_found_in_nothing(text: str) -> None:
    assert found(text) == []


def test_a_make_alone_finds_its_models() -> None:
    assert {model for _, model in found("tarnvale")} == {"skerry", "skerry-140", "skerry-150", "brindle-mark"}
    assert found("quillhope") == [("quill-hope", "pellow")]


def test_as_many_as_asked_for() -> None:
    assert len(INDEX.find("tarnvale skerry", 2)) == 2
    assert NameIndex([], []).find("skerry") == []
    assert NameIndex([TARNVALE], []).find("skerry") == []


def test_letters_of_any_script_and_names_of_figures_alone() -> None:
    makes = [Make("m1", "Скала"), Make("m2", "Tarnvale")]
    index = NameIndex(makes, [Model("m1", "a", "Ветер"), Model("m2", "b", "140"), Model("m2", "c", "160")])
    assert index.find("ветир скала")[0].model == "a"
    assert index.find("tarnvale 140")[0].model == "b"
    assert index.find("160")[0].model == "c"


def test_words_about_frames_count_when_a_name_has_them() -> None:
    index = NameIndex([TARNVALE], [Model("tarnvale", "a", "Top Shock"), Model("tarnvale", "b", "Skerry")])
    assert index.find("tarnvale shock top")[0].model == "a"


def test_the_order_of_the_catalogue_does_not_matter() -> None:
    turned = NameIndex([SOLVI, QUILL, FENNARD, TARNVALE], reversed(MODELS))
    for text in ("skerry", "skery 150", "tarnvale", "kiterwake fenard", "ossiter brindle"):
        assert turned.find(text) == INDEX.find(text)


def test_clear_keeps_what_cannot_be_told_apart() -> None:
    hits = [Hit("a", "a", 92.0), Hit("a", "b", 85.0), Hit("a", "c", 70.0)]
    assert clear(hits) == hits[:2]
    assert clear([Hit("a", "x", 100.0), *hits]) == [Hit("a", "x", 100.0)]
    assert clear([]) == []


def test_mistyped_names_are_among_the_first_ten_of_5000() -> None:
    """One or two errors of typing in each, a third without the make, and all else that mangle.py does."""
    named = list(World(41, 1).names(5_000))
    index = NameIndex({make.slug: make for make, _ in named}.values(), [model for _, model in named])
    right = first = years = 0
    asked = list(queries(named, 42, 200))
    for query in asked:
        text, year = year_in(query.text)
        hits = [(hit.make, hit.model) for hit in index.find(text, 10)]
        right += (query.make, query.model) in hits
        first += hits[:1] == [(query.make, query.model)]
        years += year == query.year
    assert right >= 0.98 * len(asked)
    assert first >= 0.95 * len(asked)
    assert years >= 0.99 * len(asked)
