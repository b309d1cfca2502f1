"""Shapes of flags, wanted frames, documents ruled on as a whole, and undone accounts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma
from marshmallow import fields

from boltspan.domain.frames import YEARS
from boltspan.domain.ruling_reasons import FLAG_REASONS, REFUSAL_REASONS
from boltspan.domain.sources import MOST_DOCUMENT
from boltspan.http.schemas.answers import LabelledValue, listed, text, whole
from boltspan.http.schemas.fields import Choice, Closed, Id, Open, Text, Union, Whole, by_word
from boltspan.http.schemas.query_fields import QueryWhole
from boltspan.http.schemas.requests import SUBJECTS
from boltspan.http.schemas.shock_requests import SHOCK_SUBJECTS
from boltspan.http.schemas.statements import name_field, why_field
from boltspan.http.schemas.write_answers import ALL_SUBJECTS
from boltspan.services.document_reviews import LEFT
from boltspan.services.flags import MOST_WORDS
from boltspan.services.wanted import UNKNOWN_NAME


class NewFrameFlag(Closed):
    """What is wrong with a frame's answer. The words are for maintainers only; leave out who you are."""

    frame = Id("frame", required=True)
    subject = Choice(SUBJECTS, metadata={"description": "Absent: the frame as a whole."})
    reason = Choice(FLAG_REASONS, required=True, metadata={"description": "Their texts are in /v1/vocabulary."})
    words = Text(most=MOST_WORDS)


class NewShockFlag(Closed):
    """What is wrong with a shock's answer. The words are for maintainers only; leave out who you are."""

    shock = Id("shock", required=True)
    subject = Choice(SHOCK_SUBJECTS, metadata={"description": "Absent: the shock as a whole."})
    reason = Choice(FLAG_REASONS, required=True, metadata={"description": "Their texts are in /v1/vocabulary."})
    words = Text(most=MOST_WORDS)


class NewFlag(Union):
    """What is wrong with the answer of a frame, or of a shock."""

    schemas = (NewFrameFlag, NewShockFlag)

    @staticmethod
    def choose(data: Mapping[str, Any]) -> type[ma.Schema]:
        """Return the schema for a flag by what it names."""
        return NewShockFlag if "shock" in data else NewFrameFlag


class FlagTold(Open):
    """A flag as it was taken in, on a frame or a shock."""

    id = Id("flag", required=True)
    frame = Id("frame")
    shock = Id("shock")
    subject = Choice(ALL_SUBJECTS)
    reason = Choice(FLAG_REASONS, required=True)


class FlagReceipt(Open):
    """What was taken in. A maintainer looks at it; the answer stays as it is until then."""

    flag = fields.Nested(FlagTold, required=True)


class WantedFrame(Closed):
    """A frame that should be known."""

    make = name_field(required=True)
    model = name_field(required=True)
    year = Whole(least=YEARS[0], most=YEARS[1])


class WantedReceipt(Open):
    """What was counted. Nothing about who asked is kept."""

    wanted = fields.Nested(WantedFrame, required=True)


class WantedEntry(Open):
    """A question that found no answer, and how often it was asked.

    The kind unknown_name counts texts that mean nothing known; the texts themselves are not kept.
    """

    kind = Choice((UNKNOWN_NAME,))
    make = text(required=False)
    model = text(required=False)
    year = whole(required=False)
    frame = Id("frame")
    asked = whole()
    first_on = text()
    last_on = text()


class WantedList(Open):
    """What is asked for and not answered, the most asked first."""

    wanted = listed(fields.Nested(WantedEntry))


class WantedQuestion(Closed):
    """How many."""

    limit = QueryWhole(least=1, most=1000, metadata={"default": 100})


class DocumentQuestion(Closed):
    """Which document."""

    document = Text(most=MOST_DOCUMENT, required=True, metadata={"description": "As claims name it."})


class DocumentLine(Open):
    """What the document says of one subject; ``left`` is why it would not be settled with the others."""

    frame = Id("frame")
    shock = Id("shock")
    subject = Choice(ALL_SUBJECTS, required=True)
    claims = listed(Id("claim"))
    review = Id("review")
    value = fields.Nested(LabelledValue)
    quote = text(required=False)
    left = Choice(LEFT)


class DocumentReview(Open):
    """A whole table, line by line."""

    document = text()
    claims = whole()
    lines = listed(fields.Nested(DocumentLine))


class SettleDocument(Closed):
    """Every line is settled that nothing contradicts."""

    ruling = Choice(["settle"], required=True)
    document = Text(most=MOST_DOCUMENT, required=True)
    why = why_field()


class RefuseDocument(Closed):
    """All claims of the document are refused."""

    ruling = Choice(["refuse_claims"], required=True)
    document = Text(most=MOST_DOCUMENT, required=True)
    reason = Choice(REFUSAL_REASONS, required=True)
    why = why_field()


class NewDocumentDecision(Union):
    """A ruling on a whole document."""

    choose = staticmethod(by_word("ruling", {"settle": SettleDocument, "refuse_claims": RefuseDocument}))
    schemas = (SettleDocument, RefuseDocument)


class DecidedLine(Open):
    """A subject that was ruled on."""

    frame = Id("frame")
    shock = Id("shock")
    subject = Choice(ALL_SUBJECTS, required=True)
    decision = Id("decision", required=True)


class LeftLine(Open):
    """A subject that is left to be ruled on by itself."""

    frame = Id("frame")
    shock = Id("shock")
    subject = Choice(ALL_SUBJECTS, required=True)
    code = Choice(LEFT, required=True)


class DocumentReceipt(Open):
    """What became of each line."""

    document = text()
    decided = listed(fields.Nested(DecidedLine))
    left = listed(fields.Nested(LeftLine))


class LeftRecord(Open):
    """What could not be undone by itself, and why."""

    what = text()
    why = text()


class UndoneAccount(Open):
    """What undoing an account came to."""

    account = Id("person", required=True)
    claims = whole("Refused.")
    decisions = whole("Reversed.")
    records = whole("Put back.")
    flags = whole("Closed.")
    left = listed(fields.Nested(LeftRecord))
    event = whole("The last event of it.")


_FRAME: Final = "f-7k3m9q2dxw"
FLAG: Final = {"frame": _FRAME, "subject": "upper", "reason": "did_not_fit", "words": "1 mm too wide on two bikes"}
SHOCK_FLAG: Final = {
    "shock": "s-4m8q2v6xzd", "subject": "body", "reason": "other", "words": "the bore differs",
}  # fmt: skip
FLAGGED: Final = {"flag": {"id": "g-4d8k2m6qxz", "frame": _FRAME, "subject": "upper", "reason": "did_not_fit"}}
WANTED: Final = {"make": "Tarnvale", "model": "Skerry", "year": 2026}
WANTED_LIST: Final = {"wanted": [{**WANTED, "asked": 7, "first_on": "2026-03-01", "last_on": "2026-04-02"}]}
_DOCUMENT: Final = "workshop chart of spring 2026"
DOCUMENT: Final[dict[str, Any]] = {
    "document": _DOCUMENT,
    "claims": 1,
    "lines": [{
        "frame": _FRAME, "subject": "upper", "claims": ["c-9p4t1w6zke"], "quote": "22,2 x 8",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2, "label": "M8 x 22.2"},
    }],
}  # fmt: skip
DOCUMENT_DECISIONS: Final = {
    "settle": {"ruling": "settle", "document": _DOCUMENT, "why": "the maker's own table, read line by line"},
    "refuse": {"ruling": "refuse_claims", "document": _DOCUMENT, "reason": "copied", "why": "another shop's chart"},
}
DOCUMENT_DECIDED: Final = {
    "document": _DOCUMENT,
    "decided": [{"frame": _FRAME, "subject": "upper", "decision": "d-6t0z4c8wqe"}],
    "left": [],
}
UNDONE: Final = {
    "account": "p-4f7h2j9s1d", "claims": 41, "decisions": 1, "records": 0, "flags": 2, "left": [], "event": 1100,
}  # fmt: skip
