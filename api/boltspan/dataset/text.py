"""The text of a record file: two spaces a level, what is short and flat within it on one line, a final newline."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.jsontext import dumps

WIDTH: Final = 120
_FLAT: Final = 2
"""A value and what stands directly in it may share a line; anything deeper is spread."""


def text_of(value: Any) -> str:
    """Return ``value`` as the text of a file, keys in their own order (see keyorder.py for the order)."""
    return _text(value, 0, 0) + "\n"


def _text(value: Any, level: int, used: int) -> str:
    """Return ``value`` at ``level``; ``used`` characters stand before it on its line."""
    if not isinstance(value, Mapping | list) or not value:
        return dumps(value)
    if level and _depth(value) <= _FLAT:
        short = dumps(value)
        if used + len(short) + 1 <= WIDTH:
            return short
    pad = "  " * (level + 1)
    if isinstance(value, Mapping):
        keys = [f"{pad}{dumps(key)}: " for key in value]
        lines = [lead + _text(item, level + 1, len(lead)) for lead, item in zip(keys, value.values(), strict=True)]
        return "{\n" + ",\n".join(lines) + "\n" + "  " * level + "}"
    lines = [pad + _text(item, level + 1, len(pad)) for item in value]
    return "[\n" + ",\n".join(lines) + "\n" + "  " * level + "]"


def _depth(value: Any) -> int:
    """Return how many containers stand in each other at most, 0 for a plain value; counting stops beyond flat."""
    if not isinstance(value, Mapping | list):
        return 0
    items = value.values() if isinstance(value, Mapping) else value
    deepest = 0
    for item in items:
        deepest = max(deepest, _depth(item))
        if deepest >= _FLAT:
            break
    return deepest + 1
