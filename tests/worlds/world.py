"""A world of invented frames: makes, their models, generations of each, and what everybody says about them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count, islice
from typing import Final

from boltspan.dataset.contents import FrameEntry
from boltspan.domain.frames import END_PAIRS, Make, Model
from boltspan.domain.names import folded, slug_of
from tests.worlds.chances import Chances
from tests.worlds.generations import Generations
from tests.worlds.names import LETTERS, MAKE_SUFFIXES, NUMBERS, make_name, model_word
from tests.worlds.people import Person, people_of, person
from tests.worlds.rates import Rates
from tests.worlds.truth import Truth

MOST_MODELS: Final = 160
SIBLING: Final = 0.30
"""Of models, those that share the word of the one before and differ in what stands behind it."""
BORROWED: Final = 0.03
"""Of models, those called by a word that another make uses too."""
NUMBERED: Final = 0.35
ALIASED: Final = 0.15
_BEHIND: Final = tuple(f" {ending}" for ending in (*NUMBERS, *LETTERS))
_PAIRS: Final = {END_PAIRS[0]: 0.45, END_PAIRS[1]: 0.30, END_PAIRS[2]: 0.15, END_PAIRS[3]: 0.10}


@dataclass(frozen=True, slots=True)
class InventedModel:
    """A model with its make and all its frames, each with the truth beside it."""

    make: Make
    model: Model
    frames: tuple[tuple[FrameEntry, Truth], ...]


@dataclass(frozen=True, slots=True)
class World:
    """``frames`` invented frame records (1 or more) of the world ``seed``, made while they are asked for.

    The same seed, number and rates give the same frames. A larger world begins as a smaller one does, but for its last
    model and for who says what: there are more people in it.
    """

    seed: int
    frames: int
    rates: Rates = Rates()

    def models(self) -> Iterator[InventedModel]:
        """Yield the models make by make, with ``frames`` frames in all; one model is held in memory at a time."""
        made = 0
        for number, (make, model, pair) in enumerate(self._named()):
            generations = Generations(self.seed, self.rates, self.frames, model, pair, first=made)
            frames = tuple(generations.of_model(number, self.frames - made))
            yield InventedModel(make, model, frames)
            made += len(frames)
            if made == self.frames:
                return

    def entries(self) -> Iterator[tuple[FrameEntry, Truth]]:
        """Yield every frame with what is said about it, and the truth."""
        for model in self.models():
            yield from model.frames

    def people(self) -> Iterator[Person]:
        """Yield everybody who may say something, whether they do or not."""
        for number in range(people_of(self.frames)):
            yield person(self.seed, self.rates, number)

    def names(self, how_many: int) -> Iterator[tuple[Make, Model]]:
        """Yield ``how_many`` models without any frame: the names alone, for tests of searching by name."""
        return ((make, model) for make, model, _ in islice(self._named(), how_many))

    def _named(self) -> Iterator[tuple[Make, Model, tuple[str, str]]]:
        """Yield models without end, make by make, each with its make and the names of its ends."""
        number = 0
        for make_number in count():
            make, chances = self._make(make_number), Chances(self.seed, "models", make_number)
            pair = chances.weighed(_PAIRS)
            share = chances.between(0, 1)
            taken: set[str] = set()
            word = ""
            for place in range(1 + int(MOST_MODELS * share * share * share)):
                if not place or not chances.happens(SIBLING):
                    word = self._word(chances, number)
                yield make, self._model(chances, make, word, taken), pair
                number += 1

    def _make(self, number: int) -> Make:
        chances = Chances(self.seed, "make", number)
        name = make_name(self.seed, number)
        aliases = (f"{name} {chances.one_of(MAKE_SUFFIXES)}",) if chances.happens(2 * ALIASED) else ()
        return Make(slug_of(name), name, aliases)

    def _word(self, chances: Chances, number: int) -> str:
        return model_word(self.seed, number // 3 if chances.happens(BORROWED) else number)

    def _model(self, chances: Chances, make: Make, word: str, taken: set[str]) -> Model:
        """Return a model called by ``word`` and what tells it from its siblings; its names are added to ``taken``."""
        plain = ("",) if not chances.happens(NUMBERED) else ()
        start = chances.below(len(NUMBERS))
        names = (word + ending for ending in (*plain, *_BEHIND[start:], *_BEHIND[:start]))
        name = next((name for name in names if folded(name) not in taken), None)
        while name is None:
            word = model_word(self.seed, 600_000 + chances.below(90_000))
            name = word if folded(word) not in taken else None
        taken.add(folded(name))
        aliases = []
        if name == word and chances.happens(ALIASED):
            alias = f"{word} {chances.one_of(NUMBERS)}"
            if folded(alias) not in taken:
                taken.add(folded(alias))
                aliases.append(alias)
        return Model(make.slug, slug_of(name), name, tuple(aliases))
