"""Simple fields that several records share: dates, texts, model years (see records.py for the manner)."""

from __future__ import annotations

import datetime
import unicodedata
from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import YEARS, Years
from boltspan.domain.problems import Problems

FIRST_DAY: Final = datetime.date(1990, 1, 1)


def date_from(value: object, pointer: str) -> str:
    """Return ``value`` when it is a calendar date "YYYY-MM-DD" from 1990 on; raise InvalidInput otherwise."""
    try:
        if not isinstance(value, str) or len(value) != 10 or datetime.date.fromisoformat(value) < FIRST_DAY:
            raise ValueError
    except ValueError:
        raise InvalidInput.one(
            pointer, "bad_date", "this is no date", got=value, accepted=f"YYYY-MM-DD, {FIRST_DAY} or later"
        ) from None
    return value


def text_from(value: object, pointer: str, most: int) -> str:
    """Return ``value`` as plain text, NFC, 1 to ``most`` characters, without control characters but line breaks."""
    accepted = f"text of 1 to {most} characters"
    if not isinstance(value, str):
        raise InvalidInput.one(pointer, "not_text", "text is wanted here", got=value, accepted=accepted)
    text = unicodedata.normalize("NFC", value)
    if not len(text.strip()) >= 1 or len(text) > most:
        raise InvalidInput.one(pointer, "bad_length", "the text is empty or too long", got=text, accepted=accepted)
    if any(unicodedata.category(ch) in ("Cc", "Cf", "Cs", "Co") and ch not in "\n\t" for ch in text):
        raise InvalidInput.one(
            pointer,
            "hidden_character",
            "the text holds characters that cannot be seen",
            got=text.encode("unicode_escape").decode(),
            accepted=accepted,
        )
    return text


def years_from(data: Mapping[str, Any], pointer: str) -> Years:
    """Return the years in ``data`` (keys from, to); ``to`` absent means still made."""
    lo, hi = YEARS
    problems = Problems()
    for key in ("from", "to"):
        year = data.get(key)
        if (key == "from" or key in data) and (type(year) is not int or not lo <= year <= hi):
            problems.add(f"{pointer}/{key}", "bad_year", "this is no model year", year, f"a whole number {lo} to {hi}")
    problems.raise_any()
    years = Years(data["from"], data.get("to"))
    if years.end is not None and years.end < years.start:
        problems.add(
            f"{pointer}/to",
            "years_turned",
            "the last year lies before the first",
            years.end,
            f"{years.start} or later; absent while still made",
        )
    problems.raise_any()
    return years


def years_json(years: Years) -> dict[str, int]:
    """Return the JSON form of years."""
    return {"from": years.start} if years.end is None else {"from": years.start, "to": years.end}
