"""What reading a label comes to: the sizes of one or two ends, or a refusal with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class LabelPart:
    """One end as the label states it. Lengths in mm, exact; None where nothing is written.

    ``end`` is unnamed, unnamed_1, unnamed_2, both, front, rear, upper, lower, frame, link, shaft or body; ``mount`` a
    mount kind. Hardware has bolt and width; a bearing both or neither; ``eyelet_bore_mm`` stands on hardware with a
    third number and on open eyelets.
    """

    end: str
    mount: str
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    eyelet_bore_mm: Decimal | None = None
    bearing_compatible: bool = False


@dataclass(frozen=True, slots=True)
class ReadLabel:
    """A label that was read: its parts in written order, warning codes, and its one fixed spelling."""

    parts: tuple[LabelPart, ...]
    warnings: tuple[str, ...]
    canonical: str


@dataclass(frozen=True, slots=True)
class RefusedLabel:
    """A label that was not read: the reason's code and what to do about it in plain words."""

    reason: str
    advice: str


LabelReading = ReadLabel | RefusedLabel
