"""What stands in paths: the document's words for each name, and the reading of a year."""

from __future__ import annotations

from typing import Any, Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import END_PAIRS, YEARS
from boltspan.domain.ids import pattern
from boltspan.domain.names import MOST_SLUG, SLUG
from boltspan.http.schemas.query_fields import QUERY_DIGITS


def _parameter(name: str, description: str, schema: dict[str, Any], example: Any) -> dict[str, Any]:
    return {
        "in": "path", "name": name, "required": True, "description": description, "schema": schema, "example": example,
    }  # fmt: skip


def _id(kind: str, example: str) -> dict[str, Any]:
    return _parameter(f"{kind}_id", f"The id of a {kind}.", {"type": "string", "pattern": pattern(kind)}, example)


def _slug(name: str, description: str, example: str) -> dict[str, Any]:
    return _parameter(
        name, description, {"type": "string", "maxLength": MOST_SLUG, "pattern": f"^{SLUG.pattern}$"}, example
    )


_ENDS: Final = {end for pair in END_PAIRS for end in pair}

PATH_PARAMETERS: Final = {
    p["name"]: p
    for p in (
        _id("frame", "f-7k3m9q2dxw"),
        _id("shock", "s-5c2h8v1nqt"),
        _id("claim", "c-9p4t1w6zke"),
        _id("decision", "d-6t0z4c8wqe"),
        _id("review", "q-5b8n2v0ykm"),
        _id("person", "p-4f7h2j9s1d"),
        _parameter(
            "token_id", "The eight characters after bs_.", {"type": "string", "pattern": "^[0-9a-z]{8}$"}, "7k3m9q2d"
        ),
        _parameter(
            "photo_hash", "The SHA-256 of a photo.", {"type": "string", "pattern": "^[0-9a-f]{64}$"}, "ab" * 32
        ),
        _parameter(
            "end", "An end of the frame, as its maker names it.", {"type": "string", "enum": sorted(_ENDS)}, "upper"
        ),
        _parameter(
            "contributor_id",
            "The id of a contributor.",
            {"type": "string", "pattern": pattern("person")},
            "p-8d1r6k3x0a",
        ),
        _slug("make", "Slug of a make.", "tarnvale"),
        _slug("model", "Slug of a model.", "skerry"),
        _parameter(
            "year", "Model year.", {"type": "integer", "minimum": YEARS[0], "maximum": YEARS[1]}, 2021
        ),
        _parameter(
            "version",
            "Version of a release, YYYY.MM.N.",
            {"type": "string", "pattern": r"^[2-9][0-9]{3}\.(0[1-9]|1[0-2])\.(0|[1-9][0-9]{0,5})$"},
            "2026.04.0",
        ),
        _parameter("name", "Path of a file inside the release.", {"type": "string", "minLength": 1}, "answers.jsonl"),
    )
}  # fmt: skip


def year_from(text: str) -> int:
    """Return the year in a path. Raises InvalidInput for anything but a model year in ASCII digits."""
    year = int(text) if QUERY_DIGITS.fullmatch(text) else 0
    if not YEARS[0] <= year <= YEARS[1]:
        raise InvalidInput.one("/year", "bad_year", "this is no model year", got=text,
                               accepted=f"a whole number {YEARS[0]} to {YEARS[1]}")  # fmt: skip
    return year
