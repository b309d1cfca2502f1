"""What people write into the form of a fit sheet, as the question it asks."""

from __future__ import annotations

from decimal import Decimal

import pytest

from boltspan.domain.errors import InvalidInput
from boltspan.domain.fitsheet.facts import AtHand
from boltspan.domain.fitsheet.kits import KitStyle
from boltspan.domain.fitsheet.question import Variant
from boltspan.domain.presstools import Tool
from boltspan.domain.shock_values import ShockSize
from boltspan.web.fit_form import BARE_ENDS, FitForm
from tests.web.fit_questions import BARE, FULL

ENDS = ("upper", "lower")


def test_every_field_arrives() -> None:
    asked = FitForm(FULL).question(None, BARE_ENDS)
    assert asked.ends is not None
    assert [value.label for value in asked.ends.values()] == ["M8 x 30", "M8 x 22.2"]
    assert asked.shock_size == ShockSize(Decimal(210), Decimal(55))
    shock = asked.new_shock
    assert shock is not None and shock.body is not None and shock.shaft is not None and shock.both is None
    assert (shock.eye_to_eye_mm, shock.body.eyelet_bore_mm, shock.shaft.eyelet_bore_mm) == (210, 15, Decimal("15.08"))
    assert asked.shock_up == "body"
    before = asked.old_shock
    assert before is not None and before.both is not None and before.id is None
    assert (before.eye_to_eye_mm, before.stroke_mm, before.both.mount) == (210, 55, "eyelet")
    assert (before.both.eyelet_bore_mm, before.both.eyelet_width_mm) == (15, 22)
    old = asked.old_hardware
    assert (old["upper"].worn, old["upper"].stays_in_old_shock, old["upper"].eyelet_bore_mm) == (True, False, 15)
    assert (old["lower"].worn, old["lower"].stays_in_old_shock, old["lower"].width_mm) == (False, True, Decimal("22.2"))
    [(end, readings)] = asked.readings.items()
    assert (end, readings.instrument.kind) == ("lower", "digital_caliper")
    assert readings.readings_mm.width == (Decimal("22.31"), Decimal("22.33"))
    assert (readings.features.bolt, readings.features.width, readings.tab_thickness_mm) == ("shank", "tab_gap", 6)
    assert asked.at_hand == (
        AtHand(label="M8 x 21.8"), AtHand(article="H-0300", label="M8 x 30"), AtHand(label="M8 x 35"),
    )  # fmt: skip
    assert asked.tools[1] == Tool("10 mm socket", Decimal("14.7"), Decimal("10.9"), Decimal(12))
    assert asked.kit_style == KitStyle("metal", "one_piece", "loose", "spacer")


def test_one_end_of_the_shock_stands_for_both_when_they_are_alike() -> None:
    shock = FitForm(BARE).question("f-1", ENDS, 2022).new_shock
    assert shock is not None and shock.both is not None
    assert (shock.body, shock.shaft) == (None, None)


def test_what_is_written_beside_a_shock_s_record_is_of_one_end() -> None:
    shock = FitForm(BARE).question("f-1", ENDS, 2022, shock="s-1").new_shock
    assert shock is not None and shock.body is not None
    assert (shock.id, shock.both, shock.shaft) == ("s-1", None, None)


def test_an_empty_form_says_nothing() -> None:
    asked = FitForm({"stroke": "  ", "first_worn": "yes"}).question("f-1", ENDS)
    assert (asked.new_shock, asked.at_hand, asked.kit_style, dict(asked.old_hardware)) == (None, None, None, {})


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("stroke", "abc"), ("stroke", "1e3"), ("stroke", "-5"), ("stroke", "\u0665\u0665"), ("stroke", "9999"),
        ("first_size", "8 x 15"), ("first_size", "front: M8 x 20; rear: M8 x 30"), ("first_old", "trunnion"),
        ("first_bolt", "7.9 wide"), ("body_mount", "glued"), ("shock_up", "sideways"), ("tools", "socket; 22; 18"),
        ("old_stroke", "long"), ("old_body_bore", "15 or so"), ("old_body_mount", "glued"),
        ("sleeve", "none"), ("instrument", "eye"), ("at_hand", "M8 x 30\n" * 201),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_named_by_its_field(name: str, text: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        FitForm({**FULL, name: text}).question(None, BARE_ENDS)
    assert f"/{name}" in [problem.pointer for problem in refused.value.problems]


def test_the_old_shock_by_its_record_has_its_fields_beside_it() -> None:
    before = FitForm({**BARE, "old_shaft_mount": "trunnion"}).question("f-1", ENDS, old_shock="s-2").old_shock
    assert before is not None and before.shaft is not None
    assert (before.id, before.body, before.both, before.shaft.mount) == ("s-2", None, None, "trunnion")


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"variant": "L"}, "/variant_kind"),
        ({"variant_kind": "frame_size"}, "/variant"),
        ({"variant_kind": "colour", "variant": "red"}, "/variant_kind"),
    ],
)
def test_half_a_variant_is_refused(fields: dict[str, str], pointer: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        FitForm(fields).variant()
    assert pointer in [problem.pointer for problem in refused.value.problems]
    assert FitForm({"variant_kind": "frame_size", "variant": " L "}).variant() == Variant("frame_size", "L")
    assert FitForm({}).variant() is None


def test_readings_need_the_name_of_what_was_measured() -> None:
    with pytest.raises(InvalidInput) as refused:
        FitForm({**BARE, "first_bolt": "7.94"}).question(None, BARE_ENDS)
    assert [problem.pointer for problem in refused.value.problems] == ["/first_bolt_feature"]


def test_all_problems_are_told_at_once() -> None:
    with pytest.raises(InvalidInput) as refused:
        FitForm({**BARE, "stroke": "x", "eye_to_eye": "y", "body_bore": "z"}).question(None, BARE_ENDS)
    assert {problem.pointer for problem in refused.value.problems} == {"/stroke", "/eye_to_eye", "/body_bore"}
