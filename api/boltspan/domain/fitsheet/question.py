"""A question for a fit sheet, as asked: the frame by name, by id or written out, and all that lies on the bench."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal
from typing import Final

from boltspan.domain.assumptions import (
    EYE_TO_EYE_TOLERANCE_MM,
    EYELET_RIM_MM,
    MAX_UNDERSIZE_MM,
    PRESS_MARGIN_MM,
    STROKE_TOLERANCE_MM,
)
from boltspan.domain.fitsheet.checks import MOST_TOLERANCE
from boltspan.domain.fitsheet.facts import (
    AtHand,
    Bench,
    FrameEndFacts,
    FrameFacts,
    Limits,
    OldPart,
    OwnReadings,
    ShockFacts,
)
from boltspan.domain.fitsheet.kits import KitStyle
from boltspan.domain.frames import END_PAIRS, QUALIFIERS, YEARS, Qualifier
from boltspan.domain.presstools import Tool
from boltspan.domain.problems import Problems
from boltspan.domain.shock_values import ShockEnd, ShockSize, shock_size_from
from boltspan.domain.values import EndValue, value_from, value_json

_SERIAL: Final = re.compile(r"(.*?)([0-9]*)")


@dataclass(frozen=True, slots=True)
class Variant:
    """What the customer says of their bike: a kind of qualifier and what theirs is, such as frame_size S."""

    kind: str
    value: str


@dataclass(frozen=True, slots=True)
class ShockStated:
    """A shock as asked: its record's ``id``, or what is known of it, or both; see ``ShockFacts`` for the fields."""

    id: str | None = None
    eye_to_eye_mm: Decimal | None = None
    stroke_mm: Decimal | None = None
    body: ShockEnd | None = None
    shaft: ShockEnd | None = None
    both: ShockEnd | None = None

    @property
    def facts(self) -> ShockFacts:
        """The shock as it is stated."""
        return ShockFacts(self.eye_to_eye_mm, self.stroke_mm, self.body, self.shaft, self.both)


@dataclass(frozen=True, slots=True)
class FitQuestion:
    """One frame and what is to go into it. Mappings are by the frame's own names of its ends.

    The frame is an id, a make and model (slugs or names) with or without a year, or written out: ``ends`` with what is
    known of each, and ``shock_size``. A shock with an ``id`` is looked up; what is stated beside it fills gaps.
    """

    frame: str | None = None
    make: str | None = None
    model: str | None = None
    year: int | None = None
    variant: Variant | None = None
    ends: Mapping[str, EndValue] | None = None
    shock_size: ShockSize | None = None
    new_shock: ShockStated | None = None
    old_shock: ShockStated | None = None
    same_shock: bool = False
    shock_up: str | None = None
    old_hardware: Mapping[str, OldPart] = field(default_factory=dict)
    readings: Mapping[str, OwnReadings] = field(default_factory=dict)
    at_hand: tuple[AtHand, ...] | None = None
    tools: tuple[Tool, ...] = ()
    kit_style: KitStyle | None = None
    max_undersize_mm: Decimal = MAX_UNDERSIZE_MM
    stroke_tolerance_mm: Decimal = STROKE_TOLERANCE_MM
    eye_to_eye_tolerance_mm: Decimal = EYE_TO_EYE_TOLERANCE_MM
    margin_mm: Decimal = PRESS_MARGIN_MM
    rim_mm: Decimal = EYELET_RIM_MM

    @property
    def bench(self) -> Bench:
        """What is said beside the frame."""
        limits = Limits(*(getattr(self, each.name) for each in fields(Limits)))
        new, old = (None if each is None else each.facts for each in (self.new_shock, self.old_shock))
        return Bench(
            new, old, self.same_shock, self.shock_up, self.old_hardware, self.readings,
            self.at_hand, (), self.tools, self.kit_style, limits,
        )  # fmt: skip


def check_question(question: FitQuestion) -> None:
    """Raise InvalidInput unless the question names its frame in just one way; also for a variant that is none."""
    problems = Problems()
    ways = [question.frame is not None, question.make is not None or question.model is not None,
            question.ends is not None]  # fmt: skip
    accepted = "frame; or make and model, with year; or ends"
    if sum(ways) != 1:
        code, detail = ("frame_named_twice", "the frame is named in more than one way")
        if not any(ways):
            code, detail = ("frame_missing", "no frame is named")
        problems.add("", code, detail, None, accepted)
    elif ways[1] and (question.make is None or question.model is None):
        problems.add("/make" if question.make is None else "/model", "field_missing", "make and model go together",
                     None, accepted)  # fmt: skip
    for name, stated, allowed in (
        ("year", question.year is not None, ways[1] or ways[0]),
        ("variant", question.variant is not None, ways[1]),
        ("shock_size", question.shock_size is not None, ways[2]),
    ):
        if stated and not allowed:
            problems.add(f"/{name}", "field_not_taken", "this does not go with how the frame is named", name, accepted)
    if question.year is not None and not YEARS[0] <= question.year <= YEARS[1]:
        problems.add("/year", "out_of_range", "no such model year", question.year, f"from {YEARS[0]} to {YEARS[1]}")
    if question.variant is not None and question.variant.kind not in QUALIFIERS:
        problems.add("/variant/kind", "not_one_of", "frames are not told apart by this", question.variant.kind,
                     ", ".join(QUALIFIERS))  # fmt: skip
    for each in fields(Limits):
        given, pressing = getattr(question, each.name), each.name in ("margin_mm", "rim_mm")
        if not (given.is_finite() and 0 <= given <= MOST_TOLERANCE) or (pressing and not given):
            problems.add(f"/{each.name}", "out_of_range", "this is no tolerance", str(given)[:80],
                         f"{'over 0' if pressing else '0 or more'}, at most {MOST_TOLERANCE} mm")  # fmt: skip
    problems.raise_any()


def written_out(question: FitQuestion) -> FrameFacts:
    """Return the facts of a frame whose ``ends`` are written out; an end of which nothing is said is unknown.

    Raises InvalidInput for ends that are no pair, and for sizes that cannot be.
    """
    assert question.ends is not None, "the frame is written out"
    problems = Problems()
    pair = next((p for p in END_PAIRS if set(p) == set(question.ends)), None)
    if pair is None:
        problems.add("/ends", "bad_ends", "both ends of one pair are wanted, as the frame's maker names them",
                     ", ".join(question.ends), "; ".join(" and ".join(p) for p in END_PAIRS))  # fmt: skip
    size = question.shock_size
    if size is not None:
        stated = value_json(size)
        problems.keep(lambda: shock_size_from(stated, "/shock_size"))
    found = []
    for end in pair or ():
        value = question.ends[end]
        if value != EndValue():
            problems.keep(lambda e=end, v=value: value_from(e, value_json(v), f"/ends/{e}"))  # type: ignore[misc]
            found.append(FrameEndFacts(end, "unknown", "ask_first", value, stated=True))
        else:
            found.append(FrameEndFacts(end))
    problems.raise_any()
    first, second = found
    return FrameFacts((first, second), "unknown", size or ShockSize())


def is_variant(qualifier: Qualifier | None, variant: Variant) -> bool | None:
    """Return whether a frame's qualifier holds for the customer's variant; None when it cannot be told for sure.

    A size or material holds when it is the same word; a build date by its place in the range; a serial number when it
    begins with the only bound, or lies between two bounds that differ in their last digits alone.
    """
    if qualifier is None or qualifier.kind != variant.kind:
        return None
    if qualifier.equals is not None:
        return qualifier.equals.casefold() == variant.value.strip().casefold()
    value, start, end = variant.value.strip(), qualifier.start, qualifier.end
    if qualifier.kind == "build_date":
        return (start is None or start <= value) and (end is None or value[: len(end)] <= end)
    if start is not None and end is None:
        return True if value.startswith(start) else None
    if start is None or end is None:
        return None
    (a, low), (b, high), (c, own) = (_serial(text) for text in (start, end, value))
    if not a == b == c or not (low and high and own):
        return None
    return int(low) <= int(own) <= int(high)


def _serial(text: str) -> tuple[str, str]:
    found = _SERIAL.fullmatch(text)
    return ("", "") if found is None else (found[1], found[2])
