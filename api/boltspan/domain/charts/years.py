"""The model years that a cell names: 2019, '19, MY20, 2019-21, 2019/20, 2019+, 2017, 2018."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final

from boltspan.domain.frames import YEARS, Years

_FULL: Final = r"(?:19[89]\d|20\d\d)(?:\.0)?"
_YEAR: Final = rf"(?:my|model\s*year)?[\s.]*(?:{_FULL}|'?\d\d)"
_ONE: Final = re.compile(_YEAR).fullmatch
_SPAN: Final = re.compile(rf"(?P<first>{_YEAR})\s*(?:-|/|\bto\b|\btill\b|\buntil\b)\s*(?P<last>{_YEAR})").fullmatch
_OPEN: Final = re.compile(
    rf"(?:from\s+|since\s+)?(?P<first>{_YEAR})\s*(?:\+|-|on|onwards?|and\s+later|and\s+up|>)"
).fullmatch
_SINCE: Final = re.compile(rf"(?:from|since)\s+(?P<first>{_YEAR})").fullmatch
_LIST: Final = re.compile(r"\s*(?:,|;|&|\band\b|\n)\s*")
_FOLDED: Final = str.maketrans({"–": "-", "—": "-", "−": "-", "‐": "-", "’": "'", "‘": "'", "`": "'", "´": "'"})
_TURN: Final = 80
"""Two digits from here on are of the nineteen hundreds, as the first model years kept are of 1980."""


@lru_cache(maxsize=4096)
def years_in_cell(text: str) -> tuple[Years, ...] | None:
    """Return the years the cell names, by first year, touching ones joined; None when it names none in a clear way.

    Two digits alone are a year here, since the column holds nothing else. A year outside the range kept, a span that
    runs backwards, and a cell that a spreadsheet took for a date (Jan-20) are not clear.

    >>> years_in_cell("2019-21")
    (Years(start=2019, end=2021),)
    >>> years_in_cell("'19+")
    (Years(start=2019, end=None),)
    """
    plain = unicodedata.normalize("NFKC", text).translate(_FOLDED).casefold().strip()
    spans = []
    whole = _span(plain)
    for part in [plain] if whole else _LIST.split(plain):
        found = _span(part)
        if found is None:
            return None
        spans.append(found)
    return _joined(spans)


def _span(text: str) -> Years | None:
    if _ONE(text):
        first = last = _number(text)
    elif found := _OPEN(text) or _SINCE(text):
        first, last = _number(found["first"]), None
    elif found := _SPAN(text):
        first, last = _number(found["first"]), _number(found["last"])
    else:
        return None
    low, high = YEARS
    if not low <= first <= high or (last is not None and not first <= last <= high):
        return None
    return Years(first, last)


def _number(text: str) -> int:
    digits = re.sub(r"\.0$", "", text)
    found = int(re.sub(r"\D", "", digits))
    return found if found > 99 else found + (1900 if found >= _TURN else 2000)


def _joined(spans: list[Years]) -> tuple[Years, ...]:
    found: list[Years] = []
    for span in sorted(spans, key=lambda years: years.start):
        before = found[-1] if found else None
        if before is None or (before.end is not None and span.start > before.end + 1):
            found.append(span)
        elif before.end is not None and (span.end is None or span.end > before.end):
            found[-1] = Years(before.start, span.end)
    return tuple(found)
