"""No cell of a release is a formula to a spreadsheet, whatever it takes for the end of a cell."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest

from boltspan.dataset.releasing.cells import CsvFile, cell_text

DELIMITERS = (",", ";", "\t", "|")
"""What spreadsheets split at, by country and by choice when a file is opened."""
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Characters that start a formula: OWASP, "CSV Injection", full-width forms included."""
PLANTED = (
    '=HYPERLINK("https://example.org","Skerry")',
    "+1+1",
    "-2+3",
    "@SUM(1,1)",
    "\t=1+1",
    "\r=1+1",
    " =1+1",
    '"=1+1',
    "＝1+1",
    "Skerry;=1+1",
    "Skerry,+1",
    "Skerry|@x",
    "Skerry\t-1",
    'Skerry";"=1+1',
    "Skerry\n=1+1",
    "Skerry\r\n@x",
)


def written(*texts: str) -> str:
    file = io.StringIO()
    rows = CsvFile(file, ("name", "more"))
    for text in texts:
        rows.write({"name": text, "more": "last"})
    return file.getvalue()


def formulas(text: str) -> list[str]:
    """Return every cell that starts a formula under any of the delimiters, blanks and quotes in front passed over."""
    return [
        cell
        for delimiter in DELIMITERS
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        for cell in row
        if cell.startswith(STARTS) or cell.lstrip(' "').startswith(STARTS)
    ]


@pytest.mark.parametrize("text", PLANTED)
def test_a_planted_formula_is_found_bare_and_is_harmless_as_written(text: str) -> None:
    assert formulas(f"name,more\n{text},last\n"), "the search must see what it is to find"
    assert formulas(written(text)) == []


@pytest.mark.parametrize("text", ["Skerry 150", "M8 x 22.2", "1/4 in x 22.2", "Tarn-Vale + Co", "Čáp; größer", "a=b"])
def test_a_harmless_text_stays_as_it_is(text: str) -> None:
    assert cell_text(text) == text


def test_a_row_is_a_line_and_ends_in_lf() -> None:
    text = written("one\ntwo", 'say "three"')
    assert text == 'name,more\none two,last\n"say ""three""",last\n'


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (True, "true"),
        (False, "false"),
        (8, "8"),
        (Decimal("22.20"), "22.2"),
        (Decimal("30"), "30"),
        (Decimal("3E+1"), "30"),
        (Decimal("0.396875"), "0.396875"),
    ],
)
def test_values_are_written_exactly(value: Decimal | int | bool | None, text: str) -> None:
    assert cell_text(value) == text


def test_what_is_absent_is_empty_and_an_unknown_column_is_an_error() -> None:
    file = io.StringIO()
    rows = CsvFile(file, ("name", "more"))
    rows.write({"more": 1})
    assert file.getvalue() == "name,more\n,1\n"
    with pytest.raises(KeyError, match="nmae"):
        rows.write({"nmae": 1})
    assert rows.rows == 1
