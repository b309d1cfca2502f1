"""Where to put the caliper: a drawing for every feature, which stands by itself and says in words what it shows."""

from __future__ import annotations

import pytest

from boltspan.domain.drawings import caliper_places
from boltspan.domain.drawings.caliper_places import ADVICE, MISTAKE, PLACES, TITLES, caliper_place
from boltspan.domain.features import EYELET_FEATURES, FEATURES
from boltspan.domain.refusals import BenchRefusal
from tests.domain.drawings.reading import SVG, read, span, spoken, written


def test_every_feature_has_its_drawing_and_its_words() -> None:
    assert (
        {*FEATURES, *EYELET_FEATURES, MISTAKE}
        == set(PLACES)
        == set(TITLES)
        == set(ADVICE)
        == set(caliper_places._DRAWN)
    )


@pytest.mark.parametrize("feature", PLACES)
def test_a_drawing_says_in_words_what_it_shows(feature: str) -> None:
    root = read(caliper_place(feature))
    assert spoken(root) == (TITLES[feature], ADVICE[feature])
    marks = [m for m in root.iter(f"{SVG}g") if m.get("stroke-width") == "2"]
    right = [m for m in marks if m.find(f"{SVG}circle") is not None]
    wrong = [m for m in marks if m.find(f"{SVG}rect") is not None]
    assert (bool(right), bool(wrong)) == (feature != MISTAKE, True)


@pytest.mark.parametrize(
    ("feature", "size"), [("eyelet_bore", "bore"), ("eyelet_width", "width"), ("eyelet_outer", "outside")]
)
def test_the_size_of_an_eyelet_is_dimensioned_and_what_must_be_off_is_named(feature: str, size: str) -> None:
    texts = written(read(caliper_place(feature)))
    assert size in texts
    assert {"eyelet_bore": "bushing still in", "eyelet_width": "spacer", "eyelet_outer": "fitting"}[feature] in texts


@pytest.mark.parametrize("feature", PLACES)
def test_no_word_runs_over_the_edge(feature: str) -> None:
    for text in read(caliper_place(feature)).iter(f"{SVG}text"):
        left, right = span(text)
        assert left >= 0, text.text
        assert right <= caliper_places.WIDTH, text.text


def test_another_feature_is_refused_with_those_there_are() -> None:
    with pytest.raises(BenchRefusal, match="hardware_width"):
        caliper_place("thread_root")
