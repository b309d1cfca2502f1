"""What the writing operations and the reviews answer. These shapes document; the services make the answers."""

from __future__ import annotations

from typing import Final

from marshmallow import fields

from boltspan.http.schemas.answers import (
    ClaimAnswer,
    DecisionAnswer,
    FrameHead,
    LabelledValue,
    SubjectAnswer,
    listed,
    text,
    whole,
)
from boltspan.http.schemas.fields import Choice, Id, Open
from boltspan.http.schemas.records import Ends, Qualifier
from boltspan.http.schemas.requests import SUBJECTS
from boltspan.http.schemas.shock_requests import SHOCK_SUBJECTS
from boltspan.http.schemas.values import Years

ALL_SUBJECTS: Final = tuple(dict.fromkeys((*SUBJECTS, *SHOCK_SUBJECTS)))
"""Subjects of frames and of shocks."""


class AwaitedReview(Open):
    """The review a claim waits for."""

    id = Id("review", required=True)
    state = Choice(("open", "closed"), required=True)


class MistakeTold(Open):
    """A usual mistake, and what to do about it."""

    code = text()
    advice = text()


class ClaimReceipt(Open):
    """A claim with its state, how its readings were read, and its review."""

    frame = Id("frame")
    shock = Id("shock")
    subject = Choice(ALL_SUBJECTS, required=True)
    claim = fields.Nested(ClaimAnswer, required=True)
    reads_as = fields.Nested(LabelledValue)
    mistake = fields.Nested(MistakeTold)
    review = fields.Nested(AwaitedReview)


class ProposedFrame(FrameHead):
    """A frame that waits to be listed."""

    ends = Ends(required=True)
    listed = fields.Boolean(required=True)


class ProposalReceipt(Open):
    """A proposed frame and its review. Claims may name it at once."""

    frame = fields.Nested(ProposedFrame, required=True)
    review = fields.Nested(AwaitedReview, required=True)


class CaseReason(Open):
    """Why a subject wants a look."""

    code = text()
    text = text()


class ReviewHead(Open):
    """A review case in short."""

    id = Id("review", required=True)
    state = Choice(("open", "closed"), required=True)
    opened_on = text()
    reasons = listed(fields.Nested(CaseReason))
    frame = Id("frame")
    shock = Id("shock")
    make = text()
    model = text()
    years = fields.Nested(Years, required=True)
    qualifier = fields.Nested(Qualifier)
    subject = Choice((*ALL_SUBJECTS, "record"), required=True)
    event = whole("The last event on the subject.")


class ReviewList(Open):
    """Review cases, the one that has waited longest first."""

    reviews = listed(fields.Nested(ReviewHead))


class ReviewedClaim(ClaimAnswer):
    """A claim under review: how its readings were read, and the mistake they look like."""

    reads_as = fields.Nested(LabelledValue)
    mistake = text(required=False)


class Review(ReviewHead):
    """All about one case: what is published now, every claim and decision."""

    proposed_by = Id("person")
    published = fields.Nested(SubjectAnswer)
    claims = fields.List(fields.Nested(ReviewedClaim))
    decisions = fields.List(fields.Nested(DecisionAnswer))


class DecisionReceipt(Open):
    """A decision and its case as it stands after it."""

    decision = fields.Nested(DecisionAnswer, required=True)
    review = fields.Nested(Review, required=True)


class EditedFrame(FrameHead):
    """A frame after an edit."""

    listed = fields.Boolean(required=True)
    event = whole()


class EditReceipt(Open):
    """Every frame that the edit touched, the edited one first."""

    frames = listed(fields.Nested(EditedFrame))
