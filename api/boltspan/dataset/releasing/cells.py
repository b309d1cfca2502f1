"""CSV for people and programs: exact numbers, empty for "not stated", and nothing that a spreadsheet runs."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Final, TextIO

from boltspan.domain.lengths import plain

Cell = str | int | Decimal | bool | None
_FORMULA: Final = re.compile(r'(^|[,;|])([ "]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])')
# Also after what other countries' spreadsheets take for the end of a cell, and the full-width forms, which some of
# them read as the plain ones (OWASP, "CSV Injection").


def cell_text(value: Cell) -> str:
    """Return what stands in a cell: "" for None, true or false, exact digits, or harmless text.

    A text that a spreadsheet would take for a formula gets an apostrophe in front, also behind a separator inside it.
    Tabs and line ends become blanks, so that one row is one line.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Decimal):
        return plain(value)
    return _FORMULA.sub(r"\1'\2", re.sub(r"[\t\r\n]+", " ", value))


class CsvFile:
    """Writes rows of one table as CSV (RFC 4180, but for the line end LF), its columns in a fixed order."""

    def __init__(self, file: TextIO, columns: Sequence[str]) -> None:
        self._columns = tuple(columns)
        self._known = frozenset(columns)
        self._writer = csv.writer(file, lineterminator="\n")
        self.rows = 0
        self._writer.writerow(self._columns)

    def write(self, row: Mapping[str, Cell]) -> None:
        """Write one row; what is absent stays empty. Raises KeyError for a key that is no column."""
        if unknown := row.keys() - self._known:
            raise KeyError(f"no such column: {', '.join(sorted(unknown))}")
        self._writer.writerow([cell_text(row.get(column)) for column in self._columns])
        self.rows += 1
