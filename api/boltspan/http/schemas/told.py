"""What marshmallow found, told as the domain tells it: pointer, code, what was got, what is accepted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NoReturn

import marshmallow as ma

from boltspan.domain.errors import FieldProblem, InvalidInput


def problems_of(messages: Any, data: Any, pointer: str = "") -> list[FieldProblem]:
    """Return the problems in marshmallow's nested ``messages``, each with its JSON Pointer and what was got there."""
    if isinstance(messages, Mapping):
        return [
            problem
            for key, below in messages.items()
            for problem in (
                problems_of(below, data, pointer)
                if key == "_schema"
                else problems_of(below, _below(data, key), f"{pointer}/{_escaped(str(key))}")
            )
        ]
    if isinstance(messages, FieldProblem):
        got = messages.got if messages.got is not None else _shown(data)
        return [FieldProblem(pointer, messages.code, messages.detail, got, messages.accepted)]
    if isinstance(messages, str):
        return [FieldProblem(pointer, "bad_value", messages, _shown(data))]
    return [problem for entry in messages for problem in problems_of(entry, data, pointer)]


def raise_invalid(error: ma.ValidationError, data: Any) -> NoReturn:
    """Raise InvalidInput with all that ``error`` found in ``data``, in the order of the pointers."""
    found = problems_of(error.messages, data)
    raise InvalidInput(sorted(found, key=lambda p: p.pointer)) from None


_NOTHING: Final = object()


def _below(data: Any, key: Any) -> Any:
    try:
        return data[key]
    except (KeyError, IndexError, TypeError):
        return _NOTHING


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1").encode("ascii", "backslashreplace").decode()


def _shown(data: Any) -> str | None:
    if data is _NOTHING:
        return None
    if isinstance(data, Mapping):
        return f"an object with {', '.join(map(str, data))}"[:80] if data else "an empty object"
    if isinstance(data, list):
        return f"a list of {len(data)}"
    if data is None or isinstance(data, bool):
        return {None: "null", True: "true", False: "false"}[data]
    return str(data)[:80]
