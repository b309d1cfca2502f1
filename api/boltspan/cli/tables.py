"""Answers as tables for people: names on the left, lists below each other, columns aligned."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.lengths import plain

WIDE: Final = 100


def table(rows: Sequence[Sequence[object]], headings: Sequence[str] = (), indent: str = "") -> Iterator[str]:
    """Yield the rows with their columns aligned, the headings first; nothing for no rows."""
    if not rows:
        return
    cells = [[cell(each) for each in row] for row in ([headings, *rows] if headings else rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(cells[0]))]
    for row in cells:
        yield (indent + "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True))).rstrip()


def cell(value: object) -> str:
    """Return a value as a table shows it: numbers with their digits, yes and no, a dash for nothing."""
    if value is None or value == "":
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, list | tuple):
        return ", ".join(map(cell, value)) or "-"
    return str(value)


def told(answer: Mapping[str, Any]) -> Iterator[str]:
    """Yield an answer: each name with its value, a list of objects as a table of its own."""
    rows = [(name, value) for name, value in answer.items() if not _objects(value) and not isinstance(value, Mapping)]
    yield from table(rows)
    for name, value in answer.items():
        if isinstance(value, Mapping):
            yield f"{name}:"
            yield from ("  " + line for line in told(value))
        elif _objects(value):
            yield f"{name}:"
            columns = list(dict.fromkeys(key for each in value for key in each))
            yield from table([[each.get(key) for key in columns] for each in value], columns, "  ")


def wrapped(text: str, indent: str = "", first: str | None = None) -> Iterator[str]:
    """Yield a text in lines of at most WIDE characters, the first one behind ``first``."""
    start = indent if first is None else first
    yield from textwrap.wrap(text, WIDE, initial_indent=start, subsequent_indent=" " * len(start))


def _objects(value: object) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)
