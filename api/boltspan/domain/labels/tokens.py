"""Cuts a label into numbers, words and signs."""

from __future__ import annotations

import re
from typing import Final

from boltspan.domain.labels.figures import NUMBER_PATTERN, number
from boltspan.domain.labels.refusals import LabelRefusalError
from boltspan.domain.labels.words import (
    BY,
    DOUBT,
    END,
    FILLER,
    MOUNT,
    NOTE,
    PHRASES,
    ROLE,
    SCREW,
    SEPARATOR,
    SPLIT,
    TO,
    UNKNOWN,
    WORDS,
    Number,
    Token,
    Word,
)

_ROLE_WORDS: Final = r"(?:id|dia(?:m(?:eter)?)?|bolt|w(?:ide|idth)?)"
_BEARING: Final = r"(?:bearings?|brn?gs?)"
_X: Final = rf"x(?:(?![a-z])|(?=(?:m|{_ROLE_WORDS})[ \t]*\.?\d))"
# Order matters: an x that joins sizes goes before words that start with x, a marking word glued to such an x ("wide" in
# 30widex8) before longer words, a phrase before its words.
_TOKEN: Final = re.compile(
    rf"""{NUMBER_PATTERN}
    |(?P<by>{_X})
    |(?P<rear_shock>rear[ \t-]+(?:shocks?|dampers?|units?))(?![a-z])
    |(?P<open_eyelet>open[ \t-]+eye(?:let)?s?)(?![a-z])
    |(?P<takes_bearing>{_BEARING}[ \t-]+(?:eyelets?[ \t-]+)?compatible|compatible[ \t-]+with[ \t-]+{_BEARING})(?![a-z])
    |(?P<no_hardware>no[ \t]+hardware)(?![a-z])
    |(?P<not_applicable>n/a)(?![a-z])
    |(?P<word>{_ROLE_WORDS}(?={_X})|[a-z]+)
    |(?P<sign>[^ \t])""",
    re.ASCII | re.VERBOSE,
)
_BASE_PREFIX: Final = re.compile(r"x[0-9a-f]", re.ASCII).match
_MARKED_NUMBER: Final = re.compile(r"[m⌀][ \t]*\.?\d", re.ASCII).match
_MAY_TOUCH_DIGITS: Final = frozenset({SEPARATOR, ROLE, END, MOUNT})
_BLANKS: Final = frozenset(" \t\n")
_SPLITS: Final = {sign: Word(SPLIT, sign) for sign in "/;|&\n"}
_COMMA: Final = Word(SEPARATOR, ",")
_DASH: Final = Word(SEPARATOR, "-")


class Scan:
    """A label cut into tokens, and what is known of the text as a whole.

    ``warnings`` is filled further while the tokens are read; ``doubt`` is the reason to refuse a label that could
    otherwise be read; ``numbers`` counts them without tolerances. Raises LabelRefusalError for a number or sign that
    cannot stand where it does.
    """

    __slots__ = (
        "_after_number", "_end", "_pending", "_text", "doubt", "named", "numbers", "screw", "split", "tokens",
        "warnings",
    )  # fmt: skip

    def __init__(self, text: str) -> None:
        self.tokens: list[Token] = []
        self.warnings: set[str] = set()
        self.doubt = ""
        self.numbers = 0
        self.named = False
        self.split = False
        self.screw = False
        self._text = text
        self._end = -1  # where the number before ends
        self._after_number = False  # a number stands before, with nothing but its marks and brackets between
        self._pending = ""  # a sign or word that says something of the number after it
        for match in _TOKEN.finditer(text):
            kind = match.lastgroup or ""
            if kind == "number":
                self._number(match)
            elif kind == "by":
                self._add(BY)
            elif kind == "word":
                self._word(match)
            elif kind == "sign":
                self._sign(match[0], match.start())
            else:
                self._take(PHRASES[kind])
        if self.tokens and self.tokens[-1] is _DASH:
            self.doubt = self.doubt or "range_not_single"

    def _add(self, token: Token) -> None:
        self.tokens.append(token)
        self._after_number = False
        self._pending = ""

    def _number(self, match: re.Match[str]) -> None:
        _, mark, whole, fraction, digits, written, mm, cm, *_ = match.groups()
        unit = "" if written is None else "mm" if mm else "cm" if cm else "in"
        start, end = match.span()
        if digits == "0" and _BASE_PREFIX(self._text, end):
            raise LabelRefusalError("bad_number")
        found = number(mark or "", whole, fraction, digits, unit)
        if mark == "±":
            self._tolerance()
            return
        if start == self._end:
            raise LabelRefusalError("bad_number")
        if self._pending:
            self._after_sign(found)
        if unit == "cm":
            self.warnings.add("unusual_unit")
        self.tokens.append(found)
        self.numbers += 1
        self._end = end
        self._after_number = True
        self._pending = ""

    def _tolerance(self) -> None:
        if not self._after_number:
            raise LabelRefusalError("no_number")
        self.warnings.add("tolerance_given")

    def _after_sign(self, found: Number) -> None:
        if self._pending == "to":
            raise LabelRefusalError("range_not_single")
        if self._pending != "-":
            raise LabelRefusalError("bad_number")
        if not found.mark:  # before M8 it is the dash of a list
            raise LabelRefusalError("number_not_positive")

    def _word(self, match: re.Match[str]) -> None:
        word = WORDS.get(match[0], UNKNOWN)
        if word.kind not in _MAY_TOUCH_DIGITS:
            start, end = match.span()
            if self._text[start - 1 : start].isdigit() or self._text[end : end + 1].isdigit():
                raise LabelRefusalError("bad_number")
        self._take(word)

    def _take(self, word: Word) -> None:
        """Add a word; those that concern the text as a whole are noted and stand as other words."""
        kind = word.kind
        if kind == ROLE:
            self.tokens.append(word)
            self._pending = ""
            return
        if kind == END:
            self.named = True
        elif kind == TO:
            self.doubt = self.doubt or word.value
            pending = "to" if self._after_number else ""
            self._add(UNKNOWN)
            self._pending = pending
            return
        elif kind == DOUBT:
            self.doubt = self.doubt or word.value
            word = UNKNOWN
        elif kind == NOTE:
            self.warnings.add(word.value)
            word = UNKNOWN
        elif kind == SCREW:
            self.screw = True
            word = UNKNOWN
        self._add(word)

    def _sign(self, sign: str, start: int) -> None:
        after = self._text[start + 1 : start + 2]
        if sign in _SPLITS:
            self._split(sign)
        elif sign == "-":
            self._dash(start, after)
        elif sign == ",":
            if self._after_number and _MARKED_NUMBER(self._text, start + 1):
                raise LabelRefusalError("comma_unclear")
            self.warnings.add("separator_unusual")
            self._add(_COMMA)
        elif sign == ":":
            self._pending = ":" if self._after_number else ""
        elif sign == "+":
            self._pending = "+"
        elif sign == ".":
            if start == 0 or self._text[start - 1] in " \t\n.":
                self.doubt = self.doubt or "bad_number"
        elif sign == '"':
            self.doubt = self.doubt or "unit_missing_inch"
        elif sign in "⌀±":
            raise LabelRefusalError("no_number")

    def _split(self, sign: str) -> None:
        if sign == "\n" and self._names_an_end():
            return  # the size of a named end may stand on the line below
        self.split = True
        self._add(_SPLITS[sign])

    def _names_an_end(self) -> bool:
        for token in reversed(self.tokens):
            if token.kind != FILLER:
                return token.kind == END
        return False

    def _dash(self, start: int, after: str) -> None:
        if self._after_number:
            self._add(_DASH)
            return
        words_before = bool(self.tokens) and self.tokens[-1].kind not in (SEPARATOR, SPLIT)
        if not (words_before and (after in _BLANKS or self._text[start - 1] not in _BLANKS)):
            self._pending = "-"
