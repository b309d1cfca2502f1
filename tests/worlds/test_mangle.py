"""Queries as people write them: as many errors as said, and what they leave out."""

from __future__ import annotations

import pytest
from rapidfuzz.distance import OSA

from tests.worlds import World
from tests.worlds.chances import Chances
from tests.worlds.mangle import NO_MAKE, YEAR, mistype, queries

NAMED = list(World(5, 1).names(2_000))


def test_the_same_seed_gives_the_same_queries() -> None:
    assert list(queries(NAMED, 1, 50)) == list(queries(NAMED, 1, 50))
    assert list(queries(NAMED, 1, 50)) != list(queries(NAMED, 2, 50))


def test_one_error_is_one_edit() -> None:
    """By optimal string alignment (rapidfuzz): a letter dropped, put in, changed, or exchanged with the next is 1."""
    chances = Chances("errors")
    edits = [OSA.distance("skerry", mistype(chances, "skerry")) for _ in range(500)]
    assert max(edits) == 1
    assert edits.count(0) < 50, "an exchange of two equal letters shows nothing"


def test_what_is_left_out_and_put_in_is_as_frequent_as_it_is_set_to_be() -> None:
    made = list(queries(NAMED, 3, 2_000))
    by_slug = {(make.slug, model.slug): (make, model) for make, model in NAMED}
    year = sum(any(ch.isdigit() for ch in q.text) and q.year is not None for q in made) / len(made)
    assert year == pytest.approx(YEAR * 0.8, abs=0.05)
    assert sum(q.errors == 2 for q in made) / len(made) == pytest.approx(0.5, abs=0.05)
    bare = [q for q in made if not _names_the_make(q.text, by_slug[q.make, q.model][0].name)]
    assert len(bare) / len(made) == pytest.approx(NO_MAKE, abs=0.08)


def _names_the_make(text: str, name: str) -> bool:
    squeezed, name = text.casefold().replace(" ", ""), name.casefold()
    start = squeezed.find(name[:3])
    return start >= 0 or any(name[i : i + 4] in squeezed for i in range(len(name) - 3))
