"""Questions to the bench and its answers. A checked question loads as the domain's own request."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

import marshmallow as ma
from marshmallow import fields

from boltspan.domain.bores import BoreFitRequest
from boltspan.domain.features import FEATURES
from boltspan.domain.instruments import KINDS, SIDES, Instrument
from boltspan.domain.lengths import MOST_MM
from boltspan.domain.offsets import MOST_LEVERAGE, OffsetEnd, OffsetSleeveRequest
from boltspan.domain.preconditions import MOST_ENTRIES
from boltspan.domain.presstools import PressToolRequest, Tool
from boltspan.domain.readings import Candidate, ReadingRequest
from boltspan.domain.shock_values import SHOCK_MOUNTS
from boltspan.domain.sizes import NEEDS, SizeChoiceRequest
from boltspan.domain.stack import BUILDS, StackRequest
from boltspan.domain.swaps import FrameEnd, NewShock, OldHardware, ShockSwapRequest
from boltspan.domain.values import MOUNTS
from boltspan.http.schemas.fields import Amount, Choice, Closed, Flag, Items, Part, Text, Union

MOST_TEXT: Final = 40


def _length(**options: Any) -> Amount:
    return Amount(over=Decimal(0), most=MOST_MM, **options)


def _amount(**options: Any) -> Amount:
    return Amount(least=Decimal(0), most=MOST_MM, **options)


class Share(Amount):
    """A number for the numerical core."""

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> Any:
        return float(super()._deserialize(value, attr, data, **options))


def _chance(**options: Any) -> Share:
    return Share(least=Decimal(0), most=Decimal(1), **options)


class Question(Closed):
    """A question that loads as the domain's own request, ``Meta.makes``. Raises BenchRefusal for what it refuses."""

    class Meta(Closed.Meta):
        makes: type[Any] = dict

    @ma.post_load
    def _made(self, data: Mapping[str, Any], **_: Any) -> Any:
        return self.Meta.makes(**{k: tuple(v) if isinstance(v, list) else v for k, v in data.items()})


class OneLabel(Closed):
    """A label. Anything is taken; what is no text is answered as refused."""

    text = fields.Raw(required=True, allow_none=True)


class ManyLabels(Closed):
    """Up to 1,000 labels."""

    texts = Items(fields.Raw(allow_none=True), most=MOST_ENTRIES, required=True)


class Labels(Union):
    """One label, or many."""

    choose = staticmethod(lambda data: ManyLabels if "texts" in data else OneLabel)
    schemas = (OneLabel, ManyLabels)


class InstrumentUsed(Question):
    """The instrument with its step and its limits of error, outside and inside."""

    class Meta(Question.Meta):
        makes = Instrument

    kind = Choice(KINDS, required=True)
    resolution_mm = _length(required=True)
    limit_outside_mm = _amount(required=True)
    limit_inside_mm = _amount(required=True)


class CandidateSize(Question):
    """A size in question, its chance before reading, and the interval of its true values when it is known."""

    class Meta(Question.Meta):
        makes = Candidate

    nominal_mm = _length(required=True)
    prior = _chance(required=True)
    interval_mm = Items(_amount(), least=2, most=2)


class ReadingQuestion(Question):
    """Readings of one feature."""

    class Meta(Question.Meta):
        makes = ReadingRequest

    readings_mm = Items(_amount(), least=1, most=MOST_ENTRIES, required=True)
    feature = Choice(FEATURES, required=True)
    instrument = Part(InstrumentUsed, required=True)
    tab_thickness_mm = _length(metadata={"description": "Thickness of one tab."})
    side = Choice(SIDES)
    candidates = Items(Part(CandidateSize), most=MOST_ENTRIES)
    eyelet_bores_mm = Items(_length(), most=MOST_ENTRIES)
    eyelet_width_mm = _length()
    mistake_tolerance_mm = _amount()
    other_prior = _chance()
    other_density_per_mm = Share(least=Decimal(0), most=Decimal(1000))
    accept = Share(over=Decimal(0), most=Decimal(1))


class StackQuestion(Question):
    """One build at one end; tolerances are plus or minus."""

    class Meta(Question.Meta):
        makes = StackRequest

    build = Choice(BUILDS, required=True)
    width_mm = _length(required=True)
    eyelet_width_mm = _length(required=True)
    eyelet_tolerance_mm = _amount()
    spacer_tolerance_mm = _amount()
    pin_minus_mm = _amount()
    pin_plus_mm = _amount()
    eyelet_shift_right_mm = _amount()
    gap_mm = _amount()
    gap_tolerance_mm = _amount()


class SizeChoiceQuestion(Question):
    """A needed width, by name or as read, and the widths in stock."""

    class Meta(Question.Meta):
        makes = SizeChoiceRequest

    need_mm = _length(required=True)
    need_is = Choice(NEEDS, required=True)
    uncertainty_mm = _amount(metadata={"description": "Expanded (k = 2), of a reading."})
    stock_mm = Items(_length(), most=MOST_ENTRIES, required=True)
    max_undersize_mm = _amount()
    same_size_tolerance_mm = _amount()


class BoreFitQuestion(Question):
    """A bore and a bolt by their tolerance classes."""

    class Meta(Question.Meta):
        makes = BoreFitRequest

    bore = Text(most=MOST_TEXT, required=True, metadata={"description": "Such as 8 H9."})
    bolt = Text(most=MOST_TEXT, required=True, metadata={"description": "Such as 8 f7 or M8x1.25-6g."})


class ToolAtHand(Question):
    """A socket or tube as measured."""

    class Meta(Question.Meta):
        makes = Tool

    name = Text(most=100, required=True)
    outer_mm = _length(required=True)
    inner_mm = _length(required=True)
    depth_mm = _length(required=True)


class PressToolQuestion(Question):
    """Eyelet, the part in it, and the tools at hand."""

    class Meta(Question.Meta):
        makes = PressToolRequest

    eyelet_bore_mm = _length(required=True)
    eyelet_outer_mm = _length(required=True)
    part_inner_mm = _length(required=True)
    part_outer_mm = _length(required=True)
    part_length_mm = _length(required=True)
    margin_mm = _length()
    rim_mm = _length()
    tools = Items(Part(ToolAtHand), most=MOST_ENTRIES, required=True)


def _needs_with(key: str, words: list[str], needed: list[str]) -> dict[str, Any]:
    return {"if": {"properties": {key: {"enum": words}}}, "then": {"required": needed}}


class FrameSide(Question):
    """One end of the frame, and the shock it takes. Hardware needs bolt and width."""

    class Meta(Question.Meta):
        makes = FrameEnd
        also: Mapping[str, Any] = _needs_with("mount", ["hardware"], ["bolt_mm", "width_mm"])

    mount = Choice(MOUNTS, required=True)
    bolt_mm = _length()
    width_mm = _length()
    eyelet_bore_mm = _length()
    bearing_compatible = Flag()
    eye_to_eye_mm = _length(required=True)
    stroke_mm = _length(required=True)


class OldPart(Question):
    """What is in the old shock's eyelet."""

    class Meta(Question.Meta):
        makes = OldHardware

    bolt_mm = _length(required=True)
    width_mm = _length(required=True)
    eyelet_bore_mm = _length(required=True)
    worn = Flag(required=True)


class ShockSide(Question):
    """The end of the shock that goes in. An eyelet has a bore."""

    class Meta(Question.Meta):
        makes = NewShock
        also: Mapping[str, Any] = _needs_with("mount", ["eyelet", "bearing_eyelet"], ["eyelet_bore_mm"])

    mount = Choice(SHOCK_MOUNTS, required=True)
    eyelet_bore_mm = _length()
    eye_to_eye_mm = _length(required=True)
    stroke_mm = _length(required=True)


class ShockSwapQuestion(Question):
    """One end of a swap."""

    class Meta(Question.Meta):
        makes = ShockSwapRequest

    frame = Part(FrameSide, required=True)
    old_hardware = Part(OldPart)
    new_shock = Part(ShockSide, required=True)
    same_shock = Flag()
    stroke_tolerance_mm = _amount()
    eye_to_eye_tolerance_mm = _amount()


class OffsetSide(Question):
    """An offset sleeve: 0 degrees is toward the other eyelet."""

    class Meta(Question.Meta):
        makes = OffsetEnd

    offset_mm = _amount(required=True)
    angle_deg = Amount(least=Decimal(-360), most=Decimal(360), required=True)


class OffsetSleeveQuestion(Question):
    """A shock's length, one or two offset ends, and the bike's figures where they are known."""

    class Meta(Question.Meta):
        makes = OffsetSleeveRequest

    eye_to_eye_mm = _length(required=True)
    ends = Items(Part(OffsetSide), least=1, most=2, required=True)
    leverage = Amount(over=Decimal(0), most=Decimal(MOST_LEVERAGE))
    wheelbase_mm = _length()
    front_centre_mm = _length()
