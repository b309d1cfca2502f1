"""What a submission that is still being filled in reads as so far, at each place of the form.

It is read by the steps that check the whole form. What says nothing about the size (day, document, years) is left out,
so that the size is read before the rest is filled in; a place that cannot be read does not hide the others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput
from boltspan.domain.read_back import ReadBack, read_back
from boltspan.domain.sources import PARTS
from boltspan.domain.values import value_json
from boltspan.web import shock_submission, submission
from boltspan.web.fields import in_words

Read = Callable[[Mapping[str, str]], tuple[Claim, str | None]]
"""Returns the claim that a form's texts come to and the code of its mistake; raises InvalidInput."""
LABEL: Final = "label"
VALUE: Final = "value"
_VALUE_FIELDS: Final = ("mount", "bolt", "width", "eye_to_eye", "stroke", *shock_submission.FIELDS)
_BESIDE: Final = ("url", "document", "page", "quote", "seen_on", "year_from", "year_to")
_UNNAMED: Final = "not named yet"


@dataclass(frozen=True, slots=True)
class Said:
    """What is said at one place: its readings, or the value that is stated there, or what is wrong."""

    readings: tuple[ReadBack, ...] = ()
    value: Mapping[str, Any] | None = None
    wrong: tuple[str, ...] = ()


def said_of(typed: Mapping[str, str], today: str, read: Read) -> dict[str, Said]:
    """Return what ``read`` makes of the texts of a form, by place: a part of PARTS, LABEL or VALUE.

    Places where nothing is typed, or nothing that could be read yet, are left out.
    """
    texts = {name: text for name, text in typed.items() if name not in _BESIDE and text.strip()}
    found: dict[str, Said] = {}
    while places := _filled(texts):
        try:
            claim, mistake = read({**texts, "seen_on": today, "document": _UNNAMED})
        except InvalidInput as error:
            wrong = {place: told for place in places if (told := _wrong_at(place, error))}
            if not wrong:
                break
            found |= {place: Said(wrong=told) for place, told in wrong.items()}
            texts = {name: text for name, text in texts.items() if not any(_is_of(name, place) for place in wrong)}
        else:
            return found | _read_as(claim, mistake, places)
    return found


def _filled(texts: Mapping[str, str]) -> tuple[str, ...]:
    if texts.get("kind") == "measured":
        return tuple(part for part in PARTS if any(f"{part}_{n}" in texts for n in submission.READINGS))
    if LABEL in texts:
        return (LABEL,)
    return (VALUE,) if any(name in texts for name in _VALUE_FIELDS) else ()


def _is_of(name: str, place: str) -> bool:
    """Whether a field stands at a place. What a label says goes before a value, so a wrong label takes both away."""
    if place in (LABEL, VALUE):
        return name == LABEL or name in _VALUE_FIELDS
    return name.startswith(f"{place}_")


def _wrong_at(place: str, error: InvalidInput) -> tuple[str, ...]:
    """Return what is wrong at a place, each once; what is only missing is not, but for where a reading was taken."""
    told = []
    for problem in error.problems:
        field = submission.field_of(problem.pointer) or ""
        missing = problem.code == "field_missing" and field != f"{place}_feature"
        if _is_of(field, place) and not missing:
            told.append(in_words(problem))
    return tuple(dict.fromkeys(told))


def _read_as(claim: Claim, mistake: str | None, places: tuple[str, ...]) -> dict[str, Said]:
    if claim.source.measurement is not None:
        return {r.part: Said(readings=(r,)) for r in read_back(claim, mistake)}
    return {} if claim.value is None else {places[0]: Said(value=value_json(claim.value, labelled=True))}
