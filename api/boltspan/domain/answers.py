"""What all bench answers share: the parameters they lean on, and their plain form for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from decimal import Decimal
from functools import cache
from typing import Any, Final

from boltspan.domain.lengths import trimmed

SIGNIFICANT: Final = 12
"""Decimal places that are sent of a probability, far more than its model is worth."""


@dataclass(frozen=True, slots=True)
class Assumed:
    """A parameter without a published source that an answer leans on, with the value in use.

    It is listed whether the value is the default of ``assumptions`` or one the asker gave: either way no source
    vouches for it, and the reader should know what the answer rests on.
    """

    name: str
    value: Decimal | float


def as_mapping(answer: object, *without: str) -> dict[str, object]:
    """Return a dataclass as a plain mapping: its field names as keys, fields that hold None left out.

    Nested dataclasses become mappings, tuples become lists, Decimals stay exact and lose their trailing zeros.
    ``without`` names fields of the answer itself that are left out.
    Raises TypeError for anything that is not a dataclass instance.
    """
    if not is_dataclass(answer) or isinstance(answer, type):
        raise TypeError(f"{answer!r} is no answer")
    found = {}
    for name in _names(type(answer)):
        value = getattr(answer, name)
        if value is not None and name not in without:
            found[name] = _plain(value)
    return found


@cache  # there are as many as there are kinds of answers
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _plain(value: object) -> object:
    if isinstance(value, str | int):
        return value
    if isinstance(value, Decimal):
        return trimmed(value) if value else Decimal(0)
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return as_mapping(value) if is_dataclass(value) else value


def exact(value: Any) -> Any:
    """Return an answer with every binary float as a decimal of twelve places at most, as JSON is written from."""
    if isinstance(value, float):
        return round(Decimal(value), SIGNIFICANT)
    if isinstance(value, Mapping):
        return {key: exact(each) for key, each in value.items()}
    return [exact(each) for each in value] if isinstance(value, list) else value
