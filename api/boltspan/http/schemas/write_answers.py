"""What the writing operations and the reviews answer. These shapes document; the services make the answers."""

from __future__ import annotations

from typing import Final

from marshmallow import fields

from boltspan.domain.acceptance import HELD
from boltspan.domain.claim_hints import HINTS
from boltspan.domain.claims import STATES
from boltspan.domain.findings import STANDINGS
from boltspan.domain.ruling_reasons import FLAG_REASONS
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


class AskedAnswer(Open):
    """What was asked about a claim, and the answer. Between its contributor and the maintainers."""

    id = Id("question", required=True)
    asked_on = text()
    question = text()
    answered_on = text(required=False)
    answer = text(required=False)
    answered_with = Id("claim")


class EndedRecord(Open):
    """What became of the record that a claim is about, so that nobody rules on the claim any more."""

    record = Choice(("merged", "divided", "withdrawn"), required=True)
    on = text(required=False)
    why = text(required=False)
    ask_instead = fields.List(fields.String(), metadata={"description": "The records that answer now."})


class ToldDecision(Open):
    """The last ruling that stands and names a claim."""

    id = Id("decision", required=True)
    on = text()
    ruling = text()
    why = text()
    followed = fields.Boolean(
        required=True, metadata={"description": "Whether the ruling goes with the claim; false when it overrules it."}
    )
    value = fields.Nested(LabelledValue)


class ClaimReceipt(Open):
    """A claim with its state, how its readings were read, and its review."""

    frame = Id("frame")
    shock = Id("shock")
    subject = Choice(ALL_SUBJECTS, required=True)
    claim = fields.Nested(ClaimAnswer, required=True)
    reads_as = fields.Nested(LabelledValue)
    mistake = fields.Nested(MistakeTold)
    questions = fields.List(fields.Nested(AskedAnswer))
    came_on = text("The day it came in.", required=False)
    review = fields.Nested(AwaitedReview)
    waits_days = whole("For how many days it has waited for its review; absent when it does not.", required=False)
    ended = fields.Nested(EndedRecord)
    decision = fields.Nested(ToldDecision)


class OwnClaims(Open):
    """One's own claims, newest first."""

    claims = listed(fields.Nested(ClaimReceipt))


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
    stake = fields.Dict(
        keys=fields.String(), values=fields.Integer(), required=True,
        metadata={"description": "What is at stake, as points by what they are for; they add up."},
    )  # fmt: skip


class WaitingDocument(Open):
    """A document that is ruled on as one: how many of its claims wait, and where it is looked at."""

    document = text()
    claims = whole()
    path = text()


class ReviewList(Open):
    """Review cases, the one with most at stake first, and on the first page whole documents, the largest first."""

    reviews = listed(fields.Nested(ReviewHead))
    documents = listed(fields.Nested(WaitingDocument))


class HintAnswer(Open):
    """What a reviewer had better look at, and the other claim it has to do with."""

    code = Choice(HINTS, required=True)
    claim = Id("claim")


class ReviewedClaim(ClaimAnswer):
    """A claim under review: how its readings were read, and the mistake they look like."""

    reads_as = fields.Nested(LabelledValue)
    mistake = text(required=False)
    hints = fields.List(fields.Nested(HintAnswer))
    questions = fields.List(fields.Nested(AskedAnswer))
    came_on = text("The day it came in.", required=False)


class FlagAnswer(Open):
    """What somebody says is wrong."""

    id = Id("flag", required=True)
    reason = Choice(FLAG_REASONS, required=True)
    on = text()
    words = text(required=False)
    by = Id("person")
    closed_on = text(required=False)


class Sibling(Open):
    """The same subject in other years of the model."""

    frame = Id("frame")
    shock = Id("shock")
    years = fields.Nested(Years, required=True)
    standing = Choice(STANDINGS, required=True)
    value = fields.Nested(LabelledValue)
    qualifier = fields.Nested(Qualifier)


class RecordAnswer(Open):
    """How a contributor's claims fared."""

    claims = fields.Dict(keys=Choice(STATES), values=fields.Integer(), required=True)
    wrong = whole("Refusals that called a claim false.")
    proven = fields.Boolean(required=True, metadata={"description": "Whether their word helps the rule to settle."})


class RuleSays(Open):
    """Whether the published rule settles it, or why not."""

    settles = fields.Boolean(metadata={"enum": [True]})
    held = fields.List(Choice(HELD))


class Review(ReviewHead):
    """All about one case: what is published now, every claim and decision, and what stands around them."""

    proposed_by = Id("person")
    asked = whole("How often somebody asked for this frame and got no answer to sell by.")
    flags = fields.List(fields.Nested(FlagAnswer))
    published = fields.Nested(SubjectAnswer)
    claims = fields.List(fields.Nested(ReviewedClaim))
    decisions = fields.List(fields.Nested(DecisionAnswer))
    contributors = fields.Dict(keys=Id("person"), values=fields.Nested(RecordAnswer))
    siblings = fields.List(fields.Nested(Sibling))
    rule = fields.Nested(RuleSays)


class StateChange(Open):
    """A claim whose state a decision would change."""

    id = Id("claim", required=True)
    before = Choice(STATES, required=True)
    after = Choice(STATES, required=True)


class Preview(Open):
    """What a decision would do, without doing it."""

    review = Id("review", required=True)
    subject = Choice(SUBJECTS, required=True)
    before = fields.Nested(SubjectAnswer, required=True)
    after = fields.Nested(SubjectAnswer, required=True)
    claims = listed(fields.Nested(StateChange))


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
