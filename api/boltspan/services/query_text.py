"""What people write when they ask for a frame: the model years, the words and figures of a name, and words about it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container
from dataclasses import dataclass
from typing import Final

from boltspan.domain.frames import Years

MOST_WORDS: Final = 12
_QUOTES: Final = str.maketrans(dict.fromkeys("’‘ʼʹ`´′", "'"))
_FULL: Final = r"(?:19[89]|20[0-4])\d"
_YEARS: Final = re.compile(
    rf"""
      (?<!\d) (?P<from>{_FULL}) \s?[-–/]\s? '?(?P<to>{_FULL}|\d\d) (?!\d)      # 2019-21, 2019/2020
    | (?<![\d.,x/–-]) '?(?P<first>\d\d) [-–/] '?(?P<last>\d\d) (?![\d.,x/–-])  # 19/20, '19-'21
    | (?<![a-z]) (?:my|model\s?year|year) [\s.']* (?P<named>{_FULL}|\d\d) (?![-–/]?\d)  # MY21, model year 2021
    | (?<!\d) '(?P<short>\d\d) (?!\d)                                          # '21
    | (?<!\d) (?P<plain>{_FULL}) (?!\d)                                        # 2021
    """,
    re.VERBOSE,
)
"""Model years 1980 to 2049. Two bare digits are a wheel size as soon as a year, so they need a mark."""
_LONGEST_RANGE: Final = 6
_SIZES: Final = re.compile(
    r"""
      \d+(?:[.,/]\d+)? \s?[x×*]\s? m?\d+(?:[.,]\d+)?                           # 210x55, 8 x 22.2
    | (?<![a-z0-9]) m(?:5|6|8|10|12|14) (?![a-z0-9])                           # M8
    | (?<![a-z]) size \s+ (?:x{0,2}s|s/m|sm|md|m/l|m|l|lg|x{1,3}l|small|medium|large|\d\d?) (?![a-z0-9])
    """,
    re.VERBOSE,
)
_WORDS: Final = re.compile(r"[^\W\d_]+|\d+")
_ABOUT: Final = (
    "a an and any at bearing bearings bike bikes body bolt bolts bottom bush bushes bushing bushings can complete "
    "damper do end er eyelet eyelets fit fits fitting for frame frameset front full fully get hardware has have "
    "hello hi i in inch is it kit kits large link linkage looking lower m medium mm model mount mounting mounts mtb "
    "my need of on only or pair part parts pin pins please pls rear reducer reducers s set shaft shock shocks size "
    "sleeve sleeves small spacer spacers thanks that the this to top travel trunnion unit upper want what wheel "
    "which will with xl xs year you "
)
ABOUT: Final = frozenset(_ABOUT.split())
"""Words about a frame, a shock and asking; they are passed over unless a name has them."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is left of a text: its words, folded, and its figures, both in their order."""

    words: tuple[str, ...]
    numbers: tuple[str, ...]


def years_in(text: str) -> tuple[str, Years | None]:
    """Return the text without model years, and the years from the first to the last named (None when none is).

    Read are 2021, '21, MY21, model year 2021, 2019-21, 2019/2020, 19/20, from 1980 to 2049. Two bare digits are no
    year: 29 is a wheel's size. Without a year the text comes back as it was.
    """
    found: list[int] = []

    def taken(match: re.Match[str]) -> str:
        years = _years_of(match)
        found.extend(years)
        return " " if years else match[0]

    plain = unicodedata.normalize("NFKC", text).casefold().translate(_QUOTES)
    rest = _YEARS.sub(taken, plain)
    if not found:
        return text, None
    return rest, Years(min(found), max(found))


def year_in(text: str) -> tuple[str, int | None]:
    """Return the text without model years, and the year when there is just one (None for several and for none)."""
    rest, years = years_in(text)
    return rest, years.start if years is not None and years.start == years.end else None


def _years_of(match: re.Match[str]) -> list[int]:
    start, end = match["from"], match["to"]
    if start is not None:
        first = int(start)
        last = int(end) if len(end) == 4 else first // 100 * 100 + int(end)
        return [first, last] if first < last else [first]
    if match["first"] is not None:
        first, last = int(match["first"]), int(match["last"])
        near = 1 if "/" in match[0] else _LONGEST_RANGE
        return [2000 + first, 2000 + last] if first < last <= min(first + near, 49) else []
    written = match["named"] or match["short"] or match["plain"]
    year = int(written)
    if len(written) == 2:
        year += 2000 if year < 50 else 1900
    return [year] if year >= 1980 else []


def folded_words(text: str) -> list[str]:
    """Return runs of letters and of digits in the text, in lower case and without accents; [] for nothing of either."""
    if not text.isascii():
        text = "".join(ch for ch in unicodedata.normalize("NFKD", text) if not unicodedata.combining(ch))
    return _WORDS.findall(text.casefold())


def asked(text: str, known: Container[str]) -> Asked:
    """Return the words and figures in ``text`` that may belong to a name.

    Sizes of hardware, shocks and frames are left out, and words about a frame that are not among the ``known`` ones of
    names. Of a long text only the beginning counts.
    """
    found = folded_words(_SIZES.sub(" ", text.casefold()))[: 3 * MOST_WORDS]
    words = [w for w in found if not w.isdigit() and (w in known or w not in ABOUT)][:MOST_WORDS]
    return Asked(tuple(words), tuple(w for w in found if w.isdigit())[:MOST_WORDS])
