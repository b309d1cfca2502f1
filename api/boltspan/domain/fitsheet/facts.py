"""What a fit sheet is worked out from: the frame's side, the shock's side, and what lies on the bench. Lengths in mm.

What is not known is None; the sheet then says so instead of guessing. ``checks.check_facts`` refuses what cannot be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from boltspan.domain.assumptions import (
    EYE_TO_EYE_TOLERANCE_MM,
    EYELET_RIM_MM,
    MAX_UNDERSIZE_MM,
    PRESS_MARGIN_MM,
    STROKE_TOLERANCE_MM,
)
from boltspan.domain.findings import Finding
from boltspan.domain.fitsheet.kits import KitStyle
from boltspan.domain.frames import Frame
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.presstools import Tool
from boltspan.domain.shock_values import ShockEnd, ShockSize
from boltspan.domain.values import EndValue


@dataclass(frozen=True, slots=True)
class FrameEndFacts:
    """One end of the frame as the chart has it: its standing and advice, the value it shows, else the candidates.

    ``stated`` says that the asker wrote the value out, so that no chart stands behind it.
    """

    end: str
    standing: str = "unknown"
    advice: str = "do_not_sell"
    value: EndValue | None = None
    candidates: tuple[EndValue, ...] = ()
    contested: bool = False
    stated: bool = False


@dataclass(frozen=True, slots=True)
class FrameFacts:
    """Both ends as the frame's maker names them, first end first, and the shock's size with its standing."""

    ends: tuple[FrameEndFacts, FrameEndFacts]
    size_standing: str = "unknown"
    size: ShockSize = ShockSize()


@dataclass(frozen=True, slots=True)
class ShockFacts:
    """A shock: both ends by name, or ``both`` when they are alike; eye-to-eye length and stroke.

    ``standings`` says how each end stands in its record, by name; an end written out has none. ``in_the_box`` are the
    ends of the frame, by the frame's names, whose hardware the shock is sold with. ``size_listed``: its record does not
    say that it is made in other sizes only.
    """

    eye_to_eye_mm: Decimal | None = None
    stroke_mm: Decimal | None = None
    body: ShockEnd | None = None
    shaft: ShockEnd | None = None
    both: ShockEnd | None = None
    standings: Mapping[str, str] = field(default_factory=dict)
    in_the_box: tuple[str, ...] = ()
    size_listed: bool = True

    @property
    def alike(self) -> bool:
        """Whether it makes no difference which way up the shock goes.

        Ends of which nothing is known are alike when it is for one reason.
        """
        body, shaft = self.end("body"), self.end("shaft")
        known = body is not None or self.standings.get("body") == self.standings.get("shaft")
        return body == shaft and known

    def end(self, name: str) -> ShockEnd | None:
        """Return the end called ``body`` or ``shaft``; None when nothing is stated about it."""
        return (self.body if name == "body" else self.shaft) or self.both


@dataclass(frozen=True, slots=True)
class OldPart:
    """The hardware that is or was in this end: its size, whether it is worn, whether it stays in the old shock.

    ``eyelet_bore_mm`` and ``eyelet_width_mm`` are of the eyelet that it is for; the old shock's facts give them too.
    The rest is as measured, where it was.
    """

    bolt_mm: Decimal
    width_mm: Decimal
    worn: bool
    eyelet_bore_mm: Decimal | None = None
    eyelet_width_mm: Decimal | None = None
    stays_in_old_shock: bool = False
    bushing_outer_mm: Decimal | None = None
    bushing_inner_mm: Decimal | None = None
    sleeve_outer_mm: Decimal | None = None
    sleeve_length_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class InstrumentUsed:
    """What was measured with: its kind, and its step when it is not the usual one of the kind."""

    kind: str
    resolution_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Features:
    """What was measured: a feature of the bolt, of the width, or both."""

    bolt: str | None = None
    width: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingLists:
    """The readings of each feature."""

    bolt: tuple[Decimal, ...] = ()
    width: tuple[Decimal, ...] = ()


@dataclass(frozen=True, slots=True)
class OwnReadings:
    """The asker's own readings of one end, in the form of a measured claim's source."""

    instrument: InstrumentUsed
    features: Features
    readings_mm: ReadingLists
    tab_thickness_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class AtHand:
    """A size or article at hand: its label as written, or its numbers; ``article`` is the shop's own name for it."""

    article: str | None = None
    label: str | None = None
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    eyelet_bore_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """The parameters without a source, each with its default; an answer lists those that it leans on."""

    max_undersize_mm: Decimal = MAX_UNDERSIZE_MM
    stroke_tolerance_mm: Decimal = STROKE_TOLERANCE_MM
    eye_to_eye_tolerance_mm: Decimal = EYE_TO_EYE_TOLERANCE_MM
    margin_mm: Decimal = PRESS_MARGIN_MM
    rim_mm: Decimal = EYELET_RIM_MM


@dataclass(frozen=True, slots=True)
class Bench:
    """All that is said beside the frame. Mappings are by the frame's own names of its ends.

    ``same_shock``: the old shock goes back in after a service, ``new_shock`` is then absent or the same. ``shock_up``
    is the end of the shock (``body | shaft``) at the frame's first end. ``at_hand`` None: nothing is said about stock.
    ``made`` says which sizes are produced; nothing for a bolt: not known, and every size is taken to be.
    """

    new_shock: ShockFacts | None = None
    old_shock: ShockFacts | None = None
    same_shock: bool = False
    shock_up: str | None = None
    old_hardware: Mapping[str, OldPart] = field(default_factory=dict)
    readings: Mapping[str, OwnReadings] = field(default_factory=dict)
    at_hand: tuple[AtHand, ...] | None = None
    made: tuple[HardwareSizes, ...] = ()
    tools: tuple[Tool, ...] = ()
    kit_style: KitStyle | None = None
    limits: Limits = Limits()

    @property
    def shock(self) -> ShockFacts | None:
        """The shock that goes in."""
        return self.new_shock or (self.old_shock if self.same_shock else None)


def frame_facts(frame: Frame, findings: Mapping[str, Finding]) -> FrameFacts:
    """Return the facts of a frame from the findings on its subjects, by subject; one that is missing is unknown."""
    first, second = (_end_facts(end, findings.get(end)) for end in frame.ends)
    size = findings.get("shock_size")
    if size is None:
        return FrameFacts((first, second))
    value = size.value if isinstance(size.value, ShockSize) else ShockSize()
    return FrameFacts((first, second), size.standing, value)


def _end_facts(end: str, finding: Finding | None) -> FrameEndFacts:
    if finding is None:
        return FrameEndFacts(end)
    return FrameEndFacts(
        end,
        finding.standing,
        finding.advice,
        finding.value if isinstance(finding.value, EndValue) else None,
        tuple(c.value for c in finding.candidates if isinstance(c.value, EndValue)),
        finding.contested,
    )
