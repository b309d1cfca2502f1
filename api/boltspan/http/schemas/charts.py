"""A shop's chart as it is sent, and what is answered."""

# ruff: noqa: ARG002 - the signature of _deserialize is marshmallow's

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma
from marshmallow import fields

from boltspan.domain.charts.headings import AS_ABOVE, ROLES
from boltspan.domain.charts.outcomes import OUTCOMES
from boltspan.domain.charts.table import DELIMITERS
from boltspan.domain.frames import END_PAIRS
from boltspan.domain.sources import MOST_DOCUMENT
from boltspan.http.schemas.answers import listed, text, whole
from boltspan.http.schemas.fields import Choice, Closed, Flag, Items, Open, Part, Text, wrong
from boltspan.services.sent_charts import MOST_TEXT, MOST_TOLD


class TextByText(fields.Dict):
    """Texts by text; with ``words`` each is one of them."""

    def __init__(self, *, words: tuple[str, ...] = (), **options: Any) -> None:
        self.words = words
        value: dict[str, Any] = {"type": "string", "maxLength": 200} | ({"enum": list(words)} if words else {})
        metadata = {"additionalProperties": value, "maxProperties": 200, **options.pop("metadata", {})}
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Any:
        sound = isinstance(value, Mapping) and len(value) <= 200 and all(
            isinstance(v, str) and len(v) <= 200 and (not self.words or v in self.words) for v in value.values()
        )  # fmt: skip
        if not sound:
            raise wrong(
                "not_texts", "texts by text are wanted here", ", ".join(self.words) or "texts of 200 characters"
            )
        return value


class Mapped(Closed):
    """What the chart's columns and words mean, where its headings do not say it."""

    columns = TextByText(words=ROLES, metadata={"description": "What each column holds, by its heading."})
    words = TextByText(metadata={"description": "What words in cells stand for in a label; empty: nothing."})
    as_above = Items(Choice(AS_ABOVE), most=len(AS_ABOVE), unique=True)
    delimiter = Choice(DELIMITERS)


class NewChart(Closed):
    """A shop's chart as text, with headings."""

    document = Text(
        most=MOST_DOCUMENT,
        required=True,
        metadata={"description": "The chart's own name, the same for each edition: editions count once."},
    )
    text = Text(
        most=MOST_TEXT, required=True, metadata={"description": "Rows as lines, cells set apart by , ; or tab."}
    )
    mapping = Part(Mapped)
    preview = Flag(only=True, metadata={"description": "Only tell how each row is read."})
    propose = Flag(only=True, metadata={"description": "Propose the frames of makes and models that are not known."})


class ChartHeadings(Open):
    """Where the headings stand."""

    row = whole()
    delimiter = text()


class ChartColumn(Open):
    """What a column holds."""

    heading = text()
    holds = Choice(ROLES, required=True)


class ChartOutcome(Open):
    """What becomes of one thing that a row says."""

    row = whole("As a spreadsheet counts, from 1.")
    outcome = Choice(tuple(OUTCOMES), required=True)
    quote = text("The row as it stands.")
    field = text("The heading.", required=False)
    got = text(required=False)
    code = text(required=False)
    detail = text(required=False)
    frame = text(required=False)
    subject = text(f"One of {', '.join(end for pair in END_PAIRS for end in pair)}.", required=False)
    label = text("The size as it was read.", required=False)


class ChartReceipt(Open):
    """How a chart was read and what became of it."""

    document = text()
    written = ma.fields.Boolean(required=True)
    headings = fields.Nested(ChartHeadings, required=True)
    columns = listed(fields.Nested(ChartColumn))
    counts = fields.Dict(required=True, metadata={"description": "How many outcomes of each kind there are."})
    outcomes = listed(
        fields.Nested(ChartOutcome), metadata={"description": f"In order of the rows, at most {MOST_TOLD}."}
    )


_TEXT: Final = "make;model;year;upper;lower\nTarnvale;Skerry;2021-23;22,2 x 8;8 x 15"
CHARTS: Final = {
    "chart": {"document": "spring wall chart", "text": _TEXT},
    "preview": {
        "document": "spring wall chart",
        "text": "bike;upper\nTarnvale Skerry;brz 8x30",
        "mapping": {"columns": {"bike": "make_model"}, "words": {"brz": "bearing"}},
        "preview": True,
    },
    "propose": {
        "document": "spring wall chart",
        "text": "make;model;year;upper;lower\nTarnvale;Hollowmere;2024;M8x30;trunnion",
        "propose": True,
    },
}
RECEIPT: Final = {
    "document": "spring wall chart",
    "written": True,
    "headings": {"row": 1, "delimiter": ";"},
    "columns": [{"heading": "make", "holds": "make"}, {"heading": "upper", "holds": "upper"}],
    "counts": {"added": 1},
    "outcomes": [
        {
            "row": 2,
            "outcome": "added",
            "quote": "Tarnvale;Skerry;2021-23;22,2 x 8;8 x 15",
            "field": "upper",
            "got": "22,2 x 8",
            "frame": "f-7k3m9q2dxw",
            "subject": "upper",
            "label": "M8 x 22.2",
        }
    ],
}
"""Invented, as all records shown here."""
