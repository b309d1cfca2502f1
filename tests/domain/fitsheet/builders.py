"""Short ways to write a frame and what lies on the bench; every size is invented."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from boltspan.domain.answers import as_mapping
from boltspan.domain.fitsheet.facts import (
    AtHand,
    Bench,
    Features,
    FrameEndFacts,
    FrameFacts,
    InstrumentUsed,
    OldPart,
    OwnReadings,
    ReadingLists,
    ShockFacts,
)
from boltspan.domain.fitsheet.sheet import EndSheet, FitSheet, fit_sheet
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.lengths import plain
from boltspan.domain.presstools import Tool
from boltspan.domain.shock_values import ShockEnd, ShockSize
from boltspan.domain.sources import Source
from boltspan.domain.values import EndValue

D = Decimal


def size(text: str) -> tuple[Decimal, Decimal]:
    """Return the two numbers of "8 x 22.2"."""
    first, second = text.split(" x ")
    return D(first), D(second)


def end(name: str, value: str | EndValue | None = None, standing: str = "settled", **more: Any) -> FrameEndFacts:
    """Return an end of hardware by its size, of another mount, or without a value."""
    advice = {"settled": "sell", "provisional": "ask_first"}.get(standing, "do_not_sell")
    if isinstance(value, str):
        value = EndValue("hardware", *size(value)) if " x " in value else EndValue(value)
    return FrameEndFacts(name, standing, advice, value, **more)


def frame(first: FrameEndFacts, second: FrameEndFacts, shock: str | None = "210 x 55") -> FrameFacts:
    """Return a frame that takes a shock of this size; None: the size is not known."""
    return FrameFacts((first, second), "unknown" if shock is None else "settled",
                      ShockSize() if shock is None else ShockSize(*size(shock)))  # fmt: skip


def eyelet(bore: str | None = "15", width: str | None = "12.7", outer: str | None = "24", **more: Any) -> ShockEnd:
    """Return a plain eyelet."""
    bores = [None if each is None else D(each) for each in (bore, width, outer)]
    return ShockEnd(more.pop("mount", "eyelet"), *bores, **more)


def shock(both: ShockEnd | None = None, length: str = "210 x 55", **ends: ShockEnd) -> ShockFacts:
    """Return a shock with two like ends, or with ``body`` and ``shaft``."""
    long, stroke = size(length)
    return ShockFacts(eye_to_eye_mm=long, stroke_mm=stroke, both=both, **ends)


def old(text: str, *, worn: bool = False, bore: str | None = "15", **more: Any) -> OldPart:
    """Return old hardware."""
    bolt, width = size(text)
    return OldPart(bolt, width, worn, None if bore is None else D(bore), **more)


def read(tool: str = "digital_caliper", *, tabs: str | None = None, **features: str) -> OwnReadings:
    """Return readings, as ``read(shank="7.95 7.94", tab_gap="22.3")``."""
    bolt, width = (
        next((each for each in features if each in known), None)
        for known in (("thread_crest", "shank", "sleeve_bore"), ("tab_gap", "hardware_width"))
    )
    lists = [() if each is None else tuple(map(D, features[each].split())) for each in (bolt, width)]
    thickness = None if tabs is None else D(tabs)
    return OwnReadings(InstrumentUsed(tool), Features(bolt, width), ReadingLists(*lists), thickness)


def at_hand(*texts: str) -> tuple[AtHand, ...]:
    """Return sizes at hand from their numbers; the article is the text."""
    return tuple(AtHand(text, None, *size(text)) for text in texts)


def made(bolt: str, *widths: str) -> tuple[HardwareSizes, ...]:
    """Return what is produced for one bolt."""
    source = Source("spec_page", "p-000000000a", "2026-01-01", "example.org/sizes")
    return (HardwareSizes("h-0000000001", D(bolt), tuple(map(D, widths)), source),)


SOCKETS = (
    Tool("10 mm socket", D("14.7"), D("10.9"), D(12)),
    Tool("11 mm socket", D("15.9"), D(12), D(12)),
    Tool("16 mm socket", D(22), D(18), D(24)),
    Tool("17 mm socket", D(24), D("19.2"), D(26)),
)
"""Four sockets as measured in some workshop."""


def sheet(of: FrameFacts, **bench: Any) -> FitSheet:
    """Return the fit sheet."""
    return fit_sheet(of, Bench(**bench))


def ends(of: FrameFacts, **bench: Any) -> tuple[EndSheet, EndSheet]:
    """Return both ends of the only way."""
    (way,) = sheet(of, **bench).ways
    return way.ends


def parts(end: EndSheet) -> dict[str, tuple[int, Decimal | None]]:
    """Return the count and length of each part of an end's kit."""
    return {} if end.kit is None else {part.part: (part.count, part.length_mm) for part in end.kit.parts}


def numbers(of: EndSheet) -> str:
    """Return every number that an end's sheet holds, a line for each thing that has any; names without their unit.

    What the sheet says twice (the kit within the built end, what its parts lean on) is said once.
    """
    whole = as_mapping(
        replace(
            of,
            built=None if of.built is None else replace(of.built, kit=None),
            pressing=None if of.pressing is None else replace(of.pressing, assumed=()),
            served=replace(of.served, assumed=()),
            readings=tuple(replace(each, assumed=()) for each in of.readings),
        )
    )
    return "\n".join(_lines("", whole))


def _lines(path: str, found: Mapping[str, Any]) -> Iterator[str]:
    said = [f"{name.removesuffix('_mm')} {text}" for name, value in found.items() if (text := _number(value))]
    if said:
        yield ": ".join([path, ", ".join(said)] if path else said)
    for name, value in found.items():
        if isinstance(value, Mapping):
            yield from _lines(f"{path} {name}".strip(), value)
        for each in value if isinstance(value, list) else ():
            if isinstance(each, Mapping) and name != "assumed":
                called = next((str(each[key]) for key in ("part", "how", "why") if key in each), "")
                yield from _lines(f"{path} {name} {called}".strip(), each)


def _number(value: Any) -> str | None:
    if isinstance(value, list) and value and all(isinstance(each, int | Decimal) for each in value):
        return f"{plain(value[0])} to {plain(value[1])}"
    return plain(D(value)) if isinstance(value, int | Decimal) and not isinstance(value, bool) else None
