"""From the forms of proposals to a frame or a shock as the API takes it, and from what is wrong back to the fields."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.problems import Problems

FIELDS: Final = ("make", "model", "year_from", "year_to", "ends")
_FIELD_OF: Final = {
    "/make/name": "make",
    "/make/slug": "make",
    "/model/name": "model",
    "/model/slug": "model",
    "/years": "year_from",
    "/years/from": "year_from",
    "/years/to": "year_to",
    "/ends": "ends",
    "/handle": "handle",
    "/terms": "terms",
    "/token": "token",
}


def frame_data(fields: Mapping[str, str]) -> dict[str, Any]:
    """Return the frame that a form's texts propose. Raises InvalidInput naming the fields that are empty or no years.

    Whatever else may be wrong is found by ``propose_frame``.
    """
    problems = Problems()
    data = _named("frame", fields, problems)
    ends = fields.get("ends", "").strip().split("/")
    if len(ends) != 2:
        problems.add("/ends", "field_missing", "the names of the ends are missing", None, "one of the pairs shown")
    problems.raise_any()
    return data | {"ends": ends}


def shock_data(fields: Mapping[str, str]) -> dict[str, Any]:
    """Return the shock that a form's texts propose. Raises InvalidInput naming the fields that are empty or no years.

    Whatever else may be wrong is found by ``propose_shock``.
    """
    problems = Problems()
    data = _named("shock", fields, problems)
    problems.raise_any()
    return data


def _named(kind: str, fields: Mapping[str, str], problems: Problems) -> dict[str, Any]:
    """Return make, model and years that a form's texts state."""
    texts = {name: fields.get(name, "").strip() for name in FIELDS}
    for name, what in (("make", "the maker's name"), ("model", "the model's name")):
        if not texts[name]:
            problems.add(
                f"/{name}/name", "field_missing", f"{what} is missing", None, f"{what} as it stands on the {kind}"
            )
    years = {}
    for key, name in (("from", "year_from"), ("to", "year_to")):
        if len(texts[name]) == 4 and texts[name].isascii() and texts[name].isdigit():
            years[key] = int(texts[name])
        elif texts[name] or key == "from":
            problems.add(f"/years/{key}", "bad_year", "this is no model year", texts[name], "four digits, such as 2021")
    return {"make": {"name": texts["make"]}, "model": {"name": texts["model"]}, "years": years}


def field_of(pointer: str) -> str | None:
    """Return the form's field that a problem belongs to; None for one of the whole."""
    return _FIELD_OF.get(pointer) or ("ends" if pointer.startswith("/ends/") else None)
