"""What the look-ups of shocks and hardware sizes answer. These shapes document; the services make the answers."""

from __future__ import annotations

from marshmallow import fields

from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.http.schemas.answers import (
    EventAnswer,
    Slugged,
    SubjectAnswer,
    SubjectClaims,
    listed,
    number,
    text,
    whole,
)
from boltspan.http.schemas.fields import Choice, Id, OneOf, Open, by_word
from boltspan.http.schemas.records import Qualifier
from boltspan.http.schemas.shock_requests import SHOCK_SUBJECTS
from boltspan.http.schemas.sources import KEPT, FittedRecord, MeasuredRecord, WrittenRecord
from boltspan.http.schemas.values import Years
from boltspan.http.schemas.write_answers import AwaitedReview


class ShockHead(Open):
    """Who a shock is."""

    id = Id("shock", required=True)
    record = text()
    make = fields.Nested(Slugged, required=True)
    model = fields.Nested(Slugged, required=True)
    years = fields.Nested(Years, required=True)
    qualifier = fields.Nested(Qualifier)


class SoldWithAnswer(Open):
    """A frame for which the shock is sold with hardware for these ends in its box."""

    frame = Id("frame", required=True)
    ends = listed(fields.String())
    source = OneOf((WrittenRecord, MeasuredRecord, FittedRecord), by_word("kind", KEPT), required=True)


class ProposedShock(ShockHead):
    """A shock that a maintainer has not accepted yet."""

    listed = fields.Boolean(required=True, metadata={"enum": [False]})


class ShockProposalReceipt(Open):
    """A proposed shock and its review. Claims may name it at once."""

    shock = fields.Nested(ProposedShock, required=True)
    review = fields.Nested(AwaitedReview, required=True)


class ShockAnswer(ShockHead):
    """The answer for one shock."""

    sizes = fields.Nested(SubjectAnswer, required=True)
    ends = fields.Dict(
        keys=Choice(SHOCK_ENDS),
        values=fields.Nested(SubjectAnswer),
        required=True,
        metadata={"description": "Both ends; they may be of different kinds."},
    )
    sold_with = fields.List(fields.Nested(SoldWithAnswer))
    cautions = listed(Choice(CAUTIONS), metadata={"description": "Codes; their texts are in /v1/vocabulary."})
    event = whole("The event this answer follows.")
    demo = fields.Boolean(metadata={"enum": [True], "description": "The records are invented."})
    listed = fields.Boolean(metadata={"enum": [False], "description": "A proposal that is not accepted yet."})


class ShockList(Open):
    """Shocks found."""

    shocks = listed(fields.Nested(ShockAnswer))


class ShockClaims(Open):
    """All that is said and decided about a shock, by subject."""

    shock = Id("shock", required=True)
    record = text()
    subjects = fields.Dict(keys=Choice(SHOCK_SUBJECTS), values=fields.Nested(SubjectClaims), required=True)


class ShockHistory(Open):
    """Every change of a shock, oldest first."""

    shock = Id("shock", required=True)
    history = listed(fields.Nested(EventAnswer))


class EditedShock(ShockHead):
    """A shock after an edit."""

    listed = fields.Boolean(required=True)
    event = whole()


class ShockEditReceipt(Open):
    """Every shock that the edit touched, the edited one first."""

    shocks = listed(fields.Nested(EditedShock))


class ProducedSizes(Open):
    """What one source says is produced for one bolt."""

    id = Id("hardware", required=True)
    bolt_mm = number("Diameter of the bolt.", required=True)
    eyelet_bore_mm = number("Bore of the shock's eyelet; absent when the source does not say.")
    widths_mm = listed(fields.Decimal())
    source = OneOf((WrittenRecord,), by_word("kind", KEPT), required=True)


class ProducedBasis(Open):
    """What a standing rests on."""

    rows = listed(Id("hardware"), metadata={"description": "The rows that name the width."})
    independent = whole("Independent sources among them.")


class ProducedWidth(Open):
    """Whether one width is produced. Nobody rules on that: provisional, or unknown when one shop alone says so."""

    width_mm = number("Width of the hardware.", required=True)
    standing = Choice(("provisional", "unknown"), required=True)
    basis = fields.Nested(ProducedBasis, required=True)
    checked_on = text("The newest day on which a source was seen.")


class HardwareAnswer(Open):
    """What is produced in hardware."""

    sizes = listed(fields.Nested(ProducedSizes))
    widths_mm = fields.List(
        fields.Decimal(), metadata={"description": "With bolt_mm: the widths of all these rows together, ascending."}
    )
    widths = fields.List(
        fields.Nested(ProducedWidth), metadata={"description": "With bolt_mm: the same widths, each with its standing."}
    )
    event = whole("The event this answer follows.")
    demo = fields.Boolean(metadata={"enum": [True]})
