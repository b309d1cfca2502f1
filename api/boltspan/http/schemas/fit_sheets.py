"""A question for a fit sheet. A checked question loads as the domain's own."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.features import BOLT_FEATURES, WIDTH_FEATURES
from boltspan.domain.fitsheet import facts, kits, question
from boltspan.domain.fitsheet.checks import (
    MOST_ENTRIES,
    MOST_READINGS,
    MOST_TOLERANCE,
    SLEEVE_RANGE,
    STEP_RANGE,
    TAB_RANGE,
)
from boltspan.domain.frames import QUALIFIERS, YEARS
from boltspan.domain.instruments import KINDS
from boltspan.domain.labels.characters import MOST_CHARACTERS
from boltspan.domain.lengths import MOST_MM, plain
from boltspan.domain.shock_values import BEARINGS, SHOCK_MOUNTS, ShockEnd, ShockSize
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.domain.value_sizes import (
    BOLT_RANGE,
    BORE_RANGE,
    EYE_TO_EYE_RANGE,
    EYELET_OUTER_RANGE,
    EYELET_WIDTH_RANGE,
    STROKE_RANGE,
    WIDTH_RANGE,
)
from boltspan.domain.values import MOUNTS, EndValue
from boltspan.http.schemas.bench import Question, ToolAtHand
from boltspan.http.schemas.fields import Amount, Choice, Flag, Items, Length, Part, Text, Whole
from boltspan.http.schemas.requests import END_NAMES

MOST_NAME: Final = 100


def _size(bounds: tuple[Decimal, Decimal], text: str | None = None, **options: Any) -> Length:
    metadata = {} if text is None else {"description": text}
    return Length(over=bounds[0], most=bounds[1], metadata=metadata, **options)


def _assumed(name: str, *, over: Decimal | None = None) -> Amount:
    """Return the field of a parameter without a source; its text says what holds when it is absent."""
    told = f"Assumed, without a source; absent: {plain(getattr(facts.Limits(), name))}."
    bounds: dict[str, Any] = {"least": Decimal(0)} if over is None else {"over": over}
    return Amount(most=MOST_TOLERANCE, metadata={"description": told}, **bounds)


class ShockEndStated(Question):
    """One end of a shock. Only a bearing eyelet has bearings, and a trunnion end has no eyelet."""

    class Meta(Question.Meta):
        makes = ShockEnd

    mount = Choice(SHOCK_MOUNTS, required=True)
    eyelet_bore_mm = _size(BORE_RANGE, "Without its bushing.")
    eyelet_width_mm = _size(EYELET_WIDTH_RANGE, "Along the bolt.")
    eyelet_outer_mm = _size(EYELET_OUTER_RANGE)
    bearings = Choice(BEARINGS, metadata={"description": "Whether they can give way to a bushing."})


class ShockStated(Question):
    """A shock by its id, written out, or both: what is stated beside an id fills gaps of its record."""

    class Meta(Question.Meta):
        makes = question.ShockStated

    id = Text(most=40, metadata={"description": "Id of a shock of /v1/shocks."})
    eye_to_eye_mm = _size(EYE_TO_EYE_RANGE)
    stroke_mm = _size(STROKE_RANGE)
    body = Part(ShockEndStated)
    shaft = Part(ShockEndStated)
    both = Part(ShockEndStated, metadata={"description": "Instead of body and shaft, when they are alike."})


class FrameEndStated(Question):
    """What is known of an end of a frame that is written out; nothing, when it is to be measured."""

    class Meta(Question.Meta):
        makes = EndValue

    mount = Choice(MOUNTS)
    bolt_mm = _size(BOLT_RANGE)
    width_mm = _size(WIDTH_RANGE)
    eyelet_bore_mm = _size(BORE_RANGE)
    bearing_compatible = Flag(only=True)


class FrameShockSize(Question):
    """The shock a frame takes."""

    class Meta(Question.Meta):
        makes = ShockSize

    eye_to_eye_mm = _size(EYE_TO_EYE_RANGE)
    stroke_mm = _size(STROKE_RANGE)


class OldHardwareStated(Question):
    """The hardware that is or was in an end, and what of it was measured."""

    class Meta(Question.Meta):
        makes = facts.OldPart

    bolt_mm = _size(BOLT_RANGE, required=True)
    width_mm = _size(WIDTH_RANGE, "Over the outsides of both spacers.", required=True)
    worn = Flag(required=True)
    eyelet_bore_mm = _size(BORE_RANGE, "Bore of the eyelet it is for; absent: the old shock's.")
    eyelet_width_mm = _size(EYELET_WIDTH_RANGE, "Width of the eyelet it is for; absent: the old shock's.")
    stays_in_old_shock = Flag(metadata={"description": "It stays there, so that shocks can be changed quickly."})
    bushing_outer_mm = _size(BORE_RANGE)
    bushing_inner_mm = _size(SLEEVE_RANGE)
    sleeve_outer_mm = _size(SLEEVE_RANGE)
    sleeve_length_mm = _size(WIDTH_RANGE)


class InstrumentStated(Question):
    """What was measured with."""

    class Meta(Question.Meta):
        makes = facts.InstrumentUsed

    kind = Choice(KINDS, required=True)
    resolution_mm = Amount(over=STEP_RANGE[0], most=STEP_RANGE[1])


class FeaturesStated(Question):
    """What was measured."""

    class Meta(Question.Meta):
        makes = facts.Features

    bolt = Choice(BOLT_FEATURES)
    width = Choice(WIDTH_FEATURES)


class ReadingsStated(Question):
    """The readings of each feature."""

    class Meta(Question.Meta):
        makes = facts.ReadingLists

    bolt = Items(Amount(over=Decimal(0), most=MOST_MM), least=1, most=MOST_READINGS)
    width = Items(Amount(over=Decimal(0), most=MOST_MM), least=1, most=MOST_READINGS)


class OwnReadingsStated(Question):
    """Own readings of one end, in the form of a measured claim's source."""

    class Meta(Question.Meta):
        makes = facts.OwnReadings

    instrument = Part(InstrumentStated, required=True)
    features = Part(FeaturesStated, required=True)
    readings_mm = Part(ReadingsStated, required=True)
    tab_thickness_mm = Amount(over=TAB_RANGE[0], most=TAB_RANGE[1], metadata={"description": "Of one tab."})


class SizeAtHand(Question):
    """A size or article at hand: its label, or its bolt and width."""

    class Meta(Question.Meta):
        makes = facts.AtHand
        also: Mapping[str, Any] = {
            "anyOf": [{"required": ["label"]}, {"required": ["bolt_mm", "width_mm"]}],
            "not": {"anyOf": [{"required": ["label", name]} for name in ("bolt_mm", "width_mm", "eyelet_bore_mm")]},
        }

    article = Text(most=MOST_NAME, metadata={"description": "The shop's own name for it."})
    label = Text(most=MOST_CHARACTERS, metadata={"description": "As written, such as M8 x 22.2."})
    bolt_mm = _size(BOLT_RANGE)
    width_mm = _size(WIDTH_RANGE)
    eyelet_bore_mm = _size(BORE_RANGE)


class KitStyleStated(Question):
    """How the kit is made."""

    class Meta(Question.Meta):
        makes = kits.KitStyle

    bushing = Choice(kits.BUSHINGS)
    sleeve = Choice(kits.SLEEVES)
    o_rings = Choice(kits.O_RINGS)
    sides = Choice(kits.SIDES)


class VariantStated(Question):
    """What the customer's bike has of what tells variants apart."""

    class Meta(Question.Meta):
        makes = question.Variant

    kind = Choice(QUALIFIERS, required=True)
    value = Text(most=80, required=True)


def _by_end(name: str, of: type[ma.Schema], text: str) -> Any:
    """Return a field that holds one ``of`` for each end it names; ``name`` is its schema's in the document."""
    ends = {end: Part(of) for end in END_NAMES}
    schema: Any = type(name, (Question,), {**ends, "__doc__": f"{text} By the frame's own names of its ends."})
    return Part(schema)


class FitQuestion(Question):
    """A frame (its id; or make and model, with year; or its ends written out) and what is to go into it."""

    class Meta(Question.Meta):
        makes = question.FitQuestion
        also: Mapping[str, Any] = {
            "oneOf": [{"required": ["frame"]}, {"required": ["make", "model"]}, {"required": ["ends"]}]
        }

    frame = Text(most=40, metadata={"description": "Id of a frame."})
    make = Text(most=80, metadata={"description": "Slug or name."})
    model = Text(most=80, metadata={"description": "Slug or name."})
    year = Whole(least=YEARS[0], most=YEARS[1])
    variant = Part(VariantStated)
    ends = _by_end("EndsStated", FrameEndStated, "A frame that is in no chart.")
    shock_size = Part(FrameShockSize)
    new_shock = Part(ShockStated)
    old_shock = Part(ShockStated)
    same_shock = Flag(metadata={"description": "The old shock goes back in after a service."})
    shock_up = Choice(SHOCK_ENDS, metadata={"description": "The shock's end at the frame's first end."})
    old_hardware = _by_end("OldHardwareByEnd", OldHardwareStated, "Old hardware.")
    readings = _by_end("ReadingsByEnd", OwnReadingsStated, "Own readings.")
    at_hand = Items(Part(SizeAtHand), most=MOST_ENTRIES)
    tools = Items(Part(ToolAtHand), most=MOST_ENTRIES, metadata={"description": "The shop's own, as measured."})
    kit_style = Part(KitStyleStated)
    max_undersize_mm = _assumed("max_undersize_mm")
    stroke_tolerance_mm = _assumed("stroke_tolerance_mm")
    eye_to_eye_tolerance_mm = _assumed("eye_to_eye_tolerance_mm")
    margin_mm = _assumed("margin_mm", over=Decimal(0))
    rim_mm = _assumed("rim_mm", over=Decimal(0))
