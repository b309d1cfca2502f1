"""What each column of a chart holds, read from its heading, or told by a mapping that the shop keeps."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final

from boltspan.domain.charts.table import DELIMITERS, TableRow, table_rows
from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import END_PAIRS

ENDS: Final = tuple(end for pair in END_PAIRS for end in pair)
SIZES: Final = ("hardware", "bolt", "width")
ROLES: Final = (
    "make", "model", "make_model", "year", "first_year", "last_year", "end", *SIZES,
    *(f"{end}{part}" for end in ENDS for part in ("", " bolt", " width")), "remark", "unread",
)  # fmt: skip
"""What a column can hold. ``make_model`` has both in one cell; ``end`` names the end that ``hardware`` (or ``bolt``
and ``width``) of the same row is about; ``front`` is that end's size, ``front bolt`` only its bolt."""
LOOKED_AT: Final = 50
"""Lines in which headings are looked for; titles may stand above them."""
AS_ABOVE: Final = ("make", "make_model", "model", "year")
"""Columns that may be blank where they are as in the row above, the wider before the narrower."""
_NAMES: Final = {
    "make": "make", "maker": "make", "brand": "make", "manufacturer": "make", "model": "model",
    "make model": "make_model", "brand model": "make_model", "year": "year",
    "years": "year", "model year": "year", "model years": "year",
    "my": "year", "year from": "first_year", "from year": "first_year", "from": "first_year",
    "first year": "first_year",
    "year to": "last_year", "to year": "last_year", "to": "last_year", "last year": "last_year", "end": "end",
    "which end": "end", "remark": "remark", "remarks": "remark", "note": "remark", "notes": "remark",
    "comment": "remark", "comments": "remark", "bolt": "bolt", "width": "width",
}  # fmt: skip
_ENDS_SAID: Final = {end: end for end in ENDS} | {"top": "upper", "bottom": "lower"}
_PARTS: Final = {"bolt": " bolt", "dia": " bolt", "diameter": " bolt", "width": " width", "wide": " width"}
_HARDWARE: Final = frozenset({"hardware", "size", "sizes", "mounting", "mount", "kit", "shock", "mm"})
_BESIDE_END: Final = _HARDWARE | {"end", "eyelet", "eye", "side"}


@dataclass(frozen=True, slots=True)
class ChartMapping:
    """What a shop says of its own chart: the delimiter, columns by heading, words of its cells, and which columns are
    left blank where they are as in the row above."""

    columns: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    as_above: tuple[str, ...] = ()
    delimiter: str | None = None


@dataclass(frozen=True, slots=True)
class Headings:
    """Where the headings stand (row number), the delimiter, and each column's heading and role ("" is not read)."""

    row: int
    delimiter: str
    titles: tuple[str, ...]
    roles: tuple[str, ...]

    def mapping(self, given: ChartMapping) -> dict[str, Any]:
        """Return the mapping file's content that reads such a chart again; what ``given`` adds is kept."""
        columns = {title: role or "unread" for title, role in zip(self.titles, self.roles, strict=True) if title}
        found: dict[str, Any] = {"delimiter": self.delimiter, "columns": columns}
        if given.words:
            found["words"] = dict(given.words)
        if given.as_above:
            found["as_above"] = list(given.as_above)
        return found


def mapping_from(data: Any) -> ChartMapping:
    """Return the mapping in ``data`` (keys columns, words, as_above, delimiter; all may be absent).

    Raises InvalidInput naming the key for anything else.
    """
    if not isinstance(data, Mapping):
        raise InvalidInput.one("/mapping", "not_an_object", "a mapping is an object", got=data, accepted="{...}")
    for key in data:
        if key not in ("columns", "words", "as_above", "delimiter"):
            raise InvalidInput.one(f"/mapping/{key}", "field_not_taken", "a mapping has no such key", got=key,
                                   accepted="columns, words, as_above, delimiter")  # fmt: skip
    columns, words, above = data.get("columns", {}), data.get("words", {}), data.get("as_above", [])
    for name, pairs in (("columns", columns), ("words", words)):
        if not isinstance(pairs, Mapping) or not all(isinstance(v, str) for v in pairs.values()):
            raise InvalidInput.one(f"/mapping/{name}", "not_texts", "texts by text are wanted", got=pairs,
                                   accepted='such as {"Bike": "model"}')  # fmt: skip
    for title, role in columns.items():
        if role not in ROLES:
            raise InvalidInput.one(f"/mapping/columns/{title}", "unknown_role", "no column holds such a thing",
                                   got=role, accepted=", ".join(ROLES))  # fmt: skip
    if not isinstance(above, list) or not all(role in AS_ABOVE for role in above):
        raise InvalidInput.one("/mapping/as_above", "unknown_role", "these cannot be as in the row above", got=above,
                               accepted=", ".join(AS_ABOVE))  # fmt: skip
    delimiter = data.get("delimiter")
    if delimiter is not None and delimiter not in DELIMITERS:
        raise InvalidInput.one("/mapping/delimiter", "unknown_delimiter", "cells are not set apart by this",
                               got=delimiter, accepted="a comma, a semicolon or a tab")  # fmt: skip
    return ChartMapping({_folded(t): r for t, r in columns.items()},
                    {_folded(w): t for w, t in words.items()}, tuple(above), delimiter)  # fmt: skip


def find_headings(sample: Sequence[str], mapping: ChartMapping) -> Headings:
    """Return the headings among the first lines of a chart: the row, and the delimiter, that name most columns.

    Raises InvalidInput: ``no_headings`` when no row names a model and a size, ``column_named_twice`` when two columns
    hold the same. Of rows that name as many the first counts.
    """
    best: tuple[int, TableRow, str] | None = None
    for delimiter in (mapping.delimiter,) if mapping.delimiter else DELIMITERS:
        for row in islice(table_rows(sample, delimiter), LOOKED_AT):
            roles = _roles(row.cells, mapping)
            read = sum(1 for role in roles if role)
            if _enough(roles) and (best is None or read > best[0]):
                best = (read, row, delimiter)
    if best is None:
        raise InvalidInput.one(
            "/headings", "no_headings", "no row names the model and a size", got=" | ".join(sample[:2]),
            accepted="headings such as make, model, year, front, rear; or a mapping that says what each column holds",
        )  # fmt: skip
    _, row, delimiter = best
    roles = _roles(row.cells, mapping)
    twice = [role for role, times in Counter(roles).items() if times > 1 and role not in ("", "unread", "remark")]
    if twice:
        raise InvalidInput.one(
            "/headings", "column_named_twice", f"more than one column holds the {twice[0]}",
            got=" | ".join(row.cells), accepted="one column each; a mapping can leave the others unread",
        )  # fmt: skip
    return Headings(row.number, delimiter, tuple(" ".join(c.split()) for c in row.cells), roles)


def _enough(roles: Sequence[str]) -> bool:
    named = {"model", "make_model"} & set(roles)
    return bool(named) and any(role in SIZES or role.split(" ")[0] in ENDS for role in roles)


def _roles(cells: Sequence[str], mapping: ChartMapping) -> tuple[str, ...]:
    roles = [mapping.columns.get(_folded(cell)) or _role(_folded(cell)) for cell in cells]
    # "frame" is an end beside "link" only; alone it names the bike.
    return tuple(_sure(role, roles, cell, mapping) for role, cell in zip(roles, cells, strict=True))


def _sure(role: str, roles: Sequence[str], cell: str, mapping: ChartMapping) -> str:
    told = _folded(cell) in mapping.columns
    alone = role.startswith("frame") and not any(other.startswith("link") for other in roles)
    return "" if alone and not told else role


def _role(title: str) -> str:
    if title in _NAMES:
        return _NAMES[title]
    words = title.replace("rear shock", "shock").split()
    if not words:
        return ""
    ends = [_ENDS_SAID[word] for word in words if word in _ENDS_SAID]
    others = {word for word in words if word not in _ENDS_SAID}
    if not ends:
        return "hardware" if others <= _HARDWARE and others & {"hardware", "size", "sizes"} else ""
    if len(ends) > 1 or title == "frame size":
        return ""
    parts = {_PARTS[word] for word in others if word in _PARTS}
    if len(parts) > 1 or not others - set(_PARTS) <= _BESIDE_END:
        return ""
    return ends[0] + "".join(parts)


def _folded(text: str) -> str:
    return " ".join(re.findall(r"\w+", unicodedata.normalize("NFKC", text).casefold()))
