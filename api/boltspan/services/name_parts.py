"""The parts of a text that may each be a name's word, and what it costs to take them for one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from rapidfuzz import process
from rapidfuzz.distance import OSA

from boltspan.services.query_text import Asked

Costs = NDArray[np.float64]
NEVER: Final = 1e6
MOST_UNLIKE: Final = 0.4
"""Of a word's letters, how many may be wrong: two of five. This and all costs, in letters, are judgement."""
LONGEST: Final = 40
_LEFT_OVER: Final = 0.5
_MOST_LEFT_OVER: Final = 2.5
_JOINT: Final = 0.25
_CUT_OFF: Final = 1.5
_CUT_LETTER: Final = 0.15
_LEAST_CUT: Final = 3
_UNLIKE: Final = 2.0
_UNSAID: Final = 0.5


class Parts:
    """Every word of a text, and every two or three in a row taken together, since a blank may be one too many.

    Of a text of many words fewer are taken together, so that there are never more than 13 parts.
    ``left`` is what it costs to leave a part's words unexplained; ``total`` that of the whole text. Figures cost
    nothing here, since ``number_costs`` counts them.
    """

    def __init__(self, words: Sequence[str]) -> None:
        spans = [
            (start, start + count)
            for count in range(1, _most_joined(len(words)) + 1)
            for start in range(len(words) - count + 1)
            if sum(map(len, words[start : start + count])) <= LONGEST
        ]
        self.texts = ["".join(words[a:b]) for a, b in spans]
        costs = [0.0 if word.isdigit() else min(_LEFT_OVER * len(word), _MOST_LEFT_OVER) for word in words]
        self.total = sum(costs)
        self.left = np.array([sum(costs[a:b]) for a, b in spans])
        self._joints = np.array([_JOINT * (b - a - 1) for a, b in spans])
        self.singles = [i for i, (a, b) in enumerate(spans) if b - a == 1]
        starts, ends = np.array([a for a, _ in spans]), np.array([b for _, b in spans])
        self.apart = (starts[:, None] >= ends[None, :]) | (ends[:, None] <= starts[None, :])
        """Whether two parts share no word."""

    def costs(self, words: Sequence[str]) -> Costs:
        """Return what it costs to take each part (a column) for each of ``words`` (a row), NEVER when it is too unlike.

        An error of typing costs 1: a letter dropped, put in, changed, or two neighbours exchanged (optimal string
        alignment). The beginning of a word may stand for all of it.
        """
        if not words:
            return np.empty((0, len(self.texts)))
        lengths = np.array([len(word) for word in words], dtype=np.float64)
        found = _distances(words, self.texts)
        found[found > MOST_UNLIKE * lengths[:, None]] = NEVER
        for place in self.singles:
            part = self.texts[place]
            if len(part) >= _LEAST_CUT:
                cut = _distances([word[: len(part)] for word in words], [part])[:, 0]
                cut[(cut > MOST_UNLIKE * len(part)) | (lengths <= len(part))] = NEVER
                found[:, place] = np.minimum(found[:, place], cut + _CUT_OFF + _CUT_LETTER * (lengths - len(part)))
        found += self._joints
        return found


def _most_joined(words: int) -> int:
    """Return how many of so many words in a row are taken together."""
    return 3 if words <= 4 else 2 if words <= 5 else 1


def _distances(words: Sequence[str], parts: Sequence[str]) -> Costs:
    found: Costs = process.cdist(words, parts, scorer=OSA.distance, dtype=np.float64)
    return found


def together_costs(words: Sequence[str], part: str) -> Costs:
    """Return what it costs to take ``part`` for each of ``words``, which are names run together."""
    found = _distances(words, [part])[:, 0]
    found[found > MOST_UNLIKE * np.array([len(word) for word in words])] = NEVER
    return found + _JOINT


def number_costs(asked: Asked, numbers: Sequence[tuple[str, ...]]) -> list[float]:
    """Return what it costs that a name has each of these sets of figures.

    A figure that the text has and the name has not may be something else, such as the travel; one that differs from the
    name's own tells against it.
    """
    said = set(asked.numbers)
    return [_UNLIKE * len(said - set(own)) + (_UNLIKE if said else _UNSAID) * len(set(own) - said) for own in numbers]
