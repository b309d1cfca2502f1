"""JSON text, strictly read and exactly written.

Reading refuses what RFC 8259 leaves open and what a store cannot keep: NaN and infinities, numbers out of range, a key
that stands twice, nesting beyond 40, NUL and halves of surrogate pairs. Numbers with a point become Decimal.
Writing keeps every digit of a Decimal and the order of keys.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from json.encoder import encode_basestring as _quoted
from typing import Any, Final, NoReturn

from boltspan.domain.errors import BrokenJson, InvalidInput
from boltspan.domain.lengths import plain

MAX_DEPTH: Final = 40
MAX_DIGITS: Final = 30


def loads(raw: bytes) -> Any:
    """Return the value of a JSON text in UTF-8 (a byte order mark is refused).

    Raises BrokenJson for text that is not JSON in the strict sense, InvalidInput (code ``bad_text``) for strings that
    hold NUL or half a surrogate pair.
    """
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as e:
        raise BrokenJson(f"not UTF-8 at byte {e.start}") from None
    try:
        value = json.loads(
            text, object_pairs_hook=_pairs, parse_constant=_constant, parse_int=_integer, parse_float=_decimal
        )
    except RecursionError:
        raise BrokenJson(f"nested deeper than {MAX_DEPTH}") from None
    except json.JSONDecodeError as e:
        raise BrokenJson(f"{e.msg} at line {e.lineno} column {e.colno}") from None
    _walk(value, 0, "")
    return value


def dumps(value: Any, *, indent: int | None = None) -> str:
    """Return ``value`` (mappings, sequences, str, int, bool, Decimal) as JSON text, keys in their own order.

    A Decimal is written with all its digits and no trailing zeros. There is no null: None raises TypeError, as do
    floats, which have no exact text.
    """
    return _text(value, indent, 0)


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        doubled = next(k for k, _ in pairs if k in seen or seen.add(k))  # type: ignore[func-returns-value]
        raise BrokenJson(f"the key {doubled[:40]!r} stands twice in one object")
    return found


def _constant(name: str) -> NoReturn:
    raise BrokenJson(f"{name} is not JSON")


def _integer(text: str) -> int:
    if len(text) > MAX_DIGITS // 2 + 2:
        raise BrokenJson(f"an integer of {len(text)} characters is too long")
    return int(text)


def _decimal(text: str) -> Decimal:
    if len(text) > MAX_DIGITS:
        raise BrokenJson(f"a number of {len(text)} characters is too long")
    if abs(float(text)) == float("inf"):
        raise BrokenJson("a number is out of range")
    return Decimal(text)


def _walk(value: Any, depth: int, pointer: str) -> None:
    if depth > MAX_DEPTH:
        raise BrokenJson(f"nested deeper than {MAX_DEPTH}")
    if isinstance(value, str):
        check_text(value, pointer)
    elif isinstance(value, list):
        for i, item in enumerate(value):
            _walk(item, depth + 1, f"{pointer}/{i}")
    elif isinstance(value, dict):
        for key, item in value.items():
            check_text(key, pointer)
            _walk(item, depth + 1, f"{pointer}/{key}")


def check_text(text: str, pointer: str = "") -> None:
    """Raise InvalidInput (code ``bad_text``) when ``text`` holds NUL or half a surrogate pair."""
    if "\0" in text or any("\ud800" <= ch <= "\udfff" for ch in text):
        shown = text.encode("ascii", "backslashreplace").decode()
        raise InvalidInput.one(
            pointer.encode("ascii", "backslashreplace").decode(),
            "bad_text",
            "the text holds NUL or half a surrogate pair",
            got=shown,
            accepted="text of whole Unicode characters without NUL",
        )


def _text(value: Any, indent: int | None, depth: int) -> str:
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, dict):  # before Mapping, whose check is slow
        return _object(value, indent, depth)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, list | tuple | Sequence):
        return _join("[", [_text(item, indent, depth + 1) for item in value], "]", indent, depth)
    if isinstance(value, Mapping):
        return _object(value, indent, depth)
    raise TypeError(f"{type(value).__name__} has no JSON text here: {value!r}")


def _object(value: Mapping[str, Any], indent: int | None, depth: int) -> str:
    items = [f"{_quoted(key)}: {_text(item, indent, depth + 1)}" for key, item in value.items()]
    return _join("{", items, "}", indent, depth)


def _join(start: str, items: Sequence[str], end: str, indent: int | None, depth: int) -> str:
    if not items:
        return start + end
    if indent is None:
        return start + ", ".join(items) + end
    inner = "\n" + " " * (indent * (depth + 1))
    return start + inner + ("," + inner).join(items) + "\n" + " " * (indent * depth) + end
