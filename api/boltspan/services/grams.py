"""Words that are like a word, found by what both have: pairs of letters that stand together or one apart.

A mistyped letter spoils at most five of a word's pairs, and of the rest the rare ones weigh most. Two words are as like
as the weight of the pairs they share is to the weight of each one's pairs together (half of Dice's coefficient).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Places = NDArray[np.intp]
_EDGE: Final = "\n"
"""Stands before and behind a word, so that its first and last letter make a pair too."""


class GramIndex:
    """The pairs of letters of a fixed list of words, and which words have each."""

    def __init__(self, words: Sequence[str]) -> None:
        """Index ``words``, none of them empty and none with a line break."""
        text = _EDGE + _EDGE.join(words) + _EDGE if words else _EDGE
        codes = np.frombuffer(text.encode("utf-32-le"), dtype="<u4")
        alphabet, letters = np.unique(codes, return_inverse=True)
        self._letters = {chr(code): number for number, code in enumerate(alphabet.tolist())}
        self._count = len(words)
        grams, owners = self._pairs(letters.astype(np.int32))
        order = np.argsort(grams, kind="stable")  # by gram, then by word, since the words come in order
        grams, owners = grams[order], owners[order]
        del order
        once = np.ones(len(grams), dtype=bool)
        once[1:] = (grams[1:] != grams[:-1]) | (owners[1:] != owners[:-1])
        grams, self._owners = grams[once], owners[once]
        found, starts, counts = np.unique(grams, return_index=True, return_counts=True)
        weights = np.log((len(words) + 1) / counts).astype(np.float32)
        rows = zip(found.tolist(), starts.tolist(), counts.tolist(), weights, strict=True)
        self._rows = {gram: (start, start + count, weight) for gram, start, count, weight in rows}
        self._unknown = np.float32(np.log(len(words) + 1))
        self._sums = np.zeros(len(words), dtype=np.float32)
        np.add.at(self._sums, self._owners, np.repeat(weights, counts))

    def _pairs(self, letters: NDArray[np.int32]) -> tuple[NDArray[Any], NDArray[np.int32]]:
        """Return every pair of letters in the joined words as a number, and the place of the word it is of."""
        size, edges = len(self._letters), letters == self._letters[_EDGE]
        owner = np.cumsum(edges, dtype=np.int32) - 1
        within = ~edges[1:-1]
        apart = (letters[:-2] * size + letters[2:])[within] + size * size
        grams = np.concatenate([letters[:-1] * size + letters[1:], apart])
        if 2 * size * size < 1 << 16:
            grams = grams.astype(np.uint16)  # sorted several times as fast
        return grams, np.concatenate([owner[:-1], owner[:-2][within]])

    def like(self, word: str, most: int) -> Places:
        """Return the places of the ``most`` words that are most like ``word``, in no order; fewer when there are not.

        Words that share no pair with it are never among them.
        """
        shared, total = np.zeros(self._count, dtype=np.float32), np.float32(0)
        for gram in self._grams(word):
            start, end, weight = self._rows.get(gram, (0, 0, self._unknown))
            np.add.at(shared, self._owners[start:end], weight)
            total += weight
        likeness = shared / (self._sums + total)
        if most < len(likeness):
            best = np.argpartition(likeness, -most)[-most:]
            return best[likeness[best] > 0]
        return np.flatnonzero(likeness)

    def _grams(self, word: str) -> Iterator[int]:
        """Yield the pairs of one word, each once; a number below 0 is a pair no indexed word has."""
        size = len(self._letters)
        numbers = [self._letters.get(letter) for letter in f"{_EDGE}{word}{_EDGE}"]
        pairs = [*pairwise(numbers)]
        further = [*zip(numbers, numbers[2:], strict=False)]
        seen: set[int] = set()
        for place, (a, b) in enumerate([*pairs, *further]):
            offset = 0 if place < len(pairs) else size * size
            gram = -1 - place if a is None or b is None else a * size + b + offset
            if gram not in seen:
                seen.add(gram)
                yield gram
