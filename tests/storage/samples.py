"""Invented records for the tests of storage."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding
from boltspan.domain.frames import Frame, Make, Model, Qualifier, SameEnds, Years
from boltspan.domain.review import Decision
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.sources import Measurement, Source
from boltspan.domain.values import EndValue, Value
from boltspan.services.protocols import StoredFrame, UnitOfWork

PERSON = "p-4f7h2j9s1d"
OTHER_PERSON = "p-8d1r6k3x0a"
PAGE_SOURCE = Source(
    "spec_page",
    PERSON,
    "2026-03-04",
    document="example.org/skerry-2021",
    url="https://example.org/skerry-2021",
    page="2",
    quote="upper 22.2 x M8 – “as sold”",
)
CALIPER_SOURCE = Source(
    "measured",
    OTHER_PERSON,
    "2026-04-01",
    measurement=Measurement(
        "digital_caliper",
        Decimal("0.01"),
        "sleeve_bore",
        "hardware_width",
        (Decimal("8.06"),),
        (Decimal("22.18"), Decimal("22.19"), Decimal("22.17")),
    ),
)
WIDTH_ONLY_SOURCE = Source(
    "measured",
    OTHER_PERSON,
    "2026-04-01",
    quote="first try",
    measurement=Measurement("tape", Decimal(1), None, "tab_gap", (), (Decimal(22),)),
)
HARDWARE = EndValue("hardware", Decimal(8), Decimal("22.2"))


def frame(
    number: int, *, make: str = "tarnvale", model: str = "skerry", start: int = 2021, end: int | None = 2023
) -> Frame:
    """Return a plain frame; ids of higher numbers sort later."""
    return Frame(f"f-{number:010d}", make, model, "frame", Years(start, end), ("upper", "lower"))


def full_frame() -> Frame:
    """Return a frame that has everything a live frame can have."""
    return Frame(
        "f-7k3m9q2dxw",
        "tarnvale",
        "skerry",
        "frame",
        Years(2024),
        ("front", "rear"),
        qualifier=Qualifier("serial", "Which serial number stands under the bottom bracket?", start="K100", end="K999"),
        same_ends=SameEnds((("lower", "rear"), ("upper", "front")), CALIPER_SOURCE),
    )


def claim(number: int, frame_id: str, subject: str = "upper", value: Value | None = HARDWARE, sequence: int = 1,
          source: Source = PAGE_SOURCE) -> Claim:  # fmt: skip
    """Return a claim; ids of higher numbers sort later."""
    return Claim(f"c-{number:010d}", frame_id, subject, source, value, sequence=sequence)


def decision(number: int, frame_id: str, subject: str = "upper", sequence: int = 1) -> Decision:
    """Return a plain decision."""
    return Decision(f"d-{number:010d}", frame_id, subject, "2026-04-02", PERSON, "leave_open", "cannot tell",
                    sequence=sequence)  # fmt: skip


def shown(subject: str, bolt_mm: str | None = None, width_mm: str | None = None, *, mount: str = "hardware",
          standing: str = "settled") -> Finding:  # fmt: skip
    """Return a finding that shows a value of an end."""
    bolt, width = (None if size is None else Decimal(size) for size in (bolt_mm, width_mm))
    return Finding(subject, standing, "sell", EndValue(mount, bolt, width))


def hidden(subject: str, standing: str) -> Finding:
    """Return a finding without a value."""
    return Finding(subject, standing, "do_not_sell")


def shock_shown() -> Finding:
    """Return a finding that shows a shock's size."""
    return Finding("shock_size", "provisional", "ask_first", ShockSize(Decimal(210), Decimal(55)))


def put_model(unit: UnitOfWork, make: str = "tarnvale", model: str = "skerry") -> None:
    """Store a make and a model of these slugs."""
    unit.catalogue.put_make(Make(make, make.title()))
    unit.catalogue.put_model(Model(make, model, model.title()))


def put_frames(unit: UnitOfWork, frames: Sequence[Frame], *, listed: bool = True) -> None:
    """Store the frames with their makes and models."""
    for make, model in sorted({(f.make, f.model) for f in frames}):
        put_model(unit, make, model)
    for one in frames:
        unit.catalogue.put_frame(StoredFrame(one, listed=listed))
