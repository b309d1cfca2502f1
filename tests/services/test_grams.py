"""Words alike by their pairs of letters, against counting by hand."""

from __future__ import annotations

import itertools
import math

from boltspan.services.grams import GramIndex
from tests.worlds.names import model_word

WORDS = sorted({model_word(1, number).lower() for number in range(400)})


def pairs(word: str) -> set[tuple[int, str, str]]:
    edged = f"^{word}^"
    together = {(0, a, b) for a, b in itertools.pairwise(edged)}
    return together | {(1, a, b) for a, b in zip(edged, edged[2:], strict=False)}


def by_hand(word: str) -> list[tuple[float, str]]:
    """Return every word with the weight of shared pairs over both words' weights, likest first."""
    own = {w: pairs(w) for w in WORDS}
    every = set().union(*own.values())
    weight = {p: math.log((len(WORDS) + 1) / sum(p in o for o in own.values())) for p in every}
    unknown = math.log(len(WORDS) + 1)
    asked = pairs(word)
    total = sum(weight.get(p, unknown) for p in asked)
    found = [
        (sum(weight[p] for p in asked & o) / (total + sum(weight[p] for p in o)), w)
        for w, o in own.items()
        if asked & o
    ]
    return sorted(found, reverse=True)


def test_the_likest_are_those_counted_by_hand() -> None:
    index = GramIndex(WORDS)
    for word in (*WORDS[::40], *(w[:2] + w[3:] for w in WORDS[::40]), "qqq", "skerry", "ö" + WORDS[0]):
        expected = by_hand(word)[:12]
        got = {WORDS[place] for place in index.like(word, 12)}
        least = expected[-1][0] if expected else 0.0
        sure = {w for likeness, w in expected if likeness > least + 1e-6}
        assert sure <= got <= {w for likeness, w in by_hand(word) if likeness > least - 1e-6}


def test_few_words_and_none() -> None:
    assert set(GramIndex(["abc", "xyz"]).like("abz", 10)) == {0, 1}
    assert set(GramIndex(["abc", "xyz"]).like("abd", 10)) == {0}
    assert len(GramIndex([]).like("abc", 10)) == 0
    assert len(GramIndex(["abc"]).like("q", 10)) == 0
