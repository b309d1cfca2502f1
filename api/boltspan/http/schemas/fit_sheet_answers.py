"""What a question for a fit sheet is answered with. These shapes document; the service makes the answers."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import fields

from boltspan.domain.findings import ADVICE, STANDINGS
from boltspan.domain.fitsheet import kits, texts
from boltspan.domain.fitsheet.own_readings import OF_THE_FRAME
from boltspan.domain.fitsheet.told import KINDS as CODES
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.domain.values import MOUNTS
from boltspan.http.schemas.answers import (
    Basis,
    ClaimAnswer,
    FrameHead,
    LabelledValue,
    Slugged,
    SubjectAnswer,
    listed,
    number,
    text,
)
from boltspan.http.schemas.bench_answers import Assuming, PressToolAnswer, ReadingMistake
from boltspan.http.schemas.fields import Choice, Id, Open
from boltspan.http.schemas.requests import END_NAMES
from boltspan.http.schemas.shock_answers import ShockAnswer
from boltspan.http.schemas.values import Years

FEATURES: Final = (*OF_THE_FRAME, "sleeve_bore", "hardware_width")


def _codes(kind: str) -> Any:
    return listed(Choice(CODES[kind]))


def _by_end(entry: type[Open], description: str) -> Any:
    metadata = {"description": f"{description} By the frame's own names of its ends."}
    return fields.Dict(keys=Choice(END_NAMES), values=fields.Nested(entry), required=True, metadata=metadata)


def _pair(description: str) -> Any:
    return fields.List(fields.Decimal(), metadata={"minItems": 2, "maxItems": 2, "description": description})


class ChartSubject(SubjectAnswer):
    """What stands for one end or the shock's size in the chart, and the claims that speak of it, the newest first."""

    standing = Choice(STANDINGS, required=True)
    basis = fields.Nested(Basis)
    stated = fields.Nested(LabelledValue, metadata={"description": "As the question states it; no chart has it."})
    sources = fields.List(fields.Nested(ClaimAnswer))


class SheetFrame(FrameHead):
    """The frame, with what the chart says. A frame that was written out has no more than its ends."""

    id = Id("frame")
    record = text(required=False)
    make = fields.Nested(Slugged)
    model = fields.Nested(Slugged)
    years = fields.Nested(Years)
    shock_size = fields.Nested(ChartSubject)
    ends = _by_end(ChartSubject, "What the chart says.")


class ShockSizeAnswer(Open):
    """Whether the shock has the length and stroke that the frame takes."""

    outcome = Choice(("goes", "incompatible", "ask_frame_maker", "not_compared"), required=True)
    standing = Choice(STANDINGS, required=True)
    reasons = _codes("fit_reasons")
    frame = fields.Nested(LabelledValue)
    shock = fields.Nested(LabelledValue)
    compared_with = Choice(("frame", "old_shock"))


class SizeTaken(Open):
    """The size of hardware to fetch, to move or to keep. No width: only the opening is known."""

    bolt_mm = number(required=True)
    label = text("As the trade writes it, such as M8 x 22.2.")
    width_mm = number()
    eyelet_bore_mm = number("Of the shock's eyelet.")


class OwnReading(Open):
    """What the readings of one feature say, and which to trust when they and the chart disagree."""

    part = Choice(("bolt", "width"), required=True)
    feature = Choice(FEATURES, required=True)
    mean_mm = number(required=True)
    uncertainty_mm = number("Expanded, k = 2.", required=True)
    instrument = text()
    choice_mm = number("The size they decide on, when they do.")
    mistake = fields.Nested(ReadingMistake)
    next = text("What to measure next, when they decide on none.", required=False)
    chart_mm = number("What the chart says.")
    agrees = fields.Boolean(metadata={"description": "Whether the chart's size can give this reading."})
    trust = Choice(("chart", "reading", "neither"))
    why = Choice(texts.TRUST)


class AtHandSize(Open):
    """A size at hand."""

    label = text()
    bolt_mm = number(required=True)
    width_mm = number(required=True)
    article = text(required=False)
    eyelet_bore_mm = number()


class SubstituteAnswer(AtHandSize):
    """A size at hand that serves, by the size-down rule."""

    how = Choice(texts.AT_HAND, required=True)
    undersize_mm = number("How much smaller than the need it is: so much more side play.", required=True)
    side_play_likely = fields.Boolean(required=True)
    choice = fields.Boolean(required=True, metadata={"description": "The one to take."})


class NeverAnswer(AtHandSize):
    """A size at hand that must not go in."""

    why = Choice(texts.NEVER, required=True)


class NotReadAnswer(Open):
    """An entry of at_hand whose label was not read: its place in the list, the reason and advice."""

    place = fields.Integer(required=True)
    label = text()
    reason = text()
    advice = text()
    article = text(required=False)


class StyleAnswer(Open):
    """How the kit is made."""

    bushing = Choice(kits.BUSHINGS, required=True)
    sleeve = Choice(kits.SLEEVES, required=True)
    o_rings = Choice(kits.O_RINGS, required=True)
    sides = Choice(kits.SIDES, required=True)


class KitPartAnswer(Open):
    """One kind of part; dimensions that do not follow from the facts are left out."""

    part = Choice(kits.PARTS, required=True)
    count = fields.Integer(required=True)
    outer_mm = number()
    inner_mm = number()
    length_mm = number()
    notes = listed(Choice(kits.PART_NOTES))


class KitAnswer(Open):
    """One kit: its size, the eyelet it is for, its parts."""

    style = fields.Nested(StyleAnswer, required=True)
    bolt_mm = number(required=True)
    width_mm = number(required=True)
    parts = listed(fields.Nested(KitPartAnswer))
    eyelet_bore_mm = number()
    eyelet_width_mm = number()


class EyeletAnswer(Open):
    """The shock's eyelet."""

    bore_mm = number()
    width_mm = number()
    outer_mm = number()


class TabsAnswer(Open):
    """The opening between the frame's tabs: as read, or the size's name."""

    gap_mm = number(required=True)
    gap_is = Choice(("read", "nominal"), required=True)
    thickness_mm = number("Of one tab.")


class BuiltAnswer(Open):
    """The end as it will sit, for a drawing."""

    end = Choice(END_NAMES, required=True)
    mount = Choice(MOUNTS, required=True)
    shock_end = Choice(SHOCK_ENDS)
    bolt_mm = number()
    width_mm = number()
    eyelet = fields.Nested(EyeletAnswer, required=True)
    bushing_outer_mm = number()
    bushing_inner_mm = number()
    sleeve_outer_mm = number()
    sleeve_length_mm = number()
    spacer_mm = number("Of each side.")
    tabs = fields.Nested(TabsAnswer)
    clearance_mm = _pair("Smallest and largest room between hardware and tabs.")
    clearance_is = Choice(("read", "assumed"))


class SheetPressTools(PressToolAnswer):
    """The shop's own tools that press the bushing, or the questions whose answers would tell them."""

    assumed = fields.List(fields.Raw())
    push_outer_range_mm = _pair("Outside diameter of a push tool.")
    catch_inner_range_mm = _pair("Inside diameter of a catch tool.")
    catch_depth_min_mm = number()
    missing = fields.List(fields.String())
    cautions = fields.List(fields.String())
    questions = listed(Choice(texts.QUESTIONS))


class EndAnswer(Open):
    """What to do at one end, with which parts and tools, and in which order."""

    verdict = Choice(texts.VERDICTS, required=True)
    standing = Choice(STANDINGS, required=True, metadata={"description": "Of this end in the chart."})
    advice = Choice(ADVICE, required=True)
    shock_end = Choice(SHOCK_ENDS)
    reasons = _codes("fit_reasons")
    size = fields.Nested(SizeTaken)
    never_over_mm = number("No width over this goes between the tabs.")
    readings = listed(fields.Nested(OwnReading))
    substitutes = listed(fields.Nested(SubstituteAnswer))
    never = listed(fields.Nested(NeverAnswer))
    why = text("Why this one of what is at hand.", required=False)
    kit = fields.Nested(KitAnswer)
    built = fields.Nested(BuiltAnswer)
    press_tools = fields.Nested(SheetPressTools)
    taking_out = _codes("fit_steps")
    fitting = _codes("fit_steps")
    not_in_kit = _codes("not_in_kit")
    cautions = _codes("fit_cautions")


class WayAnswer(Open):
    """One way the shock can stand; no shock_up: it makes no difference."""

    shock_up = Choice(SHOCK_ENDS)
    goes_in = fields.Boolean(required=True)
    ends = _by_end(EndAnswer, "What to do at each end.")


class QuestionAnswer(Open):
    """A question whose answer would make the sheet whole."""

    code = Choice(texts.QUESTIONS, required=True)
    text = text()


class SheetAnswer(Assuming):
    """The fit sheet of one frame and one shock."""

    frame = fields.Nested(SheetFrame, required=True)
    shock_size = fields.Nested(ShockSizeAnswer, required=True)
    ways = listed(fields.Nested(WayAnswer))
    questions = listed(fields.Nested(QuestionAnswer))
    not_read = listed(fields.Nested(NotReadAnswer))
    cautions = _codes("fit_cautions")


class DatasetState(Open):
    """The state of the dataset that the answer comes from: its newest event, and the newest release."""

    event = fields.Integer(required=True)
    release = text("YYYY.MM.N", required=False)


class FitSheetAnswer(Open):
    """One sheet for each frame that is meant, the question between them, and the text of every code in them."""

    outcome = Choice(("unknown", "one", "several"), required=True)
    ask = text("The question that tells several frames apart.", required=False)
    asked = text("The id that was asked for, when another record answers for it.", required=False)
    new_shock = fields.Nested(ShockAnswer)
    old_shock = fields.Nested(ShockAnswer)
    frames = fields.List(fields.Nested(FrameHead), metadata={"description": "Who they are, when they are too many."})
    sheets = listed(fields.Nested(SheetAnswer))
    texts = fields.Dict(
        keys=fields.String(), values=fields.Dict(keys=fields.String(), values=fields.String()), required=True,
        metadata={"description": "Every code used, with its text, by kind as in /v1/vocabulary."},
    )  # fmt: skip
    dataset = fields.Nested(DatasetState, required=True)
    demo = fields.Boolean(metadata={"enum": [True], "description": "The records are invented."})
