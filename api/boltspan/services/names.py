"""Finding models by name as people write it: words turned or run together, a maker missing or cut off, letters wrong.

A text is explained by a name at a cost, counted in letters: each error of typing is one, and what is left over, left
out or cut off costs something too (name_parts.py). The names that explain it at the least cost are the likeliest. Words
that may be meant are found by their pairs of letters (grams.py), so that only few are compared letter by letter.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from boltspan.domain.frames import Make, Model
from boltspan.services.grams import GramIndex
from boltspan.services.name_parts import NEVER, Costs, Parts, number_costs, together_costs
from boltspan.services.name_ways import Places, Ways, union
from boltspan.services.query_text import Asked, asked, year_in, years_in

__all__ = ["SURE", "Hit", "NameIndex", "clear", "year_in", "years_in"]

MOST_FOUND: Final = 10
LEAST_LIKE: Final = 50.0
"""A name that leaves half of the text unexplained is not found."""
SURE: Final = 80.0
"""A text at least this like a name means it: two letters wrong in ten (judgement)."""
CLEARLY_LESS: Final = 10.0
EXACT: Final = 100.0
MAKE_ALONE: Final = 60.0
"""Likeness of the models of a make when the text names just the make."""
WORDS_COMPARED: Final = (700, 40, 120)
MAKES_COMPARED: Final = (48, 3, 8)
"""How many words, and makes, that are most like a part of the text are compared letter by letter: so many are shared
out among the parts, and each gets at least and at most so many."""
MAKES_WHOLE: Final = 4
"""Of how many makes all models are compared, for texts that cut the model's name off."""
_NO_MAKE: Final = 1.5
_LEAST_TOGETHER: Final = 8
_FIGURE: Final = 2
"""Letters that a figure counts for."""


@dataclass(frozen=True, slots=True)
class Hit:
    """A model that a text may mean, and how alike it is (0 to 100)."""

    make: str
    model: str
    likeness: float


def clear(hits: Sequence[Hit]) -> list[Hit]:
    """Return the hits that may be meant: the first, and those not clearly less like; beside an exact one, exact ones.

    No hits: none.
    """
    if not hits:
        return []
    best = hits[0].likeness
    least = best if best == EXACT else best - CLEARLY_LESS
    return [hit for hit in hits if hit.likeness >= least]


@dataclass(frozen=True, slots=True)
class _Compared:
    """What is compared with one text: words, ``like`` a part of it or of a make it names, and ways by their ``rows``.

    ``costs`` are of words (rows) as parts of the text (columns), ``makes`` words of makes with such costs of their own.
    """

    parts: Parts
    makes: Places
    make_costs: Costs
    words: Places
    like: NDArray[np.bool_]
    costs: Costs
    ways: Places
    rows: Places
    make_of_way: Places


class NameIndex:
    """Every way a model is called. Built once for a state of the catalogue, and never changed."""

    def __init__(self, makes: Iterable[Make], models: Iterable[Model]) -> None:
        self._ways = Ways(makes, models)
        self._words = GramIndex(self._ways.words)
        self._makes = GramIndex(self._ways.make_words)

    def find(self, text: str, limit: int = MOST_FOUND) -> list[Hit]:
        """Return the models ``text`` may mean, likest first, at most ``limit``; [] for nothing alike.

        The text has no model year any more (see ``year_in``). A text that names a make alone finds its models. Ties are
        ordered by make and model.
        """
        question = asked(text, self._ways.known)
        figures = [number for number in question.numbers if number in self._ways.figure_words]
        parts = Parts([*question.words, *figures])
        if not parts.texts or not self._ways.models:
            return []
        compared = self._compare(parts)
        numbers = np.array(number_costs(question, self._ways.numbers))[self._ways.numbers_of[compared.ways]]
        hits = self._hits(question, self._ways.model_of[compared.ways], self._name_costs(compared) + numbers, limit)
        if not hits or hits[0].likeness < SURE:
            return self._models_of_make(compared, limit) or hits
        return hits

    def _compare(self, parts: Parts) -> _Compared:
        ways = self._ways
        makes = union(self._makes.like(part, _share(MAKES_COMPARED, parts)) for part in parts.texts)
        make_costs = parts.costs([ways.make_words[make] for make in makes])
        like = union(self._words.like(part, _share(WORDS_COMPARED, parts)) for part in parts.texts)
        cheapest = make_costs.min(axis=1)
        named = [row for row in np.argsort(cheapest, kind="stable")[:MAKES_WHOLE] if cheapest[row] < NEVER]
        words = union([like, *(ways.words_of_make(ways.make_of_word[makes[row]]) for row in named)])
        costs = parts.costs([ways.words[word] for word in words])
        found, rows = ways.ways_of(words)
        make_of_way = ways.make_of_model[ways.model_of[found]]
        return _Compared(parts, makes, make_costs, words, np.isin(words, like), costs, found, rows, make_of_way)

    def _name_costs(self, compared: _Compared) -> Costs:
        """Return the least cost at which each way explains the text, its figures left aside."""
        found: Costs = _alone(compared)[compared.rows]
        for row, part in np.argwhere(compared.make_costs < NEVER):
            own = np.flatnonzero(compared.make_of_way == self._ways.make_of_word[compared.makes[row]])
            if len(own):
                beside = _beside(compared, part)[compared.rows[own]] + compared.make_costs[row, part]
                found[own] = np.minimum(found[own], beside)
        self._run_together(compared, found)
        return found

    def _run_together(self, compared: _Compared, found: Costs) -> None:
        """Lower the costs ``found`` of ways whose make and word stand in one word of the text."""
        parts, words = compared.parts, self._ways.words
        long = [place for place in parts.singles if len(parts.texts[place]) >= _LEAST_TOGETHER]
        texts: list[str] = []
        places: list[int] = []
        for make in compared.makes if long else ():
            name = self._ways.make_words[make]
            of_make = compared.make_of_way == self._ways.make_of_word[make]
            for way in np.flatnonzero(of_make & compared.like[compared.rows]):
                word = words[compared.words[compared.rows[way]]]
                texts += [name + word, word + name]
                places += [int(way)] * 2
        for place in long if texts else ():
            costs = together_costs(texts, parts.texts[place]) + parts.total - parts.left[place]
            np.minimum.at(found, places, costs)

    def _hits(self, question: Asked, models: Places, costs: Costs, limit: int) -> list[Hit]:
        letters = sum(map(len, question.words)) + _FIGURE * len(question.numbers)
        likeness = EXACT * (1 - costs / letters)
        kept = np.flatnonzero(likeness >= LEAST_LIKE)
        best: dict[int, float] = {}
        for way in kept[np.lexsort((models[kept], -likeness[kept]))]:
            if len(best) == limit:
                break
            best.setdefault(int(models[way]), float(likeness[way]))
        return [self._hit(model, found) for model, found in best.items()]

    def _models_of_make(self, compared: _Compared, limit: int) -> list[Hit]:
        """Return the first models of the make that the whole text names; [] when it names none."""
        left = compared.parts.total - compared.parts.left
        costs = (compared.make_costs + left).min(axis=1)
        if not len(costs) or costs.min() >= _NO_MAKE:
            return []
        make = self._ways.make_of_word[compared.makes[int(costs.argmin())]]
        own = np.flatnonzero(self._ways.make_of_model == make)[:limit]
        return [self._hit(int(model), MAKE_ALONE) for model in own]

    def _hit(self, model: int, likeness: float) -> Hit:
        make, slug = self._ways.models[model]
        return Hit(make, slug, likeness)


def _share(compared: tuple[int, int, int], parts: Parts) -> int:
    total, least, most = compared
    return max(least, min(most, total // len(parts.texts)))


def _alone(compared: _Compared) -> Costs:
    """Return what each word costs at its best part when the make is not named; what is left over is then a loss."""
    left = compared.parts.total - compared.parts.left
    found: Costs = (compared.costs + left + np.where(left > 0, _NO_MAKE, 0.0)).min(axis=1)
    return found


def _beside(compared: _Compared, taken: int) -> Costs:
    """Return what each word costs at its best part beside part ``taken``, which names the make."""
    parts = compared.parts
    left = parts.total - parts.left - parts.left[taken]
    found: Costs = (compared.costs + np.where(parts.apart[taken], left, NEVER)).min(axis=1)
    return found
