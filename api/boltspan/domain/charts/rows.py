"""A row of a chart, read: which frame it names, for which years, and what it says of each end."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.charts.cells import EndSaid, NotTaken, read_sizes, says, spelt_out
from boltspan.domain.charts.headings import AS_ABOVE, ENDS, SIZES, ChartMapping, Headings
from boltspan.domain.charts.table import TableRow
from boltspan.domain.charts.text import NOT_DECODED
from boltspan.domain.charts.years import years_in_cell
from boltspan.domain.frames import Years
from boltspan.domain.labels.words import END, WORDS
from boltspan.domain.statements import MOST_QUOTE

ALL_YEARS: Final = frozenset({"all", "all years", "any", "any year"})
_BROKEN: Final = {
    "line_too_long": "the line is too long to be a row of a chart",
    "quote_unsound": "a quote mark opens a cell and does not close it; double the marks inside a quoted cell",
}


@dataclass(frozen=True, slots=True)
class Said:
    """One end's value, with the heading and the cell it was read from."""

    field: str
    got: str
    end: EndSaid


@dataclass(frozen=True, slots=True)
class ChartRow:
    """A row as understood. ``years`` None: all years, in so many words; empty: the row names none.

    ``make`` is "" where make and model stand in one cell. ``said`` holds what was read, ``not_taken`` what was not and
    why; a row that cannot be placed has no ``said``. A row without either says nothing.
    """

    number: int
    quote: str
    make: str
    model: str
    years: tuple[Years, ...] | None
    said: tuple[Said, ...] = ()
    not_taken: tuple[NotTaken, ...] = ()


class RowReader:
    """Reads the rows below the headings, in order; cells left blank are filled from above where the shop says so."""

    def __init__(self, headings: Headings, mapping: ChartMapping) -> None:
        self._headings, self._mapping = headings, mapping
        self._places = {role: place for place, role in enumerate(headings.roles) if role}
        self._above: dict[str, str] = {}
        here = {role.split(" ", 1)[0] for role in self._places}
        self._ends = [end for end in ENDS if end in here]

    def read(self, row: TableRow) -> ChartRow | None:
        """Return the row as understood; None for one above the headings, a blank one and the headings once more."""
        if row.number <= self._headings.row or not (row.broken or any(cell.strip() for cell in row.cells)):
            return None
        if tuple(" ".join(c.split()) for c in row.cells) == self._headings.titles:
            return None
        quote = quote_of(row.raw)
        if (why := self._unsound(row)) is not None:
            return ChartRow(row.number, quote, "", "", (), not_taken=(why,))
        cells = {role: row.cells[at].strip() for role, at in self._places.items() if at < len(row.cells)}
        self._fill(cells)
        said, wrong = self._sizes(cells)
        make, model = cells.get("make", ""), cells.get("model", "") or cells.get("make_model", "")
        if not said and not wrong:
            return ChartRow(row.number, quote, make, model, ())
        years = self._years(cells)
        misplaced = [NotTaken(self._title(r), "", f"{r}_missing", f"the row names no {r}") for r in ("make", "model")
                     if not (make if r == "make" else model) and "make_model" not in cells]  # fmt: skip
        if isinstance(years, NotTaken):
            misplaced.append(years)
            years = ()
        if misplaced:
            return ChartRow(row.number, quote, make, model, years, (), (*misplaced, *wrong))
        return ChartRow(row.number, quote, make, model, years, tuple(said), tuple(wrong))

    def _fill(self, cells: dict[str, str]) -> None:
        """Fill blank cells from above; where a make or a model is stated anew, what comes after it starts anew."""
        anew = False
        for role in AS_ABOVE:
            if not cells.get(role) and role in self._mapping.as_above and not anew:
                cells[role] = self._above.get(role, "")
            elif cells.get(role):
                anew = True
            self._above[role] = cells.get(role, "")

    def _unsound(self, row: TableRow) -> NotTaken | None:
        if row.broken:
            return NotTaken("row", row.raw[:80], row.broken, _BROKEN[row.broken])
        if NOT_DECODED in row.raw:
            return NotTaken("row", row.raw[:80], "not_decoded", "the row holds bytes that are no text in this encoding")
        if any(unicodedata.category(ch) in ("Cc", "Cf", "Cs", "Co") and ch not in "\n\t" for ch in row.raw):
            shown = row.raw[:80].encode("unicode_escape").decode()
            return NotTaken("row", shown, "hidden_character", "the row holds characters that cannot be seen")
        surplus = [cell for cell in row.cells[len(self._headings.roles) :] if cell.strip()]
        if surplus:
            return NotTaken("row", surplus[0][:80], "cell_without_heading",
                            "there are more cells than headings, so the cells may stand under wrong ones")  # fmt: skip
        return None

    def _years(self, cells: Mapping[str, str]) -> tuple[Years, ...] | NotTaken | None:
        text, first, last = (cells.get(role, "") for role in ("year", "first_year", "last_year"))
        if says(text):
            if " ".join(text.casefold().split()) in ALL_YEARS:
                return None
            return years_in_cell(text) or self._bad_years("year", text)
        if not says(first) and not says(last):
            return ()
        # A blank last year may mean "still made" or "this year only": not told, so not read.
        both = years_in_cell(f"{first}-{last}") if says(first) and says(last) else None
        return both or self._bad_years("first_year", f"{first} - {last}")

    def _bad_years(self, role: str, got: str) -> NotTaken:
        return NotTaken(self._title(role), got, "years_unclear",
                        "no model years can be read; write 2019, 2019-2021, or 2019+ for one still made")  # fmt: skip

    def _sizes(self, cells: Mapping[str, str]) -> tuple[list[Said], list[NotTaken]]:
        said: list[Said] = []
        wrong: list[NotTaken] = []
        named = cells.get("end", "")
        if says(named) and not _is_end(named):
            wrong.append(
                NotTaken(self._title("end"), named, "unknown_end", f"no end is called this; {', '.join(ENDS)}")
            )
            return said, wrong
        for role, end in [("hardware", named if says(named) else ""), *((end, end) for end in self._ends)]:
            for field, got, text in self._labels(cells, role, end):
                found = read_sizes(field, got, text)
                if isinstance(found, NotTaken):
                    wrong.append(found)
                else:
                    said += [Said(field, got, one) for one in found]
        return said, wrong

    def _labels(self, cells: Mapping[str, str], role: str, end: str) -> Sequence[tuple[str, str, str]]:
        """Return field, cell and label text for the cell of ``role`` and for the bolt and width beside it."""
        found = []
        before = f"{end}: " if end else ""
        if says(cell := cells.get(role, "")):
            found.append((self._title(role), cell, before + spelt_out(cell, self._mapping.words)))
        parts = SIZES[1:] if role == "hardware" else (f"{role} bolt", f"{role} width")
        bolt, width = (cells.get(part, "") for part in parts)
        if says(bolt) and says(width):
            title = " and ".join(self._title(part) for part in parts)
            found.append((title, f"{bolt} / {width}", f"{before}{bolt} bolt x {width} width"))
        elif says(bolt) or says(width):
            part = parts[0] if says(bolt) else parts[1]
            found.append((self._title(part), bolt or width, before + spelt_out(cells[part], self._mapping.words)))
        return found

    def _title(self, role: str) -> str:
        return self._headings.titles[self._places[role]] if role in self._places else role


def quote_of(raw: str) -> str:
    """Return the row's text as a quote: as it stands, cut with an ellipsis where it is longer than a quote may be."""
    text = unicodedata.normalize("NFC", raw).strip()
    return text if len(text) <= MOST_QUOTE else text[: MOST_QUOTE - 1] + "…"


def _is_end(text: str) -> bool:
    word = WORDS.get(text.casefold().removesuffix("s").removesuffix(" end"))
    return word is not None and word.kind == END
