"""From the desk's forms to an edit of a record as the services take it, and from its problems back to the fields."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import END_PAIRS, QUALIFIERS
from boltspan.domain.problems import Problems
from boltspan.web.submission import model_year

PARTS: Final = (1, 2, 3)
KINDS: Final = [(kind, kind.replace("_", " ")) for kind in QUALIFIERS]
QUALIFIER: Final = ("kind", "is", "from", "to", "ask")
SOURCE: Final = ("source_kind", "url", "document", "page", "quote", "seen_on")
FIELDS: Final = (
    "edit", "into", "year_from", "year_to", "name", "aliases", "means", "why", "match", *SOURCE,
    *(f"qualifier_{name}" for name in QUALIFIER), *(f"part_{n}_{name}" for n in PARTS for name in QUALIFIER),
)  # fmt: skip
"""All that the form of an edit carries from one step to the next."""
_FIELD_OF: Final = {
    "into": "into",
    "why": "why",
    "edit": "edit",
    "parts": "part_2_is",
    "years": "year_from",
    "name": "name",
    "aliases": "aliases",
    "qualifier": "qualifier_is",
    "same_ends": "means",
}
MOST_ALIASES: Final = 50


def edit_data(fields: Mapping[str, str]) -> dict[str, Any]:
    """Return the edit that a form states. Parts of a division without anything filled in are left out.

    Raises InvalidInput for a year that is no number, naming its field.
    """
    texts = {name: text for name in FIELDS if (text := fields.get(name, "").strip())}
    edit = texts.get("edit", "")
    data: dict[str, Any] = {"edit": edit, "why": texts.get("why", "")}
    if edit == "merge":
        data["into"] = texts.get("into", "")
    if edit == "years":
        data["years"] = _years(texts)
    if edit == "names":
        data |= {"name": texts.get("name", ""), "aliases": _aliases(texts.get("aliases", ""))}
    if edit == "qualifier":
        data["qualifier"] = _qualifier(texts, "qualifier")
    if edit == "same_ends":
        data["same_ends"] = _same_ends(texts)
    if edit == "divide":
        parts = [_qualifier(texts, f"part_{n}") for n in PARTS]
        data["parts"] = [{"qualifier": part} for part in parts if set(part) - {"kind"}]
    return data


def field_of(pointer: str) -> str | None:
    """Return the form's field that a problem with an edit belongs to; None for one of the whole."""
    names = pointer[1:].split("/")
    last = names[-1]
    if names[0] == "parts" and len(names) > 1:
        return f"part_{int(names[1]) + 1}_{last if len(names) > 3 and last in QUALIFIER else 'is'}"
    if names[0] == "years" and last == "to":
        return "year_to"
    if names[0] == "qualifier" and last in QUALIFIER:
        return f"qualifier_{last}"
    if names[0] == "same_ends" and "source" in names:
        return {"kind": "source_kind", "source": "document"}.get(last, last) if last != "by" else None
    return _FIELD_OF.get(names[0])


def meanings(ends: Sequence[str]) -> list[tuple[str, str]]:
    """Return each way in which the names of another pair can stand for ``ends``, as a code and in words."""
    first, second = ends
    both = [(pair, own) for pair in END_PAIRS if set(pair) != {first, second} for own in (ends, (second, first))]
    return [(f"{a}={own[0]} {b}={own[1]}", f"{a} is the {own[0]}, {b} is the {own[1]}") for (a, b), own in both]


def _years(texts: Mapping[str, str]) -> dict[str, int | None]:
    problems = Problems()
    found = {
        key: model_year(texts[name], f"/years/{key}", problems)
        for key, name in (("from", "year_from"), ("to", "year_to"))
        if name in texts
    }
    problems.raise_any()
    return found


def _aliases(text: str) -> list[str]:
    found = [part.strip() for line in text.splitlines() for part in line.split(",") if part.strip()]
    if len(found) > MOST_ALIASES:
        raise InvalidInput.one(
            "/aliases", "too_many", "these are too many names", got=len(found), accepted=f"at most {MOST_ALIASES}"
        )
    return list(dict.fromkeys(found))


def _qualifier(texts: Mapping[str, str], start: str) -> dict[str, str]:
    return {name: texts[f"{start}_{name}"] for name in QUALIFIER if f"{start}_{name}" in texts}


def _same_ends(texts: Mapping[str, str]) -> dict[str, Any]:
    names = dict(pair.split("=", 1) for pair in texts.get("means", "").split() if "=" in pair)
    source = {name: texts[name] for name in SOURCE[1:] if name in texts}
    return {"names": names, "source": source | {"kind": texts.get("source_kind", "")}}
