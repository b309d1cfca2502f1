"""From raw text to the few characters a label is made of."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from boltspan.domain.labels.refusals import LabelRefusalError

MOST_CHARACTERS: Final = 200

_ALLOWED: Final = re.compile(r'[a-z0-9 \t\n.,;:/|&()±+\-"⌀]*').fullmatch
_COMMA_ALONE: Final = re.compile(r"\d+,\d+", re.ASCII).fullmatch
_FOLDED: Final = str.maketrans(
    {"×": " x ", "✕": " x ", "✖": " x ", "х": " x ", "⁄": "/", "ø": "⌀", "φ": "⌀", "”": '"'}
    | {"–": "-", "—": "-", "−": "-"}
)
_VULGAR: Final = "¼½¾⅐-⅞↉"
# A vulgar fraction stands apart from a number on either side: NFKC alone turns 1⅛ into 11/8. "⅟" opens a fraction.
_BEFORE_VULGAR: Final = re.compile(f"(?<=[0-9０-９.,．，])(?=[{_VULGAR}⅟])")
_AFTER_VULGAR: Final = re.compile(f"(?<=[{_VULGAR}])(?=[0-9０-９.,．，])")
_RAISED_SIGNS: Final = frozenset("⁺⁻⁼⁽⁾₊₋₌₍₎")


def clean(text: str) -> str:
    """Return the text in lower case, normalised, in the characters of the grammar only.

    The separator x stands for every multiplication sign, ``⌀`` for every diameter mark, ``"`` for every inch mark.
    Raises LabelRefusalError: too_long, empty, digit_script, bad_character, or comma_unclear for a text that is digits,
    a comma and digits.
    """
    if len(text) > MOST_CHARACTERS:
        raise LabelRefusalError("too_long")
    if not text.isascii():
        text = _folded(text)
    text = text.strip().lower()
    if not text:
        raise LabelRefusalError("empty")
    if "*" in text:
        text = text.replace("*", " x ").strip()
    if "''" in text:
        text = text.replace("''", '"')
    if "+/-" in text:
        text = text.replace("+/-", "±")
    if not _ALLOWED(text):
        raise LabelRefusalError("bad_character")
    if "," in text and _COMMA_ALONE(text):
        raise LabelRefusalError("comma_unclear")
    return text


def _folded(text: str) -> str:
    foreign = [char for char in text if not char.isascii() and not "０" <= char <= "９"]
    if any(unicodedata.category(char) == "Nd" for char in foreign):
        raise LabelRefusalError("digit_script")
    if any(_raised_or_circled(char) for char in foreign):
        raise LabelRefusalError("bad_character")
    text = _AFTER_VULGAR.sub(" ", _BEFORE_VULGAR.sub(" ", text))
    # NFKC spells the double prime as two primes.
    return unicodedata.normalize("NFKC", text).lower().translate(_FOLDED).replace("′′", '"')


def _raised_or_circled(char: str) -> bool:
    """Whether normalising would make a plain digit or sign of a character that is none."""
    if char in _RAISED_SIGNS:
        return True
    return not unicodedata.decomposition(char).startswith("<fraction>") and any(
        "0" <= plain <= "9" for plain in unicodedata.normalize("NFKC", char)
    )
