"""Invented names: many, all different, sound, and the same everywhere."""

from __future__ import annotations

import pytest

from boltspan.domain.names import name, slug_of
from tests.worlds import World
from tests.worlds.chances import Chances
from tests.worlds.names import make_name, model_word

MANY = 120_000


@pytest.mark.parametrize("seed", [1, 20260401])
def test_a_hundred_thousand_models_have_names_of_their_own(seed: int) -> None:
    assert len({model_word(seed, number) for number in range(MANY)}) == MANY


def test_makes_have_names_of_their_own_and_none_is_a_models() -> None:
    makes = {make_name(3, number) for number in range(20_000)}
    assert len(makes) == 20_000
    assert makes.isdisjoint(model_word(3, number) for number in range(MANY))


def test_names_are_sound_and_their_slugs_are_unique_within_a_make() -> None:
    named = list(World(4, 1).names(5_000))
    for make, model in named:
        for text in (make.name, *make.aliases, model.name, *model.aliases):
            assert name(text, "/name") == text
        assert model.slug == slug_of(model.name)
    assert len({(make.slug, model.slug) for make, model in named}) == len(named)


def test_models_have_siblings_that_differ_in_a_number() -> None:
    named = list(World(4, 1).names(5_000))
    words = [(make.slug, model.name.split()[0]) for make, model in named]
    assert 0.15 < 1 - len(set(words)) / len(words) < 0.35


def test_the_names_of_a_world_are_those_of_its_frames() -> None:
    world = World(5, 60)
    models = [(m.make, m.model) for m in world.models()]
    assert list(world.names(len(models))) == models


def test_draws_are_those_of_the_generator_that_python_promises() -> None:
    """MT19937 as Python seeds it with a whole number; the figures were drawn with CPython 3.11."""
    chances = Chances("stand", 1)
    assert [chances.below(1000) for _ in range(5)] == [570, 747, 751, 420, 202]
    assert chances.normal(1.0) == 1.1482403760370534
