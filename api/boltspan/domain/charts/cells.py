"""What a cell of a chart says of one end, in the words of size labels; abbreviations of charts spelt out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from boltspan.domain.errors import InvalidInput
from boltspan.domain.label_values import part_value
from boltspan.domain.labels import RefusedLabel, read_label
from boltspan.domain.labels.words import WORDS as LABEL_WORDS
from boltspan.domain.values import EndValue

BLANKS: Final = frozenset({"", "-", "--", "–", "—", "?", ".", "..."})
"""Cells that say nothing."""
SPELT_OUT: Final[dict[str, str]] = {
    "brg": "bearing", "comp": "compatible", "pair": "", "set": "",
}  # fmt: skip
"""Abbreviations of charts that labels do not know by themselves (common practice, no source)."""
# Words of phrases that labels know ("compatible with bearing", "n/a"), and letters that belong to numbers.
_IN_PHRASES: Final = frozenset({"compatible", "with", "n", "a", "x", "m"})
_WORD: Final = re.compile(r"(?<!\w)[^\W\d_]+(?!\w)")


@dataclass(frozen=True, slots=True)
class EndSaid:
    """What a cell says of one end: the end's name ("" when it names none, "both"), and the value."""

    end: str
    value: EndValue


@dataclass(frozen=True, slots=True)
class NotTaken:
    """A field of a row that is not taken: its heading, what stood there, the reason's code and its text."""

    field: str
    got: str
    code: str
    detail: str


def says(cell: str) -> bool:
    """Return whether a cell says anything."""
    return cell.strip() not in BLANKS


def spelt_out(cell: str, words: Mapping[str, str]) -> str:
    """Return the cell with its abbreviations spelt out; ``words`` (folded) go before the ones known here."""

    def one(found: re.Match[str]) -> str:
        word = found[0].casefold()
        return words.get(word, SPELT_OUT.get(word, found[0]))

    return _WORD.sub(one, cell)


def read_sizes(field: str, got: str, text: str) -> tuple[EndSaid, ...] | NotTaken:
    """Return what the label ``text`` (from the cell ``got`` of ``field``) says, or why it is not taken.

    A word that neither labels nor charts know may be a kind of mount, so a cell that holds one is not taken.
    """
    found = _read(text)
    return NotTaken(field, got, *found) if isinstance(found, _Refusal) else found


class _Refusal(NamedTuple):
    code: str
    detail: str


@lru_cache(maxsize=4096)  # charts say the same few sizes again and again
def _read(text: str) -> tuple[EndSaid, ...] | _Refusal:
    if strange := _strange(text):
        detail = f"the word {strange!r} is not known; the mapping's words can say what it stands for, or nothing"
        return _Refusal("word_not_known", detail)
    reading = read_label(text)
    if isinstance(reading, RefusedLabel):
        return _Refusal(reading.reason, reading.advice)
    try:
        return tuple(EndSaid("" if p.end.startswith("unnamed") else p.end, part_value(p)) for p in reading.parts)
    except InvalidInput as wrong:
        return _Refusal(wrong.problems[0].code, wrong.problems[0].detail)


def _strange(text: str) -> str | None:
    """Return the first word that is not known; signs of other scripts are left to the labels, which refuse them."""
    for found in _WORD.finditer(text):
        word = found[0].casefold()
        if word.isascii() and word not in LABEL_WORDS and word not in _IN_PHRASES:
            return found[0]
    return None
