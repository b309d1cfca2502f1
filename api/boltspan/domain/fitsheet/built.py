"""The end as it will sit between the tabs: what a drawing of it needs, every length in mm and None where not known."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from boltspan.domain.fitsheet.kits import Kit

Range = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class Eyelet:
    """The ring at the shock's end: bore, width along the bolt, outside diameter."""

    bore_mm: Decimal | None = None
    width_mm: Decimal | None = None
    outer_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Tabs:
    """The frame's two walls: the opening between them, whether it was read or is the size's name, and their thickness.

    ``gap_is`` is ``read`` (``gap_mm`` is the mean reading) or ``nominal`` (it is the size needed by its name).
    """

    gap_mm: Decimal
    gap_is: str
    thickness_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class BuiltEnd:
    """One end, built up from the bolt outward.

    ``end`` is the frame's name of it, ``shock_end`` is ``body`` or ``shaft`` (None when the shock's ends are alike),
    ``mount`` one of the frame's mount kinds. ``kit`` is None where none is needed. ``spacer_mm`` is the length of each
    side from eyelet to the hardware's outside, 0 for a sleeve as wide as the eyelet. ``clearance_mm`` is the room
    between the hardware and the tabs, smallest and largest: from a reading of the opening and its uncertainty, or
    assumed (``clearance_is`` ``read`` or ``assumed``).
    """

    end: str
    mount: str
    shock_end: str | None = None
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    eyelet: Eyelet = Eyelet()
    kit: Kit | None = None
    bushing_outer_mm: Decimal | None = None
    bushing_inner_mm: Decimal | None = None
    sleeve_outer_mm: Decimal | None = None
    sleeve_length_mm: Decimal | None = None
    spacer_mm: Decimal | None = None
    tabs: Tabs | None = None
    clearance_mm: Range | None = None
    clearance_is: str | None = None
