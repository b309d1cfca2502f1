"""From a JSON object to the question it is: any frozen dataclass of numbers, texts, flags, lists and the like.

One reader for what comes without a schema in front of it, such as JSON on the command line.
"""

from __future__ import annotations

import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from decimal import Decimal
from functools import cache
from typing import Any, Final, TypeVar

from boltspan.domain.errors import InvalidInput
from boltspan.domain.problems import Problems
from boltspan.domain.refusals import BenchRefusal

T = TypeVar("T")


def question_from(kind: type[T], data: object, pointer: str = "") -> T:
    """Return the ``kind`` that ``data`` (a JSON value, its numbers int or Decimal) states.

    Keys are the fields' names; a field with a default may be left out; null stands for nothing anywhere. Raises
    InvalidInput with every problem found, each at its JSON Pointer below ``pointer``, a BenchRefusal of the question
    itself included.
    """
    if not isinstance(data, Mapping):
        raise _wrong(pointer, "not_an_object", "a JSON object is wanted here", data, "an object")
    hints, problems = _hints(typing.cast("Any", kind)), Problems()
    known = {each.name: each for each in fields(kind)}  # type: ignore[arg-type]
    for key in data:
        if key not in known:
            problems.add(f"{pointer}/{key}", "unknown_field", "there is no such field here", None, ", ".join(known))
    found: dict[str, Any] = {}
    for name, each in known.items():
        at = f"{pointer}/{name}"
        if name in data:
            found[name] = problems.keep(lambda n=name, a=at: _value(hints[n], data[n], a))  # type: ignore[misc]
        elif _needed(each):
            problems.add(at, "field_missing", "this field is needed")
    problems.raise_any()
    try:
        return kind(**found)
    except BenchRefusal as refusal:
        at = f"{pointer}/{refusal.field}"
        raise _wrong(at, refusal.code, refusal.detail, refusal.got, refusal.accepted) from refusal


@cache
def _hints(kind: type[Any]) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _needed(each: Field[Any]) -> bool:
    return each.default is MISSING and each.default_factory is MISSING


def _value(kind: Any, given: object, at: str) -> Any:
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        kinds = [each for each in inner if each is not type(None)]
        # Of a number that may be exact or binary the exact one is taken, whichever stands first.
        return _value(Decimal if Decimal in kinds else kinds[0], given, at)
    if origin is tuple:
        return _list(inner, given, at)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return _mapping(inner[1], given, at)
    if is_dataclass(kind):
        return question_from(typing.cast("type[Any]", kind), given, at)
    return _PLAIN[kind](given, at)


def _list(inner: tuple[Any, ...], given: object, at: str) -> tuple[Any, ...]:
    if not isinstance(given, list | tuple):
        raise _wrong(at, "not_a_list", "a JSON list is wanted here", given, "a list")
    repeated = len(inner) == 2 and inner[1] is Ellipsis
    if not repeated and len(given) != len(inner):
        raise _wrong(at, "wrong_number_of_entries", "the list has too few or too many entries", len(given),
                     f"{len(inner)} entries")  # fmt: skip
    problems = Problems()
    kinds = [inner[0]] * len(given) if repeated else inner
    found = [
        problems.keep(lambda k=k, g=g, i=i: _value(k, g, f"{at}/{i}"))  # type: ignore[misc]
        for i, (k, g) in enumerate(zip(kinds, given, strict=True))
    ]
    problems.raise_any()
    return tuple(found)


def _mapping(kind: Any, given: object, at: str) -> dict[str, Any]:
    if not isinstance(given, Mapping):
        raise _wrong(at, "not_an_object", "a JSON object is wanted here", given, "an object")
    problems = Problems()
    found = {key: problems.keep(lambda k=key: _value(kind, given[k], f"{at}/{k}")) for key in given}  # type: ignore[misc]
    problems.raise_any()
    return found


def _decimal(given: object, at: str) -> Decimal:
    if not isinstance(given, bool) and isinstance(given, int | float | Decimal):
        number = Decimal(str(given)) if isinstance(given, float) else Decimal(given)
        if number.is_finite():
            return number
    raise _wrong(at, "not_a_number", "a JSON number is wanted here, without a unit", given, "a number such as 22.2")


def _float(given: object, at: str) -> float:
    number = float(_decimal(given, at))
    if math.isinf(number):
        raise _wrong(at, "out_of_range", "the number is too large", given, "a number such as 22.2")
    return number


def _whole(given: object, at: str) -> int:
    number = _decimal(given, at)
    if number != int(number):
        raise _wrong(at, "not_a_whole_number", "a JSON integer is wanted here", given, "a number such as 2021")
    return int(number)


def _text(given: object, at: str) -> str:
    if not isinstance(given, str):
        raise _wrong(at, "not_text", "text is wanted here", given, "text in quotes")
    return given


def _flag(given: object, at: str) -> bool:
    if not isinstance(given, bool):
        raise _wrong(at, "not_taken", "true or false is wanted here", given, "true or false")
    return given


_PLAIN: Final[dict[Any, Callable[[object, str], Any]]] = {
    Decimal: _decimal, float: _float, int: _whole, str: _text, bool: _flag,
}  # fmt: skip


def _wrong(at: str, code: str, detail: str, got: object, accepted: str) -> InvalidInput:
    return InvalidInput.one(at, code, detail, got=got, accepted=accepted)
