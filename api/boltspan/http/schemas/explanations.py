"""The shapes of explanations and of contributors' records."""

from __future__ import annotations

from marshmallow import fields

from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.sources import KINDS
from boltspan.domain.weighed import OUTCOMES
from boltspan.http.schemas.answers import LabelledValue, listed, number, text, whole
from boltspan.http.schemas.fields import Choice, Closed, Id, Open
from boltspan.http.schemas.requests import SUBJECTS

FORMS = ("json", "text", "svg")


class ExplanationQuestion(Closed):
    """In which form."""

    form = Choice(FORMS, metadata={"description": "Instead of an Accept header."})


class LikelyValue(Open):
    """A value with its probability, and the claims that go with it."""

    value = fields.Nested(LabelledValue, required=True)
    p = number("Its probability, given that the end has one value.", required=True)
    claims = fields.List(Id("claim"))


class ClaimWeight(Open):
    """What one claim adds to the first value against the second, as a power of ten."""

    claim = Id("claim", required=True)
    kind = Choice(KINDS, required=True)
    by = Id("person", required=True)
    seen_on = text()
    log10_odds = number("Above 0 it speaks for the first value, below for the second.", required=True)
    words = text("What it says and weighs, in words.")
    mount = text(required=False)
    bolt_mm = number("What it states, or the mean of its readings.")
    bolt_sd_mm = number("Standard uncertainty of the mean.")
    width_mm = number("What it states, or the mean of its readings.")
    width_sd_mm = number("Standard uncertainty of the mean.")
    shared_by = whole("How many claims share its document, itself included; they count once.")


class Side(Open):
    """One of the values that are said of the end, and who says so."""

    says = text("The value in words, or what was read.")
    voices = whole("Who speaks independently; claims of one document are one.")
    claims = listed(Id("claim"))


class CaliperFigure(Open):
    """What one person's calipers say of the width."""

    by = Id("person", required=True)
    width_mm = number(required=True)
    uncertainty_mm = number("Standard uncertainty.", required=True)
    readings = whole()
    zero_error_mm = number("What was taken off.", required=True)


class CaliperSummary(Open):
    """All caliper widths as one figure; never part of the probabilities."""

    mean_mm = number(required=True)
    standard_uncertainty_mm = number(required=True)
    enlarged_uncertainty_mm = number("Enlarged where the figures differ more than they should.", required=True)
    birge_ratio = number("About 1 where the figures differ as far as their uncertainties say.")


class Explanation(Open):
    """Why one end comes out as it does."""

    frame = Id("frame", required=True)
    end = Choice(SUBJECTS, required=True)
    outcome = Choice(OUTCOMES, required=True)
    first = fields.Nested(LikelyValue, required=True)
    second = fields.Nested(
        LikelyValue,
        required=True,
        metadata={"description": "The likeliest that contradicts the first; the next likeliest where nobody does."},
    )
    prior_log10_odds = number("What was likelier before anybody spoke.", required=True)
    other_end_log10_odds = number("What the frame's other end adds.", required=True)
    weights = listed(fields.Nested(ClaimWeight))
    candidates = listed(fields.Nested(LikelyValue))
    sides = listed(fields.Nested(Side), metadata={"description": "Who says what; those for the likeliest value first."})
    split_probability = number("The chance that the end has two true values.", required=True)
    witnesses = whole("People who measured, and documents.")
    measurement_value = number("What one more measurement is worth, in reviews.", required=True)
    why = listed(fields.String(), metadata={"description": "The whole in sentences."})
    advice = listed(fields.String(), metadata={"description": "What would settle it."})
    settled = fields.Nested(LabelledValue)
    calipers = fields.List(fields.Nested(CaliperFigure), metadata={"description": "For maintainers."})
    caliper_summary = fields.Nested(CaliperSummary, metadata={"description": "For maintainers."})
    model_version = text()
    snapshot = text("The rates it was worked out with.")
    cautions = listed(Choice(CAUTIONS))
    demo = fields.Boolean(metadata={"enum": [True]})


class ContributorRecord(Open):
    """What the evidence has learnt of a contributor."""

    contributor = Id("person", required=True)
    claims = whole("All claims of theirs.")
    weight = number("What their claims weighed in all, copies counted once.")
    sound = number("The part of it that was sound.")
    reliability = number("The chance that a claim of theirs is sound.")
    uncertainty = number("Its standard deviation.")
    caliper_zero_error_mm = number("How far their caliper reads off.")
    model_version = text(required=False)
    snapshot = text(required=False)
