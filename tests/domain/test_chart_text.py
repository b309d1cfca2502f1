"""From bytes to rows of cells: encodings as the standards have them, line breaks, quotes, separators, huge lines."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.charts.table import MOST_LINES, TableRow, table_rows
from boltspan.domain.charts.text import MOST_LINE, NOT_DECODED, decoded, encoding_of, lines

WORDS = "Größe – 22,2 × 8"


def in_pieces(data: bytes, size: int) -> Iterator[bytes]:
    for start in range(0, len(data), size):
        yield data[start : start + size]


def read(data: bytes, size: int = 3) -> str:
    return "".join(decoded(in_pieces(data, size), encoding_of(in_pieces(data, 4096))))


@pytest.mark.parametrize(("codec", "said"), [
    ("utf-8", "UTF-8"),
    ("utf-8-sig", "UTF-8 with a byte order mark"),
    ("utf-16", "UTF-16 with a byte order mark"),
    ("cp1252", "Latin-1 (windows-1252), since it is no UTF-8"),
])  # fmt: skip
def test_what_python_encodes_is_read_back_and_the_encoding_is_said(codec: str, said: str) -> None:
    """Reference: the codecs of Python's standard library."""
    data = WORDS.encode(codec)
    assert read(data) == WORDS
    assert encoding_of([data]).said == said


@pytest.mark.parametrize(("codec", "found"), [("utf-16-le", "utf-16-le"), ("utf-16-be", "utf-16-be")])
def test_utf16_without_a_mark_shows_by_its_zero_bytes(codec: str, found: str) -> None:
    assert encoding_of([("make;model\n" + WORDS).encode(codec)]).codec == found


@pytest.mark.parametrize("mark", [b"\xfe\xff", b"\xff\xfe"])
def test_either_byte_order_is_told_by_the_mark(mark: bytes) -> None:
    """U+FEFF at the start, in the order of the bytes (Unicode Standard, chapter 23.8)."""
    codec = "utf-16-be" if mark == b"\xfe\xff" else "utf-16-le"
    assert read(mark + WORDS.encode(codec)) == WORDS


def test_a_character_cut_in_two_by_a_chunk_is_still_utf8_and_one_cut_off_at_the_end_is_not() -> None:
    data = "ä".encode()
    assert encoding_of([data[:1], data[1:]]).codec == "utf-8"
    assert encoding_of([data[:1]]).codec == "cp1252"


def test_nothing_at_all_is_utf8() -> None:
    assert encoding_of([]).codec == encoding_of([b""]).codec == "utf-8"
    assert list(lines(decoded([], encoding_of([])))) == []


def test_a_byte_that_the_encoding_does_not_hold_shows() -> None:
    """0x81 stands for nothing in windows-1252."""
    assert read(b"8x30 \x81") == f"8x30 {NOT_DECODED}"


@given(st.lists(st.sampled_from(["a", "bc", "", "\r", "\n", "\r\n", "\r\r\n"])), st.integers(1, 5))
def test_lines_are_cut_at_every_kind_of_break_wherever_the_chunks_end(parts: list[str], size: int) -> None:
    """Reference: universal newlines of Python's io module (PEP 278)."""
    text = "".join(parts)
    wanted = [line.rstrip("\n") for line in io.StringIO(text, newline=None)]
    assert list(lines(text[at : at + size] for at in range(0, len(text), size))) == wanted


@given(st.integers(1, 60_000))
def test_a_line_without_end_is_cut_and_the_lines_after_it_are_read(size: int) -> None:
    text = "x" * (3 * MOST_LINE) + "\r\nafter\n" + "y" * (2 * MOST_LINE) + "\rlast"
    found = list(lines(text[at : at + size] for at in range(0, len(text), size)))
    assert [line[:5] for line in found] == ["xxxxx", "after", "yyyyy", "last"]
    assert [len(line) for line in found] == [MOST_LINE + 1, 5, MOST_LINE + 1, 4]


CELL = st.text(st.sampled_from('ab";,\n\t |7/'), max_size=6)


@given(st.lists(st.lists(CELL, min_size=2, max_size=4), max_size=6), st.sampled_from(",;\t"))
def test_what_the_csv_writer_writes_is_read_back(rows: list[list[str]], delimiter: str) -> None:
    """Reference: Python's csv module, RFC 4180 quoting."""
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator="\n", quoting=csv.QUOTE_ALL).writerows(rows)
    found = list(table_rows(file.getvalue().removesuffix("\n").split("\n") if rows else [], delimiter))
    assert [list(row.cells) for row in found] == rows
    assert [row.number for row in found] == list(range(1, len(rows) + 1))


def test_an_inch_mark_in_an_unquoted_cell_is_a_plain_character() -> None:
    assert list(table_rows(['a;7/8" x M8;b'], ";")) == [TableRow(1, ("a", '7/8" x M8', "b"), 'a;7/8" x M8;b')]


@pytest.mark.parametrize("first", ['a;"8 x 30;b', 'a;"8 x 30" wide;b'])
def test_a_quote_that_is_not_closed_rightly_breaks_its_own_row_only(first: str) -> None:
    rows = list(table_rows([first, *["c;d;e"] * (MOST_LINES + 5)], ";"))
    assert (rows[0].broken, rows[0].raw) == ("quote_unsound", first)
    assert len(rows) == MOST_LINES + 6
    assert {row.cells for row in rows[1:]} == {("c", "d", "e")}


def test_a_cell_may_hold_line_breaks_and_the_row_keeps_its_text() -> None:
    rows = list(table_rows(['a,"two', 'lines",b', "c"], ","))
    assert rows == [TableRow(1, ("a", "two\nlines", "b"), 'a,"two\nlines",b'), TableRow(2, ("c",), "c")]


def test_a_line_over_the_limit_breaks_its_row() -> None:
    assert [row.broken for row in table_rows(["a" * (MOST_LINE + 1), "a" * MOST_LINE], ",")] == ["line_too_long", ""]
