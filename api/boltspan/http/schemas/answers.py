"""What the look-ups and the writing operations answer. These shapes document; the services make the answers."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.claim_states import SHOWN_STATES
from boltspan.domain.findings import ADVICE, STANDINGS, SUPPLY
from boltspan.domain.review import RULINGS
from boltspan.domain.ruling_reasons import REFUSAL_REASONS
from boltspan.domain.shock_values import BEARINGS
from boltspan.http.schemas.fields import Choice, Id, OneOf, Open, by_word
from boltspan.http.schemas.records import Qualifier
from boltspan.http.schemas.requests import SUBJECTS
from boltspan.http.schemas.sources import KEPT, FittedRecord, MeasuredRecord, WrittenRecord
from boltspan.http.schemas.statements import Superseded
from boltspan.http.schemas.values import Years
from boltspan.services.photo_answers import LICENCE


def listed(entry: Any, **options: Any) -> Any:
    """Return a list that is always there."""
    return fields.List(entry, required=True, **options)


def text(description: str | None = None, *, required: bool = True) -> Any:
    """Return a text."""
    return fields.String(required=required, metadata={"description": description} if description else {})


def number(description: str | None = None, *, required: bool = False) -> Any:
    """Return a number."""
    return fields.Decimal(required=required, metadata={"description": description} if description else {})


def whole(description: str | None = None, *, required: bool = True) -> Any:
    """Return an integer."""
    return fields.Integer(required=required, metadata={"description": description} if description else {})


class SizeMade(Open):
    """One size a shock is made in."""

    eye_to_eye_mm = number(required=True)
    stroke_mm = number(required=True)


class Value(Open):
    """What a subject is: an end by its mount, the shock's size, or the sizes a shock is made in.

    What is not stated is left out.
    """

    mount = fields.String()
    bolt_mm = number("Diameter of the frame's bolt.")
    width_mm = number("Over the outsides of both spacers.")
    bearing_compatible = fields.Boolean(metadata={"enum": [True]})
    eyelet_bore_mm = number()
    eye_to_eye_mm = number()
    stroke_mm = number()
    eyelet_width_mm = number("Length of a shock's eyelet.")
    eyelet_outer_mm = number("Outside diameter of a shock's eyelet.")
    bearings = fields.String(metadata={"enum": list(BEARINGS)})
    sizes = fields.List(fields.Nested(SizeMade), metadata={"description": "The sizes a shock is made in."})
    only_ = fields.Boolean(data_key="only", attribute="only", metadata={"enum": [True], "description": "No others."})


class LabelledValue(Value):
    """A value with its label as the trade writes it."""

    label = text("As written on a label, such as M8 x 22.2.")


class Candidate(Open):
    """A value that some claims allow."""

    value = fields.Nested(LabelledValue, required=True)
    p = number("Its probability, where the evidence was weighed.")
    claims = listed(Id("claim"))
    independent = whole("How many independent voices they are.")


class Basis(Open):
    """What an answer rests on."""

    claims = whole("Claims for the shown value; all of them when none is shown.")
    independent = whole("Independent voices among them.")
    decision = Id("decision")
    evidence_to = whole("The last model year the evidence speaks of.", required=False)


class Mistake(Open):
    """A usual mistake that a claim's reading looks like."""

    claim = Id("claim", required=True)
    code = text()


class SubjectAnswer(Open):
    """What stands for one end, or for the shock's size."""

    standing = Choice(STANDINGS, required=True)
    advice = Choice(ADVICE, required=True)
    supply = Choice(SUPPLY)
    value = fields.Nested(LabelledValue)
    confidence = number("Probability of the value from the evidence alone, to four places; absent where not weighed.")
    contested = fields.Boolean(metadata={"enum": [True], "description": "A newer claim says otherwise."})
    basis = fields.Nested(Basis, required=True)
    dissent = fields.List(fields.Nested(Candidate), metadata={"description": "What claims against it say."})
    candidates = fields.List(fields.Nested(Candidate), metadata={"description": "What may be, when none is shown."})
    mistakes = fields.List(fields.Nested(Mistake))
    checked_on = text("Day of the decision, or of the newest evidence.", required=False)
    model_version = text("The evidence model that the probabilities come from.", required=False)
    why = text("The reason, when it is withheld.", required=False)


class Slugged(Open):
    """A make or model."""

    slug = text()
    name = text()


class FrameHead(Open):
    """Who a frame is."""

    id = Id("frame", required=True)
    record = text()
    make = fields.Nested(Slugged, required=True)
    model = fields.Nested(Slugged, required=True)
    years = fields.Nested(Years, required=True)
    qualifier = fields.Nested(Qualifier)


def _cautions() -> Any:
    return listed(Choice(CAUTIONS), metadata={"description": "Codes; their texts are in /v1/vocabulary."})


class FrameAnswer(FrameHead):
    """The answer for one frame."""

    shock_size = fields.Nested(SubjectAnswer, required=True)
    ends = fields.Dict(
        keys=Choice(SUBJECTS), values=fields.Nested(SubjectAnswer), required=True,
        metadata={"description": "Both ends, as the frame's maker names them."},
    )  # fmt: skip
    listed = fields.Boolean(metadata={"enum": [False], "description": "A proposal that is not accepted yet."})
    cautions = _cautions()
    event = whole("The event this answer follows.")
    demo = fields.Boolean(metadata={"enum": [True], "description": "The records are invented."})


class YearAnswer(Open):
    """The answer for a make, model and year."""

    make = fields.Nested(Slugged, required=True)
    model = fields.Nested(Slugged, required=True)
    year = whole()
    outcome = Choice(("unknown", "one", "several"), required=True)
    frames = listed(fields.Nested(FrameAnswer))
    ask = text("The question that tells several frames apart.", required=False)
    cautions = _cautions()
    event = whole()
    demo = fields.Boolean(metadata={"enum": [True]})


class FrameList(Open):
    """Frames found."""

    frames = listed(fields.Nested(FrameAnswer))


class MakeEntry(Slugged):
    """A make."""

    aliases = fields.List(fields.String())


class MakeList(Open):
    """Every make."""

    makes = listed(fields.Nested(MakeEntry))


class ModelEntry(MakeEntry):
    """A model and the years of its frames."""

    years = listed(fields.Nested(Years))


class MakeAnswer(MakeEntry):
    """A make and its models."""

    models = listed(fields.Nested(ModelEntry))


class PhotoAnswer(Open):
    """A photo of a claim, as it is kept: a WebP without hidden data."""

    claim = Id("claim")
    hash = fields.String(required=True, metadata={"pattern": "^[0-9a-f]{64}$"})
    path = text()
    added_on = text()
    width_px = whole()
    height_px = whole()
    bytes = whole()
    licence = Choice((LICENCE,), required=True)


class Refusal(Open):
    """Why a claim is evidence no more. ``wrong`` false: it was not called false."""

    decision = Id("decision", required=True)
    why = text()
    reason = Choice(REFUSAL_REASONS)
    wrong = fields.Boolean()


class ClaimWithdrawn(Open):
    """When a claim was taken back, and why; of one that nobody had looked at, the reason is not shown to others."""

    on = text()
    why = text(required=False)


class ClaimAnswer(Open):
    """A claim. What its contributor quoted is shown to others after the review."""

    id = Id("claim", required=True)
    value = fields.Nested(Value)
    years = fields.Nested(Years)
    source = OneOf((WrittenRecord, MeasuredRecord, FittedRecord), by_word("kind", KEPT), required=True)
    withdrawn = fields.Nested(ClaimWithdrawn)
    superseded = fields.Nested(Superseded)
    state = Choice(SHOWN_STATES, required=True)
    refusal = fields.Nested(Refusal)
    photos = fields.List(fields.Nested(PhotoAnswer))


class DecisionAnswer(Open):
    """A decision."""

    id = Id("decision", required=True)
    on = text()
    by = text("A person's id, or rule/1.")
    ruling = Choice(RULINGS, required=True)
    value = fields.Nested(Value)
    rests_on = fields.List(Id("claim"))
    overrules = fields.List(Id("claim"))
    refuses = fields.List(Id("claim"))
    reason = Choice(REFUSAL_REASONS)
    reverses = Id("decision")
    why = text()
    reversed = fields.Boolean(metadata={"enum": [True], "description": "Undone by a later one."})


class SubjectClaims(Open):
    """All that is said and decided about one subject."""

    claims = listed(fields.Nested(ClaimAnswer))
    decisions = listed(fields.Nested(DecisionAnswer))


class FrameClaims(Open):
    """All that is said and decided about a frame, by subject."""

    frame = Id("frame", required=True)
    record = text()
    subjects = fields.Dict(keys=Choice(SUBJECTS), values=fields.Nested(SubjectClaims), required=True)


class EventAnswer(Open):
    """A change."""

    event = whole("Its number; numbers have no gaps.")
    on = text("Its day.")
    kind = text()
    frame = Id("frame")
    shock = Id("shock")
    hardware = Id("hardware")
    subject = text(required=False)
    claim = Id("claim")
    claims = fields.List(Id("claim"))
    decision = Id("decision")
    ruling = text(required=False)
    value = fields.Nested(Value)
    why = text(required=False)
    edit = text(required=False)
    make_slug = text(required=False)
    model_slug = text(required=False)
    release = text(required=False)
    reason = text(required=False)
    superseded_by = Id("claim")
    model_version = text("Of the evidence, when what was learnt anew was published.", required=False)
    limit = text("Of the published rule, when one was set.", required=False)
    number = whole("What that limit is since.", required=False)
    into = text("The id of the record that answers now.", required=False)
    ask_instead = fields.List(fields.String())


class History(Open):
    """Every change of a frame, oldest first."""

    frame = Id("frame", required=True)
    history = listed(fields.Nested(EventAnswer))


class Changes(Open):
    """Changes in order, and where to go on."""

    changes = listed(fields.Nested(EventAnswer))
    next_since = whole("Ask again with this.")
    last = whole("The newest event there is.")


class LookupAnswer(Open):
    """The answer to one question."""

    ref = text(required=False)
    outcome = Choice(("unknown", "one", "several", "gone"), required=True)
    frames = listed(fields.Nested(FrameAnswer))
    ask = text("The question that tells several apart.", required=False)
    asked = text("The id that was asked for, when another record answers for it.", required=False)
    why = text(required=False)
    ask_instead = fields.List(Id("frame"))


class LookupAnswers(Open):
    """One answer for each question, in order."""

    answers = listed(fields.Nested(LookupAnswer))


class ReleaseWithdrawn(Open):
    """When and why a release was marked as broken."""

    on = text()
    why = text()


class ReleaseHead(Open):
    """A release in short."""

    version = text("YYYY.MM.N")
    built_on = text()
    event = whole()
    demo = fields.Boolean(required=True)
    title = text()
    licence = text()
    withdrawn = fields.Nested(ReleaseWithdrawn)


class ReleaseList(Open):
    """All releases, newest first."""

    releases = listed(fields.Nested(ReleaseHead))


class ReleasedFile(Open):
    """A file of a release."""

    path = text()
    bytes = whole()
    sha256 = text()
    media_type = text()
    records = whole(required=False)


class Release(ReleaseHead):
    """A release's manifest."""

    event_hash = text("Hash of that event, which covers all before it.", required=False)
    schemas = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    files = listed(fields.Nested(ReleasedFile))


class Vocabulary(Open):
    """Every code that travels in an answer, with its text, by kind."""

    cautions = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    standings = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    advice = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    supply = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    mounts = fields.Dict(keys=fields.String(), values=fields.String(), required=True)


class Readiness(Open):
    """Whether the service can answer."""

    status = Choice(("ready", "not ready"), required=True)
    problems = fields.List(fields.String())
