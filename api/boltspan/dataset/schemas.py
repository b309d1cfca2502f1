"""The schemas of schema/, compiled once, and what they find wrong in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Final

import jsonschema_rs

from boltspan.dataset.locate import schema_folder
from boltspan.dataset.problems import Problem, escaped, nearest, shown
from boltspan.domain.jsontext import dumps, loads

CODE: Final = "schema"
FILES: Final = {
    "dataset": "dataset-1",
    "make": "make-1",
    "frames": "frame-1",
    "shocks": "shock-1",
    "hardware": "hardware-1",
}
"""The schema of each kind of file, by the file's name in schema/ without its ending."""
_SIZES: Final = {
    "minimum": "{} or more",
    "exclusiveMinimum": "over {}",
    "maximum": "at most {}",
    "minLength": "at least {} characters",
    "maxLength": "at most {} characters",
    "minItems": "at least {} entries",
    "maxItems": "at most {} entries",
    "minProperties": "at least {} fields",
}


@cache
def schemas() -> dict[str, dict[str, Any]]:
    """Return every schema by its file's name without the ending ("claim-1")."""
    return {path.stem: loads(path.read_bytes()) for path in sorted(schema_folder().glob("*.json"))}


def versions() -> dict[str, str]:
    """Return the version of each schema by its bare name: {"claim": "1.0.0", ...}."""
    return {name.rpartition("-")[0]: str(schema["version"]) for name, schema in schemas().items()}


@cache
def validator(name: str) -> jsonschema_rs.Validator:
    """Return the compiled schema ``name`` ("claim-1"), formats asserted. Raises KeyError for an unknown one."""
    registry = jsonschema_rs.Registry([(schema["$id"], schema) for schema in schemas().values()])
    return jsonschema_rs.Draft202012Validator(schemas()[name], registry=registry, validate_formats=True, offline=True)


def schema_problems(name: str, data: Any, path: str = "") -> list[Problem]:
    """Return all that the schema ``name`` finds wrong in ``data``, by place; [] for nothing."""
    checked = validator(name)
    if checked.is_valid(data):
        return []
    found = [p for error in checked.iter_errors(data) for p in _problems(error, data, path)]
    return list(dict.fromkeys(found))


def _problems(error: jsonschema_rs.ValidationError, data: Any, path: str) -> Iterator[Problem]:
    """Yield the error as problems: one for each field that is missing or not taken, else one."""
    pointer = "".join(f"/{escaped(str(part))}" for part in error.instance_path)
    got = _at(data, error.instance_path)
    kind = error.kind
    match kind.name:
        case "required":
            yield Problem(path, f"{pointer}/{escaped(kind.value)}", CODE, f"the field {kind.value} is missing")
        case "additionalProperties":
            known = _known_fields(error)
            for key in kind.value:
                detail = f"there is no field {shown(key)!r} here"
                accepted, like = ", ".join(known) or None, nearest(key, known)
                yield Problem(path, f"{pointer}/{escaped(key)}", CODE, detail, _text(got[key]), accepted, like)
        case "falseSchema":
            detail = f"the field {error.instance_path[-1]} does not go with the rest"
            yield Problem(path, pointer, CODE, detail, _text(got), "no such field here")
        case "enum" | "const":
            options = [_text(o) for o in (kind.value if kind.name == "enum" else [kind.value])]
            like = nearest(_text(got), options)
            detail = "this is none of the accepted values"
            yield Problem(path, pointer, CODE, detail, _text(got), "; ".join(options), like)
        case "type":
            yield Problem(path, pointer, CODE, "this is of the wrong kind", _text(got), " or ".join(kind.value))
        case "pattern":
            yield Problem(path, pointer, CODE, "the text has the wrong form", _text(got), _form(error))
        case "not":
            yield Problem(path, pointer, CODE, "this does not go here", _text(got), _form(error))
        case name if name in _SIZES:
            accepted = _SIZES[name].format(_text(kind.value))
            yield Problem(path, pointer, CODE, "this is out of range", _text(got), accepted)
        case _:
            yield Problem(path, pointer, CODE, error.message[:200], _text(got))


def _at(data: Any, place: Sequence[str | int]) -> Any:
    for part in place:
        data = data[part]
    return data


def _text(value: Any) -> str:
    if isinstance(value, str):
        return shown(value)
    if value is None:
        return "null"
    try:
        return shown(dumps(value))
    except TypeError:  # a null stands somewhere inside
        return shown(value)


def _parent(error: jsonschema_rs.ValidationError) -> Mapping[str, Any]:
    """Return the schema object that holds the keyword which failed."""
    base, _, place = (error.absolute_keyword_location or "").partition("#")
    found: Any = schemas().get(base.rpartition("/")[2].removesuffix(".json"), {})
    for part in place.split("/")[1:-1]:
        key = part.replace("~1", "/").replace("~0", "~")
        found = found[int(key)] if isinstance(found, list) else found.get(key, {})
    return found if isinstance(found, Mapping) else {}


def _known_fields(error: jsonschema_rs.ValidationError) -> list[str]:
    return list(_parent(error).get("properties", {}))


def _form(error: jsonschema_rs.ValidationError) -> str:
    """Return what is accepted in words where the schema has some, else its pattern."""
    parent = _parent(error)
    return str(parent.get("description") or parent.get("pattern") or error.message)[:200]
