"""What stands in the cells of a chart: years, sizes, headings, and what is not taken."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.charts.cells import EndSaid, NotTaken, read_sizes, spelt_out
from boltspan.domain.charts.headings import ChartMapping, Headings, find_headings, mapping_from
from boltspan.domain.charts.rows import ChartRow, RowReader, quote_of
from boltspan.domain.charts.table import table_rows
from boltspan.domain.charts.years import years_in_cell
from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Years
from boltspan.domain.statements import MOST_QUOTE
from boltspan.domain.values import EndValue


@pytest.mark.parametrize(("text", "years"), [
    ("2019", [(2019, 2019)]), ("2019.0", [(2019, 2019)]), ("'19", [(2019, 2019)]), ("19", [(2019, 2019)]),
    ("’19", [(2019, 2019)]), ("MY20", [(2020, 2020)]), ("my 2020", [(2020, 2020)]), ("model year 2020", [(2020, 2020)]),
    ("'98", [(1998, 1998)]), ("2019-21", [(2019, 2021)]), ("2019–2021", [(2019, 2021)]), ("2019/20", [(2019, 2020)]),
    ("2019 / 2020", [(2019, 2020)]), ("'19-'21", [(2019, 2021)]), ("19-21", [(2019, 2021)]),
    ("2019 to 2021", [(2019, 2021)]), ("MY19-MY21", [(2019, 2021)]), ("2019+", [(2019, None)]),
    ("2019 on", [(2019, None)]), ("2019 onwards", [(2019, None)]), ("from 2019", [(2019, None)]),
    ("since '19", [(2019, None)]), ("2019-", [(2019, None)]), ("2019, 2020 & 2021", [(2019, 2021)]),
    ("2017; 2019", [(2017, 2017), (2019, 2019)]), ("2017-18, 2020+", [(2017, 2018), (2020, None)]),
    ("2019+, 2021", [(2019, None)]), ("２０１９", [(2019, 2019)]), ("1999-01", [(1999, 2001)]),
])  # fmt: skip
def test_years_are_read_as_shops_write_them(text: str, years: list[tuple[int, int | None]]) -> None:
    """Common practice, no source."""
    assert years_in_cell(text) == tuple(Years(*span) for span in years)


@pytest.mark.parametrize("text", [
    "", "Jan-20", "2021-19", "20??", "new", "2019-2", "1959", "2,019", "2019.5", "all", "210", "43466", "-2019",
    "2019-2020-2021", "2019 to", "٢٠١٩", "2101", "2019 or 2020", "20192020",
])  # fmt: skip
def test_what_may_mean_something_else_names_no_years(text: str) -> None:
    assert years_in_cell(text) is None


@given(st.text(max_size=20))
def test_no_text_breaks_the_reading_of_years(text: str) -> None:
    for years in years_in_cell(text) or ():
        assert 1980 <= years.start <= (years.end or 2100) <= 2100


def hardware(bolt: str, width: str, mount: str = "hardware", **more: Any) -> EndValue:
    return EndValue(mount, Decimal(bolt), Decimal(width), **more)


@pytest.mark.parametrize(("text", "said"), [
    ("front 20x8 / rear 30x8", [("front", hardware("8", "20")), ("rear", hardware("8", "30"))]),
    ("upper: brg 22,2 x 8", [("upper", hardware("8", "22.2", "bearing"))]),
    ("upper: open", [("upper", EndValue("open_eyelet"))]),
    ("frt trun / rear 8x30", [("front", EndValue("trunnion")), ("rear", hardware("8", "30"))]),
    ("8x30 both ends", [("both", hardware("8", "30"))]),
    ("8x30 (pair)", [("", hardware("8", "30"))]),
    ("trunnion / 8x30", [("", EndValue("trunnion")), ("", hardware("8", "30"))]),
    ("8x30 bearing comp.", [("", hardware("8", "30", bearing_compatible=True))]),
    ("lower: 8x30x15", [("lower", hardware("8", "30"))]),
    ("upper: prop", [("upper", EndValue("proprietary"))]),
])  # fmt: skip
def test_cells_say_what_labels_say(text: str, said: list[tuple[str, EndValue]]) -> None:
    assert read_sizes("Size", text, spelt_out(text, {})) == tuple(EndSaid(*one) for one in said)


@pytest.mark.parametrize(("text", "code"), [
    ("8 x 15", "width_or_bore_unclear"), ("210 x 55", "shock_size"), ("upper: M8", "width_missing"),
    ("8x30 kugellager", "word_not_known"), ("8x30 brass", "word_not_known"),
    ("front 8x20 / front 8x30", "end_named_twice"),
])  # fmt: skip
def test_what_labels_refuse_is_not_taken_nor_is_a_word_nobody_knows(text: str, code: str) -> None:
    found = read_sizes("Size", text, spelt_out(text, {}))
    assert isinstance(found, NotTaken)
    assert (found.field, found.got, found.code) == ("Size", text, code)


def test_words_of_the_shop_go_before_those_known() -> None:
    assert spelt_out("Kugellager 8x30 brg Paar", {"kugellager": "bearing", "paar": "", "brg": "bracket"}) == (
        "bearing 8x30 bracket "
    )


def roles(*titles: str) -> tuple[str, ...]:
    return find_headings([";".join(titles)], ChartMapping()).roles


@pytest.mark.parametrize(("titles", "wanted"), [
    (("Make", "Model", "Year", "Front", "Rear"), ("make", "model", "year", "front", "rear")),
    (("BRAND", "model", "MY", "Upper hardware (mm)", "Bottom end"), ("make", "model", "year", "upper", "lower")),
    (("Make/Model", "Model year(s)", "Hardware"), ("make_model", "", "hardware")),
    (("Model", "Frame end", "Link end", "Notes"), ("model", "frame", "link", "remark")),
    (("Model", "Frame", "Size"), ("model", "", "hardware")),
    (("Model", "Frame size", "Frame", "Link"), ("model", "", "frame", "link")),
    (("Model", "Rear shock", "Rear shock hardware"), ("model", "", "hardware")),
    (("Model", "Front bolt", "Front width", "Price"), ("model", "front bolt", "front width", "")),
    (("Model", "From", "To", "End", "Bolt", "Width"), ("model", "first_year", "last_year", "end", "bolt", "width")),
])  # fmt: skip
def test_columns_are_found_by_their_headings(titles: tuple[str, ...], wanted: tuple[str, ...]) -> None:
    assert roles(*titles) == wanted


def test_titles_above_and_decimal_commas_do_not_hide_the_headings_and_the_separator() -> None:
    sample = ["Chart, spring edition, by hand", "", "make;model;year;front", "Tarnvale;Skerry;2021;22,2 x 8"]
    found = find_headings(sample, ChartMapping())
    assert (found.row, found.delimiter) == (3, ";")


@pytest.mark.parametrize(("sample", "code"), [
    ([], "no_headings"), (["make,model,year"], "no_headings"), (["front,rear"], "no_headings"),
    (["model,front,front"], "column_named_twice"), (["make,brand,model,size"], "column_named_twice"),
])  # fmt: skip
def test_headings_that_do_not_serve_are_refused(sample: list[str], code: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        find_headings(sample, ChartMapping())
    assert refused.value.problems[0].code == code


@pytest.mark.parametrize(("data", "pointer"), [
    ([], "/mapping"), ({"x": 1}, "/mapping/x"), ({"columns": {"A": "colour"}}, "/mapping/columns/A"),
    ({"columns": {"A": 1}}, "/mapping/columns"), ({"words": []}, "/mapping/words"),
    ({"as_above": ["front"]}, "/mapping/as_above"), ({"delimiter": "|"}, "/mapping/delimiter"),
])  # fmt: skip
def test_a_mapping_says_where_it_is_wrong(data: Any, pointer: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        mapping_from(data)
    assert refused.value.problems[0].pointer == pointer


def test_a_saved_mapping_reads_the_same_columns_again() -> None:
    sample = ["Bike;Top;Lower;Colour"]
    given = mapping_from({"columns": {"Bike": "make_model"}, "words": {"brz": "bearing"}, "as_above": ["make_model"]})
    first = find_headings(sample, given)
    saved = first.mapping(given)
    again = mapping_from(saved)
    assert saved["columns"] == {"Bike": "make_model", "Top": "upper", "Lower": "lower", "Colour": "unread"}
    assert (again.words, again.as_above, again.delimiter) == ({"brz": "bearing"}, ("make_model",), ";")
    read = [role if role != "unread" else "" for role in find_headings(sample, again).roles]
    assert tuple(read) == first.roles


def rows(text: str, mapping: ChartMapping = ChartMapping()) -> list[ChartRow]:  # noqa: B008 - frozen
    lines = text.split("\n")
    headings: Headings = find_headings(lines, mapping)
    reader = RowReader(headings, mapping)
    return [row for row in map(reader.read, table_rows(lines, headings.delimiter)) if row is not None]


def test_a_row_is_read_with_its_text_kept_and_blank_rows_and_headings_again_passed_over() -> None:
    text = "make,model,year,front\nTarnvale,Skerry,2021,8x30\n,,,\nmake,model,year,front\nTarnvale,Skerry,,\n"
    first, second = rows(text)
    assert (first.number, first.quote, first.years) == (2, "Tarnvale,Skerry,2021,8x30", (Years(2021, 2021),))
    assert (second.number, second.said, second.not_taken) == (5, (), ())


def test_one_bad_cell_leaves_the_good_one_and_a_row_that_cannot_be_placed_leaves_nothing() -> None:
    first, second = rows("make,model,year,front,rear\nA,B,2021,8x30,8x15\n,B,soon,8x30,8x15\n")
    assert [s.end.end for s in first.said] == ["front"]
    assert [n.code for n in first.not_taken] == ["width_or_bore_unclear"]
    assert second.said == ()
    assert [n.code for n in second.not_taken] == ["make_missing", "years_unclear", "width_or_bore_unclear"]


def test_first_and_last_year_are_both_wanted() -> None:
    """A blank last year may mean still made, or one year."""
    both, one = rows("model,make,from,to,front\nA,B,2019,2021,8x30\nA,B,2019,,8x30\n")
    assert both.years == (Years(2019, 2021),)
    assert [n.code for n in one.not_taken] == ["years_unclear"]


def test_a_model_stated_anew_takes_no_year_from_above() -> None:
    mapping = mapping_from({"as_above": ["make", "model", "year"]})
    found = rows("make,model,year,front\nA,B,2021,8x30\n,,2022,8x30\n,C,,8x30\n,,,8x30\n", mapping)
    assert [(r.make, r.model, r.years) for r in found] == [
        ("A", "B", (Years(2021, 2021),)), ("A", "B", (Years(2022, 2022),)), ("A", "C", ()), ("A", "C", ()),
    ]  # fmt: skip


def test_an_end_column_with_a_name_nobody_knows_is_refused() -> None:
    (row,) = rows("make,model,year,end,size\nA,B,2021,left,8x30\n")
    assert [n.code for n in row.not_taken] == ["unknown_end"]


def test_a_row_longer_than_a_quote_is_cut_where_it_shows() -> None:
    assert quote_of("x" * MOST_QUOTE) == "x" * MOST_QUOTE
    assert quote_of("x" * (MOST_QUOTE + 1)) == "x" * (MOST_QUOTE - 1) + "…"


@given(st.lists(st.text(max_size=30), max_size=4))
def test_no_row_breaks_the_reading(cells: list[str]) -> None:
    text = ",".join(cells).replace("\n", " ").replace("\r", " ")
    for row in rows(f"make,model,year,front\n{text}"):
        assert row.number == 2
