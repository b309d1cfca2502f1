"""From lines to rows of cells: quoted cells with line breaks in them, and rows that cannot be cut into cells."""

from __future__ import annotations

import csv
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from boltspan.domain.charts.text import MOST_LINE

DELIMITERS: Final = (",", ";", "\t")
MOST_LINES: Final = 40
"""Lines that one row may take up; a quote that is open for longer was never closed."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row: its number as a spreadsheet counts (from 1, headings included), its cells, and its text as it stands.

    ``broken`` is the code of why it could not be cut into cells ("" when it could).
    """

    number: int
    cells: tuple[str, ...]
    raw: str
    broken: str = ""


def table_rows(lines: Iterable[str], delimiter: str) -> Iterator[TableRow]:
    """Yield each row, blank ones too. Quotes count as RFC 4180 has them: around a whole cell, doubled inside.

    A mark such as 7/8" inside an unquoted cell is a plain character. A cell that is opened by a quote and not closed
    within MOST_LINES breaks the row of its first line only; reading goes on at the next line.
    """
    source, ahead = iter(lines), deque[str]()
    number = 0
    while True:
        line = ahead.popleft() if ahead else next(source, None)
        if line is None:
            return
        number += 1
        if len(line) > MOST_LINE:
            yield TableRow(number, (), line, "line_too_long")
        elif '"' not in line:
            yield TableRow(number, tuple(line.split(delimiter)), line)
        else:
            yield _quoted(number, line, source, ahead, delimiter)


def _quoted(number: int, first: str, source: Iterator[str], ahead: deque[str], delimiter: str) -> TableRow:
    read = [first]

    def feed() -> Iterator[str]:
        """Yield line by line; the reader asks for another one only while a quote is open."""
        yield first + "\n"
        while len(read) < MOST_LINES:
            line = ahead.popleft() if ahead else next(source, None)
            if line is None:
                return
            read.append(line)
            yield line + "\n"

    try:
        cells = next(csv.reader(feed(), delimiter=delimiter, strict=True))
    except csv.Error:
        ahead.extendleft(reversed(read[1:]))
        return TableRow(number, (), first, "quote_unsound")
    return TableRow(number, tuple(cells), "\n".join(read))
