"""Names as shops and riders write them: mistyped, cut off, turned, run together, with a year and other words about.

Every query is made of one model's names and stays answerable: a person who knows the model would see which it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.frames import Make, Model
from tests.worlds.chances import Chances

NO_MAKE: Final = 1 / 3
TWO_ERRORS: Final = 0.5
ALIAS: Final = 0.15
TURNED: Final = 0.25
RUN_TOGETHER: Final = 0.10
CUT_OFF: Final = 0.10
"""Of queries with a make and without errors of typing in the word that is cut."""
OTHER_WORDS: Final = 0.35
YEAR: Final = 0.6

BEFORE: Final = (
    "hardware for", "shock hardware for", "need bolts for my", "looking for bushings", "hi, spacers for a", "kit for",
    "which bushing for", "do you have the sleeve for", "rear shock",
)  # fmt: skip
AFTER: Final = (
    "size L", "size M", "frame size XL", "frame", "shock", "rear shock", "shock mount", "large", "front end", "upper",
    "lower eyelet", "bike", "frame only", "hardware", "please", "black", "mounting kit", "29er", "210x55", "M8",
)  # fmt: skip
_KEYS: Final = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Query:
    """A text as somebody writes it, the model that is meant, and the year (None when none or several are named)."""

    text: str
    make: str
    model: str
    year: int | None
    errors: int


def queries(named: Sequence[tuple[Make, Model]], seed: int, count: int) -> Iterator[Query]:
    """Yield ``count`` queries about models drawn from ``named``, the same for the same seed."""
    chances = Chances("queries", seed)
    for _ in range(count):
        make, model = chances.one_of(named)
        yield mangled(chances, make, model)


def mangled(chances: Chances, make: Make, model: Model) -> Query:
    """Return one way to write ``make`` and ``model`` with one or two errors of typing."""
    errors = 2 if chances.happens(TWO_ERRORS) else 1
    maker = _one_name(chances, make.name, make.aliases).split()
    words = _one_name(chances, model.name, model.aliases).split()
    if chances.happens(NO_MAKE):
        maker = []
    text = _mistyped(chances, [*maker, *words], errors)
    maker, words = text[: len(maker)], text[len(maker) :]
    if maker and chances.happens(CUT_OFF):
        maker = [_cut_off(chances, maker[0])]
    turned = chances.happens(TURNED)
    whole = [*words, *maker] if turned else [*maker, *words]
    name = " ".join(whole)
    if len(whole) > 1 and chances.happens(RUN_TOGETHER):
        name = "".join(whole) if chances.happens(0.5) else name.replace(" ", "", 1)
    year, written = _year(chances) if chances.happens(YEAR) else (None, "")
    parts = [name]
    if written:
        parts.insert(chances.below(2), written)
    if chances.happens(OTHER_WORDS):
        if chances.happens(0.4):
            parts.insert(0, chances.one_of(BEFORE))
        else:
            parts.append(chances.one_of(AFTER))
    return Query(_cased(chances, _joined(chances, parts)), make.slug, model.slug, year, errors)


def mistype(chances: Chances, word: str) -> str:
    """Return ``word`` with one error: a letter dropped, doubled, put in, struck beside, or two letters exchanged."""
    place = chances.below(len(word))
    letter = word[place].lower()
    kind = chances.weighed({"dropped": 25, "beside": 25, "exchanged": 20, "doubled": 15, "put in": 10, "wrong": 5})
    if kind == "dropped" and len(word) > 2:
        return word[:place] + word[place + 1 :]
    if kind == "exchanged" and len(word) > 1:
        place = min(place, len(word) - 2)
        return word[:place] + word[place + 1] + word[place] + word[place + 2 :]
    if kind == "doubled":
        return word[:place] + letter + word[place:]
    if kind == "put in":
        return word[:place] + chances.one_of(_LETTERS) + word[place:]
    other = chances.one_of(_LETTERS) if kind == "wrong" else _beside(chances, letter)
    return word[:place] + other + word[place + 1 :]


def _beside(chances: Chances, letter: str) -> str:
    row = next((row for row in _KEYS if letter in row), "asdf")
    place = max(row.find(letter), 0)
    return chances.one_of([row[i] for i in (place - 1, place + 1) if 0 <= i < len(row)])


def _mistyped(chances: Chances, words: Sequence[str], errors: int) -> list[str]:
    """Return the words with errors in those of three letters or more; figures stay, since nobody could mend them."""
    found = list(words)
    for _ in range(errors):
        place = chances.one_of([i for i, word in enumerate(found) if len(word) > 2 and not word.isdigit()])
        found[place] = mistype(chances, found[place])
    return found


def _one_name(chances: Chances, name: str, aliases: Sequence[str]) -> str:
    return chances.one_of(aliases) if aliases and chances.happens(ALIAS) else name


def _cut_off(chances: Chances, word: str) -> str:
    return word[: chances.among(4, max(4, len(word) - 2))] + ("." if chances.happens(0.5) else "")


def _year(chances: Chances) -> tuple[int | None, str]:
    """Return a model year, None for several, and how it is written."""
    year = chances.among(2008, 2027)
    short = f"{year % 100:02}"
    several = f"{(year + 1) % 100:02}"
    known = {
        f"{year}": 8.0, f"'{short}": 4, f"’{short}": 2, f"MY{short}": 2, f"my {year}": 2, f"({year})": 2, f"{year},": 1,
        f"model year {year}": 1,
    }  # fmt: skip
    ranges = {f"{year}-{several}": 2.0, f"{short}/{several}": 2, f"{year}/{several}": 1, f"{year}-{year + 2}": 1}
    if chances.happens(0.8):
        return year, chances.weighed(known)
    return None, chances.weighed(ranges)


def _joined(chances: Chances, parts: Sequence[str]) -> str:
    return chances.weighed({" ": 8.0, ", ": 1, "  ": 1, " - ": 1}).join(parts)


def _cased(chances: Chances, text: str) -> str:
    way = chances.weighed({"lower": 5.0, "as it is": 3, "upper": 1})
    return text.lower() if way == "lower" else text.upper() if way == "upper" else text
