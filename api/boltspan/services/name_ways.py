"""Every way models and makes are called, in tables that are looked up by word and by make."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from boltspan.domain.frames import Make, Model
from boltspan.services.query_text import folded_words

Places = NDArray[np.intp]
Way = tuple[str, tuple[str, ...]]
"""A word, the letters of a name without blanks, and the figures behind them. A name of figures alone has these as its
word too."""
_NONE: Final[Places] = np.empty(0, dtype=np.intp)


class Ways:
    """The ways of a catalogue's models, sorted by word; ``model_of`` and ``numbers_of`` tell what each is a way of.

    Models are named by their place in ``models``, which is ordered by make and slug, makes by their place in
    ``makes``; ``make_words`` are the words of makes, of which ``make_of_word`` tells the make.
    """

    def __init__(self, makes: Iterable[Make], models: Iterable[Model]) -> None:
        ordered = sorted(models, key=lambda m: (m.make, m.slug))
        self.models = [(model.make, model.slug) for model in ordered]
        self.known: set[str] = set()
        """Single words, as names are written."""
        makes_with_models = {model.make for model in ordered}
        kept = sorted((make for make in makes if make.slug in makes_with_models), key=lambda m: m.slug)
        self._name_makes(kept)
        places = {make.slug: place for place, make in enumerate(kept)}
        self.make_of_model = _places([places[model.make] for model in ordered])
        self._name_models(ordered)

    def _name_makes(self, makes: Sequence[Make]) -> None:
        named = [(word, i) for i, make in enumerate(makes) for word, _ in self._ways_of((make.name, *make.aliases))]
        self.make_words = [word for word, _ in named]
        self.make_of_word = _places([make for _, make in named])

    def _name_models(self, models: Sequence[Model]) -> None:
        words: dict[str, int] = {}
        numbers: dict[tuple[str, ...], int] = {}
        table = [
            (words.setdefault(word, len(words)), place, numbers.setdefault(own, len(numbers)))
            for place, model in enumerate(models)
            for word, own in self._ways_of((model.name, *model.aliases))
        ]
        by_model = _places(table).reshape(-1, 3)
        self.words, self.numbers = list(words), list(numbers)
        self.figure_words = {word for word in words if word.isdigit()}
        makes = self.make_of_model[by_model[:, 1]]
        self._words_by_make = by_model[:, 0]
        self._makes_start = np.searchsorted(makes, np.arange(int(makes.max(initial=-1)) + 2))
        by_word = by_model[np.argsort(by_model[:, 0], kind="stable")]
        self._words_start = np.searchsorted(by_word[:, 0], np.arange(len(words) + 1))
        self.model_of, self.numbers_of = by_word[:, 1].copy(), by_word[:, 2].copy()

    def _ways_of(self, names: Iterable[str]) -> Iterable[Way]:
        """Return the ways of these names, doubled ones once."""
        found: dict[Way, None] = {}
        for name in names:
            parts = folded_words(name)
            letters = [part for part in parts if not part.isdigit()]
            figures = [part for part in parts if part.isdigit()]
            self.known.update(letters)
            if letters:
                found["".join(letters), tuple(figures)] = None
            elif figures:
                found["".join(figures), tuple(figures)] = None
        return found

    def words_of_make(self, make: int) -> Places:
        """Return the words of all models of a make."""
        return self._words_by_make[self._makes_start[make] : self._makes_start[make + 1]]

    def ways_of(self, words: Places) -> tuple[Places, Places]:
        """Return the ways that have one of ``words``, and for each which of ``words``, by its place there."""
        starts = self._words_start[words]
        counts = self._words_start[words + 1] - starts
        rows = np.repeat(np.arange(len(words)), counts)
        before = np.cumsum(counts) - counts
        return np.arange(len(rows)) + np.repeat(starts - before, counts), rows


def union(found: Iterable[Places]) -> Places:
    """Return all places once, in order."""
    return np.unique(np.concatenate([_NONE, *found]))


def _places(items: Sequence[Any]) -> Places:
    return np.array(items, dtype=np.intp)
