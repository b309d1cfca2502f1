"""What a shock's ends and sizes can be, what agrees with what, and what sources say is produced in hardware."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.errors import InvalidInput
from boltspan.domain.findings import find
from boltspan.domain.frames import Years
from boltspan.domain.hardware_sizes import HardwareSizes, hardware_sizes_from, produced, produced_widths
from boltspan.domain.shock_values import ShockEnd, ShockSize, ShockSizes, shock_end_from, shock_sizes_from
from boltspan.domain.shocks import Shock
from boltspan.domain.sources import Source
from boltspan.domain.statements import claim_from
from boltspan.domain.subjects import kind_of, subject_of
from boltspan.domain.values import agree, merged, value_json

D = Decimal
SHOCK = Shock("s-0000000001", "orrinfell", "brindle", "shock", Years(2019))
PAGE = Source("spec_page", "p-0000000001", "2026-03-04", document="example.org/brindle")


def sizes(*pairs: tuple[int, int], only: bool = False) -> ShockSizes:
    return ShockSizes(tuple(ShockSize(D(a), D(b)) for a, b in pairs), only)


@pytest.mark.parametrize(
    ("a", "b", "goes"),
    [
        (ShockEnd("eyelet", D(15)), ShockEnd("eyelet", D(15), D(22)), True),
        (ShockEnd("eyelet", D(15)), ShockEnd("eyelet", D("15.03")), True),
        (
            ShockEnd("eyelet", D(15)),
            ShockEnd("eyelet", D("15.08")),
            False,
        ),  # two bores of their own (common practice, no source)
        (ShockEnd("eyelet", D(15)), ShockEnd("bearing_eyelet", D(15)), False),
        (ShockEnd(None, D(15)), ShockEnd("bearing_eyelet", D(15)), True),
        (ShockEnd(None, None, D(22)), ShockEnd("trunnion"), False),
        (ShockEnd("bearing_eyelet", bearings="fixed"), ShockEnd("bearing_eyelet", bearings="swappable"), False),
        (ShockEnd("bearing_eyelet", bearings="fixed"), ShockEnd("bearing_eyelet", D(12)), True),
        (sizes((210, 55)), sizes((230, 65)), True),
        (sizes((210, 55), (230, 65), only=True), sizes((210, 55)), True),
        (sizes((210, 55), only=True), sizes((230, 65)), False),
        (sizes((210, 55), only=True), sizes((210, 55), (230, 65), only=True), False),
        (sizes((210, 55)), ShockEnd("eyelet"), False),
    ],
)
def test_what_can_be_true_of_one_subject(a: Any, b: Any, goes: bool) -> None:
    assert agree(a, b) == agree(b, a) == goes
    assert agree(a, a)


def test_what_agrees_is_merged() -> None:
    assert merged(ShockEnd("eyelet", D(15)), ShockEnd(None, None, D(22))) == ShockEnd("eyelet", D(15), D(22))
    both = merged(sizes((230, 65), only=True), sizes((230, 65)))
    assert both == sizes((230, 65), only=True)
    assert merged(sizes((230, 65)), sizes((210, 55))) == sizes((210, 55), (230, 65))


@pytest.mark.parametrize(
    ("data", "code", "at"),
    [
        ({}, "nothing_stated", ""),
        ({"mount": "hardware"}, "unknown_mount", "/mount"),
        ({"mount": "trunnion", "eyelet_bore_mm": D(15)}, "field_not_taken", "/eyelet_bore_mm"),
        ({"mount": "eyelet", "bearings": "fixed"}, "field_not_taken", "/bearings"),
        ({"mount": "bearing_eyelet", "bearings": "yes"}, "unknown_bearings", "/bearings"),
        ({"mount": "eyelet", "eyelet_bore_mm": D(15), "eyelet_outer_mm": D(15)}, "outer_within_bore",
         "/eyelet_outer_mm"),
        ({"eyelet_bore_mm": D("0.5")}, "impossible_size", "/eyelet_bore_mm"),
        ({"eyelet_bore_mm": True}, "not_a_number", "/eyelet_bore_mm"),
        ({"bolt_mm": D(8)}, "field_not_taken", "/bolt_mm"),
    ],
)  # fmt: skip
def test_an_end_that_no_shock_has_is_refused(data: dict[str, Any], code: str, at: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        shock_end_from(data)
    assert (code, at) in [(p.code, p.pointer) for p in refused.value.problems]


@pytest.mark.parametrize(
    ("data", "code", "at"),
    [
        ({}, "bad_count", "/sizes"),
        ({"sizes": [{"eye_to_eye_mm": 210}]}, "half_a_size", "/sizes/0"),
        ({"sizes": [{"eye_to_eye_mm": 210, "stroke_mm": 55}, {"eye_to_eye_mm": 210, "stroke_mm": D("55.01")}]},
         "named_twice", "/sizes/1"),
        ({"sizes": [{"eye_to_eye_mm": 110, "stroke_mm": 110}]}, "stroke_longer_than_shock", "/sizes/0/stroke_mm"),
        ({"sizes": [{"eye_to_eye_mm": 210, "stroke_mm": 55}], "only": False}, "only_true", "/only"),
    ],
)  # fmt: skip
def test_sizes_that_no_shock_has_are_refused(data: dict[str, Any], code: str, at: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        shock_sizes_from(data)
    assert (code, at) in [(p.code, p.pointer) for p in refused.value.problems]


def test_the_order_of_sizes_means_nothing() -> None:
    a, b = {"eye_to_eye_mm": 230, "stroke_mm": 65}, {"eye_to_eye_mm": 210, "stroke_mm": 55}
    assert shock_sizes_from({"sizes": [a, b]}) == shock_sizes_from({"sizes": [b, a]})
    assert value_json(shock_sizes_from({"sizes": [a, b]}), labelled=True) == {
        "sizes": [b, a],
        "label": "210 x 55, 230 x 65",
    }


def claim(number: int, subject: str, value: dict[str, Any], **more: Any) -> Any:
    source = {"kind": "spec_page", "document": f"example.org/{number}", "seen_on": "2026-03-04", "by": "p-0000000001"}
    return claim_from(SHOCK, subject, {"id": f"c-{number:010d}", "value": value, "source": {**source, **more}})


def test_findings_on_shocks_follow_the_rules_of_frames() -> None:
    page = claim(1, "body", {"mount": "eyelet", "eyelet_bore_mm": 15})
    chart = claim(2, "body", {"mount": "eyelet", "eyelet_bore_mm": D("12.7")}, kind="retailer_chart")
    assert find(SHOCK, "body", [], []).standing == "unknown"
    assert (find(SHOCK, "body", [page], []).standing, find(SHOCK, "body", [chart], []).standing) == (
        "provisional",
        "unknown",
    )
    disputed = find(SHOCK, "body", [page, chart], [])
    assert (disputed.standing, disputed.advice, len(disputed.candidates)) == ("disputed", "do_not_sell", 2)
    assert disputed.supply is None


def test_a_shocks_subjects_are_its_own() -> None:
    assert [subject_of(SHOCK, s, "") for s in ("sizes", "body", "shaft")] == ["sizes", "body", "shaft"]
    for other in ("upper", "shock_size", ""):
        with pytest.raises(InvalidInput):
            subject_of(SHOCK, other, "/subject")
    assert (kind_of("s-0000000001"), kind_of("f-0000000001"), kind_of("s-1")) == ("shock", "frame", "frame")


def test_a_measurement_of_a_shock_is_refused_with_what_to_do() -> None:
    measured = {
        "kind": "measured",
        "instrument": {"kind": "digital_caliper", "resolution_mm": D("0.01")},
        "features": {"width": "tab_gap"},
        "readings_mm": {"width": [22]},
    }
    with pytest.raises(InvalidInput) as refused:
        claim(1, "body", {"mount": "eyelet"}, **measured)
    assert [p.code for p in refused.value.problems] == ["unknown_feature"]


def row(number: int, bolt: int, *widths: Any, bore: Any = None, gone: str | None = None) -> HardwareSizes:
    return HardwareSizes(
        f"h-{number:010d}", D(bolt), tuple(map(D, widths)), PAGE, None if bore is None else D(bore), gone, gone
    )


def test_produced_widths_are_those_of_the_bolt_and_bore_each_once() -> None:
    rows = [
        row(1, 8, 20, "22.2", bore=15),
        row(2, 8, "22.225", 30),
        row(3, 8, 40, bore="12.7"),
        row(4, 10, 50),
        row(5, 8, 60, gone="2026-05-01"),
    ]
    assert produced_widths(rows, D(8), D(15)) == (D(20), D("22.2"), D(30))
    assert produced_widths(rows, D(8)) == (D(20), D("22.2"), D(30), D(40))
    assert produced_widths(rows, D(6)) == produced_widths([], D(8)) == ()


def test_a_width_is_produced_by_its_makers_page_or_by_two_voices_and_not_by_one_shop() -> None:
    def shop(number: int, document: str, *widths: Any) -> HardwareSizes:
        source = replace(PAGE, kind="retailer_chart", document=document, seen_on=f"2026-04-0{number}")
        return replace(row(number, 8, *widths), source=source)

    rows = [
        row(1, 8, 20),
        shop(2, "example.org/one", "22.2", 24, 30),
        shop(3, "example.org/two", "22.225", 30),
        shop(4, "example.org/two", 24, 26),
        shop(5, "example.org/two", 26),
    ]
    found = {w.width_mm: (w.standing, w.independent, len(w.rows), w.checked_on) for w in produced(rows, D(8))}
    assert found == {
        D(20): ("provisional", 1, 1, "2026-03-04"),
        D("22.2"): ("provisional", 2, 2, "2026-04-03"),
        D(24): ("provisional", 2, 2, "2026-04-04"),
        D(26): ("unknown", 1, 2, "2026-04-05"),
        D(30): ("provisional", 2, 2, "2026-04-03"),
    }
    assert produced(rows, D(6)) == produced([], D(8)) == ()


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"widths_mm": [30, 20]}, "not_ascending"),
        ({"widths_mm": []}, "bad_count"),
        ({"bolt_mm": 40}, "impossible_size"),
        ({"source": {"kind": "fitted", "seen_on": "2026-03-04", "by": "p-0000000001"}}, "not_measured_here"),
        ({"id": "c-0000000001"}, "bad_id"),
    ],
)
def test_a_row_of_sizes_that_does_not_go_is_refused(change: dict[str, Any], code: str) -> None:
    source = {"kind": "spec_page", "document": "example.org/a", "seen_on": "2026-03-04", "by": "p-0000000001"}
    sound = {"id": "h-0000000001", "bolt_mm": 8, "widths_mm": [20, 30], "source": source}
    assert hardware_sizes_from(sound).widths_mm == (D(20), D(30))
    with pytest.raises(InvalidInput) as refused:
        hardware_sizes_from({**sound, **change})
    assert code in [p.code for p in refused.value.problems]
