"""What the bench answers. These shapes document; the domain makes the answers."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from boltspan.domain.bench_verdicts import BORE_VERDICTS, CHOSEN_BY, FITS, SWAP_ACTIONS
from boltspan.http.schemas.fields import Choice, Open, Union


def _number(*, required: bool = False) -> Any:
    return fields.Decimal(required=required)


def _range(*, required: bool = False) -> Any:
    return fields.List(fields.Decimal(), required=required, metadata={"minItems": 2, "maxItems": 2})


def _texts() -> Any:
    return fields.List(fields.String(), required=True)


class Assumption(Open):
    """A parameter without a published source that the answer leans on."""

    name = fields.String(required=True)
    value = _number(required=True)


class Assuming(Open):
    """What an answer leans on."""

    assumed = fields.List(fields.Nested(Assumption), required=True)


class LabelPart(Open):
    """One end as the label states it."""

    end = fields.String(required=True)
    mount = fields.String(required=True)
    bolt_mm = _number()
    width_mm = _number()
    eyelet_bore_mm = _number()
    bearing_compatible = fields.Boolean()


class LabelAnswer(Open):
    """What a label says, or why it is not read."""

    status = Choice(("ok", "refused"), required=True)
    parts = fields.List(fields.Nested(LabelPart))
    warnings = fields.List(fields.String())
    canonical = fields.String()
    reason = fields.String()
    advice = fields.String()


class ManyLabelAnswers(Open):
    """One reading for each label, in order."""

    results = fields.List(fields.Nested(LabelAnswer), required=True)


class LabelAnswers(Union):
    """A reading, or one for each label when many were sent."""

    choose = staticmethod(lambda data: ManyLabelAnswers if "results" in data else LabelAnswer)
    schemas = (LabelAnswer, ManyLabelAnswers)


class SizeChance(Open):
    """How probable a size is."""

    nominal_mm = _number(required=True)
    p = _number(required=True)


class ReadingMistake(Open):
    """The usual mistake a reading looks like."""

    code = fields.String(required=True)
    advice = fields.String(required=True)


class ReadingAnswer(Assuming):
    """How probable each size is, descending; what is missing to 1 is other."""

    probabilities = fields.List(fields.Nested(SizeChance), required=True)
    other_p = _number(required=True)
    choice_mm = _number()
    mistake = fields.Nested(ReadingMistake)
    next = fields.String()


class StackAnswer(Open):
    """Lengths of one build, its clearance, and whether it fits by the worst case."""

    total_mm = _number(required=True)
    cautions = _texts()
    spacer_each_mm = _number()
    spacer_left_mm = _number()
    spacer_right_mm = _number()
    sleeve_length_mm = _number()
    total_tolerance_worst_mm = _number()
    total_tolerance_rss_mm = _number()
    clearance_nominal_mm = _number()
    clearance_worst_mm = _range()
    clearance_rss_mm = _range()
    fits = Choice(tuple(FITS))


class SizeChoiceAnswer(Assuming):
    """The width to fit, or none."""

    how = Choice(tuple(CHOSEN_BY), required=True)
    never_mm = fields.List(fields.Decimal(), required=True)
    why = fields.String(required=True)
    cautions = _texts()
    choice_mm = _number()
    undersize_mm = _number()
    try_by_hand_mm = fields.List(fields.Decimal())


class BoreFitAnswer(Assuming):
    """Smallest and largest clearance in micrometres, and what they mean."""

    clearance_um = _range(required=True)
    verdict = Choice(tuple(BORE_VERDICTS), required=True)
    cautions = _texts()


class PressToolAnswer(Assuming):
    """The tools that serve, and the dimensions to look for."""

    push = fields.String()
    catch = fields.String()
    push_outer_range_mm = _range(required=True)
    catch_inner_range_mm = _range(required=True)
    catch_depth_min_mm = _number(required=True)
    missing = _texts()
    cautions = _texts()


class PartToBuy(Open):
    """The hardware to buy."""

    bolt_mm = _number(required=True)
    width_mm = _number(required=True)
    eyelet_bore_mm = _number(required=True)


class ShockSwapAnswer(Assuming):
    """What to do at this end."""

    action = Choice(tuple(SWAP_ACTIONS), required=True)
    buy = fields.Nested(PartToBuy)
    reasons = _texts()
    cautions = _texts()


class OffsetSleeveAnswer(Open):
    """The length with the sleeves as they stand, its range when they turn, and the change of the bike."""

    effective_eye_to_eye_mm = _number(required=True)
    eye_to_eye_range_mm = _range(required=True)
    axle_rise_mm = _number()
    head_angle_change_deg = _number()
    bottom_bracket_drop_mm = _number()
    cautions = _texts()
