"""Every parameter without a source has its default in one place, and shows in an answer that leans on it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

from boltspan.domain import assumptions
from boltspan.domain.answers import Assumed
from boltspan.domain.bores import BoreFitRequest, fit_bore
from boltspan.domain.fitsheet.sheet import FitSheet
from boltspan.domain.readings import nominal_from_readings
from tests.domain.fitsheet.builders import SOCKETS, at_hand, end, eyelet, frame, old, read, sheet, shock

D = Decimal
SOURCE = Path(assumptions.__file__).read_text("utf-8")
NAMED = set(re.findall(r'"""([a-z_]+):', SOURCE))
AN_INPUT_S_BOUND = {"readings_apart_mm"}
"""Told with the problem that it makes, not with an answer."""


def names(assumed: Iterable[Assumed]) -> set[str]:
    """Return what an answer leans on."""
    return {each.name for each in assumed}


def sheets() -> list[FitSheet]:
    """Return sheets that lean on much: readings that agree, mistakes, a smaller size, a bolt in no table."""
    of = frame(end("upper", "8 x 22.2"), end("lower", "12.7 x 30"))
    new = {"new_shock": shock(eyelet()), "tools": SOCKETS, "at_hand": at_hand("8 x 21.8")}
    thin = sheet(of, new_shock=shock(eyelet(width="22")))
    return [thin] + [
        sheet(of, **new, old_hardware={"upper": old("8 x 22.2", worn=True)}, readings={"upper": own, "lower": lower})
        for own, lower in (
            (read(shank="7.95", tab_gap="22.3"), read(thread_crest="12.5")),
            (read(sleeve_bore="12.69", hardware_width="22.1"), read("tape", tab_gap="30")),
        )
    ]


def test_every_named_parameter_is_told_by_some_answer() -> None:
    told = {name for each in sheets() for name in names(each.assumed)}
    told |= names(fit_bore(BoreFitRequest("8 H9", "8 f7")).assumed)
    read = (("tab_gap", "22.3"), ("hardware_width", "0.875"), ("eyelet_bore", "15.02"), ("eyelet_width", "22"),
            ("eyelet_outer", "25"))  # fmt: skip
    for feature, reading in read:
        told |= names(nominal_from_readings([D(reading)], feature, "digital_caliper", [D(20), D("22.2")]).assumed)
    assert told >= NAMED - AN_INPUT_S_BOUND


def test_nothing_is_told_as_assumed_that_has_no_default_in_the_one_place() -> None:
    limits = {"limit_outside_mm", "limit_inside_mm"}  # of a rule and a tape, per instrument
    flags = {"bearing_compatible_takes_bearing_eyelet"}
    assert {name for each in sheets() for name in names(each.assumed)} <= NAMED | limits | flags


def test_every_parameter_stands_in_the_one_place_with_a_word_on_it() -> None:
    """A constant of that module is followed by its name and what it means."""
    constants = re.findall(r"^([A-Z_]+): Final", SOURCE, re.MULTILINE)
    plain = {"STEEL_RULE_LIMIT_MM", "STEEL_RULE_STEP_MM", "TAPE_LIMIT_MM", "TAPE_STEP_MM"}
    assert {name.lower() for name in constants if name not in plain} == {
        {"margin_mm": "press_margin_mm", "rim_mm": "eyelet_rim_mm"}.get(name, name) for name in NAMED
    }
