"""Names of makes and models that nobody has: syllables put together by rule, with the numbers the trade puts behind.

A word is read back in one way only (consonants and vowels take turns, and each part is a whole run of either), so two
numbers never give one word. Landscape endings and travel or wheel sizes behind the name are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import Final

ONSETS: Final = (
    "b", "br", "d", "dr", "f", "fl", "g", "gl", "h", "k", "kl", "l", "m", "n", "p", "pl", "pr", "qu", "r", "s", "sk",
    "sl", "sn", "st", "str", "t", "th", "thr", "tr", "w", "wr",
)  # fmt: skip
VOWELS: Final = ("a", "e", "i", "o", "u", "ai", "ea", "oa")
MIDDLES: Final = (
    "bb", "br", "dd", "ddl", "ff", "ft", "ld", "lk", "ll", "lm", "lt", "lv", "mb", "mm", "nd", "ndr", "nn", "nt", "pp",
    "rd", "rk", "rl", "rm", "rr", "rv", "sp", "st", "tch", "v", "x",
)  # fmt: skip
INNER: Final = ("b", "d", "k", "l", "m", "n", "nd", "r", "rl", "s", "st", "t", "v", "w")
ENDINGS: Final = (
    "an", "and", "ard", "el", "eld", "en", "er", "ern", "et", "ick", "ie", "in", "ish", "ith", "och", "ock", "on", "or",
    "oss", "ow", "um", "ust", "y",
)  # fmt: skip
RARE_ENDINGS: Final = ("and", "eld", "ern", "ish", "ith", "och", "oss", "ow", "um", "urn", "ust", "yre")
"""Short words end in these, since with a common ending some are words of the language."""
PLACES: Final = (
    "bank", "beck", "brae", "crag", "dale", "fell", "field", "gill", "haugh", "ledge", "line", "mark", "mere", "moor",
    "path", "reel", "ridge", "scar", "shaw", "tarn", "wake", "wold",
)  # fmt: skip
MAKE_ENDINGS: Final = (
    "bourne", "cote", "ford", "gate", "garth", "ham", "hope", "hurst", "ley", "stead", "thorpe", "vale", "wick",
    "worth",
)  # fmt: skip
MAKE_SUFFIXES: Final = ("Works", "Cycles", "Frames")
NUMBERS: Final = ("29", "120", "130", "140", "150", "160", "170", "27", "100", "180")
LETTERS: Final = ("S", "R", "X", "C", "E")

_STEMS: Final = (ONSETS, VOWELS, MIDDLES)
_SHORT: Final = (*_STEMS, RARE_ENDINGS)
_LONG: Final = (ONSETS, VOWELS, INNER, VOWELS, MIDDLES, ENDINGS)
_PLACE: Final = (*_STEMS, ("an", "en", "er", "le", "ow", "y"), PLACES)
_MAKE: Final = (*_STEMS, ("a", "e", "i", "o"), MAKE_ENDINGS)
_KINDS: Final = (_LONG, _PLACE, _LONG, _SHORT, _PLACE, _LONG, _PLACE, _LONG)
"""One word in eight is short; so many short ones would lie a letter apart from each other otherwise."""


def make_name(seed: int, number: int) -> str:
    """Return the name of the make ``number`` (0 or more) of world ``seed``; no two are alike below 200,000."""
    return _word(_MAKE, seed, number)


def model_word(seed: int, number: int) -> str:
    """Return the word that model ``number`` is called by; no two are alike below 700,000."""
    kinds = len(_KINDS)
    kind = _KINDS[number % kinds]
    turn = sum(1 for place in range(number % kinds) if _KINDS[place] is kind)
    return _word(kind, seed, number // kinds * _KINDS.count(kind) + turn)


def _word(parts: Sequence[Sequence[str]], seed: int, number: int) -> str:
    """Return the word at ``number`` when all words of these parts are gone through in long steps from ``seed`` on."""
    count = math.prod(map(len, parts))
    place = (seed * _step(count, 236) + number * _step(count, 618)) % count
    found = []
    for choices in parts:
        place, rest = divmod(place, len(choices))
        found.append(choices[rest])
    return "".join(found).capitalize()


@cache
def _step(count: int, thousandths: int) -> int:
    """Return a step of about this share of ``count`` that reaches all of it once: it has no divisor in common."""
    step = count * thousandths // 1000
    while math.gcd(step, count) != 1:
        step += 1
    return step
