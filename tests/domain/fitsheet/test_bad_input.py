"""What cannot be is refused with its field named; what is only not known is not."""

from __future__ import annotations

import contextlib
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.errors import InvalidInput
from boltspan.domain.fitsheet.question import (
    FitQuestion,
    Variant,
    check_question,
    is_variant,
    written_out,
)
from boltspan.domain.fitsheet.sheet import fit_sheet
from boltspan.domain.frames import Qualifier
from boltspan.domain.questions import question_from

D = Decimal
SOUND: dict[str, Any] = {
    "ends": {"upper": {"mount": "hardware", "bolt_mm": 8, "width_mm": D("22.2")}, "lower": {"mount": "trunnion"}},
    "shock_size": {"eye_to_eye_mm": 205, "stroke_mm": 60},
    "new_shock": {
        "eye_to_eye_mm": 205,
        "stroke_mm": 60,
        "body": {"mount": "trunnion"},
        "shaft": {"mount": "eyelet", "eyelet_bore_mm": 15, "eyelet_width_mm": D("12.7"), "eyelet_outer_mm": 24},
    },
    "old_hardware": {"upper": {"bolt_mm": 8, "width_mm": D("22.2"), "worn": False, "eyelet_bore_mm": 15}},
    "readings": {
        "upper": {
            "instrument": {"kind": "digital_caliper"},
            "features": {"bolt": "shank", "width": "tab_gap"},
            "readings_mm": {"bolt": [D("7.95")], "width": [D("22.3")]},
        }
    },
    "at_hand": [{"label": "M8 x 22.2"}],
    "tools": [{"name": "a socket", "outer_mm": D("14.7"), "inner_mm": 10, "depth_mm": 12}],
}


def ask(data: Any) -> None:
    """Work out the sheet of a question that writes its frame out."""
    question = question_from(FitQuestion, data)
    check_question(question)
    fit_sheet(written_out(question), question.bench)


def changed(path: str, value: Any) -> dict[str, Any]:
    """Return the sound question with one thing set, or left out when ``value`` is ...; parts are made on the way."""
    whole: Any = question_copy(SOUND)
    at = whole
    *before, last = path.split("/")
    for part in before:
        at = at[int(part)] if isinstance(at, list) else at.setdefault(part, {})
    key: Any = int(last) if isinstance(at, list) else last
    if value is ...:
        del at[key]
    else:
        at[key] = value
    assert isinstance(whole, dict)
    return whole


def question_copy(data: Any) -> Any:
    """Return a deep copy of JSON-like data."""
    if isinstance(data, dict):
        return {key: question_copy(value) for key, value in data.items()}
    return [question_copy(value) for value in data] if isinstance(data, list) else data


def test_the_sound_question_is_taken() -> None:
    ask(SOUND)


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        # impossible pairs
        ("old_hardware/upper/sleeve_length_mm", 30, "/old_hardware/upper/sleeve_length_mm", "sleeve_longer_than_gap"),
        ("old_hardware/upper", {"bolt_mm": 8, "width_mm": 24, "worn": False, "sleeve_length_mm": 23},
         "/old_hardware/upper/sleeve_length_mm", "sleeve_longer_than_gap"),  # 23 is under 24, and over 22.3 as read
        ("old_hardware/upper", {"bolt_mm": 8, "width_mm": 20, "worn": False, "bushing_outer_mm": 12,
                                "bushing_inner_mm": 13}, "/old_hardware/upper/bushing_outer_mm", "outer_under_inner"),
        ("old_hardware/upper", {"bolt_mm": 8, "width_mm": 20, "worn": False, "sleeve_outer_mm": 13,
                                "bushing_inner_mm": 12}, "/old_hardware/upper/sleeve_outer_mm", "sleeve_over_bushing"),
        ("old_hardware/upper/eyelet_bore_mm", 8, "/old_hardware/upper/eyelet_bore_mm", "bolt_over_bore"),
        ("new_shock/stroke_mm", 110, "/new_shock/stroke_mm", None),
        ("new_shock", {"eye_to_eye_mm": 101, "stroke_mm": 110}, "/new_shock/stroke_mm", "stroke_longer_than_shock"),
        ("shock_size", {"eye_to_eye_mm": 101, "stroke_mm": 110}, "/shock_size/stroke_mm", "stroke_longer_than_shock"),
        ("new_shock/shaft/eyelet_outer_mm", 14, "/new_shock/shaft/eyelet_outer_mm", "outer_under_bore"),
        ("new_shock/body/eyelet_bore_mm", 15, "/new_shock/body/eyelet_bore_mm", "field_not_taken"),
        ("new_shock/shaft/bearings", "fixed", "/new_shock/shaft/bearings", "field_not_taken"),
        ("new_shock/both", {"mount": "eyelet"}, "/new_shock/both", "end_named_twice"),
        ("tools/0/inner_mm", 15, "/tools/0/outer_mm", "outer_under_inner"),
        ("kit_style", {"sleeve": "two_piece", "sides": "spacer_and_crush_washer"}, "/kit_style/sides",
         "does_not_go_together"),
        # negative, absurd, non-finite
        ("new_shock/shaft/eyelet_bore_mm", -15, "/new_shock/shaft/eyelet_bore_mm", "impossible_size"),
        ("new_shock/shaft/eyelet_bore_mm", 1500, "/new_shock/shaft/eyelet_bore_mm", "impossible_size"),
        ("new_shock/eye_to_eye_mm", D("8.25"), "/new_shock/eye_to_eye_mm", "impossible_size"),  # inches
        ("new_shock/eye_to_eye_mm", float("nan"), "/new_shock/eye_to_eye_mm", "not_a_number"),
        ("new_shock/eye_to_eye_mm", float("inf"), "/new_shock/eye_to_eye_mm", "not_a_number"),
        ("new_shock/eye_to_eye_mm", D("NaN"), "/new_shock/eye_to_eye_mm", "not_a_number"),
        ("new_shock/eye_to_eye_mm", D("1e-999"), "/new_shock/eye_to_eye_mm", "impossible_size"),
        ("ends/upper/width_mm", D("0.875"), "/ends/upper/width_mm", "impossible_size"),  # inches
        ("readings/upper/readings_mm/width", [0], "/readings/upper/readings_mm/width/0", "impossible_size"),
        ("max_undersize_mm", -1, "/max_undersize_mm", "out_of_range"),
        ("max_undersize_mm", 50, "/max_undersize_mm", "out_of_range"),
        ("rim_mm", 0, "/rim_mm", "out_of_range"),
        ("margin_mm", -1, "/margin_mm", "out_of_range"),
        ("stroke_tolerance_mm", 10, "/stroke_tolerance_mm", "out_of_range"),  # would let any stroke pass
        ("eye_to_eye_tolerance_mm", D("NaN"), "/eye_to_eye_tolerance_mm", "not_a_number"),
        ("readings/upper/instrument/resolution_mm", 500, "/readings/upper/instrument/resolution_mm", "impossible_size"),
        ("readings/upper/tab_thickness_mm", -6, "/readings/upper/tab_thickness_mm", "impossible_size"),
        ("readings/upper/readings_mm/width", [D("22.3"), D("30.1")], "/readings/upper/readings_mm/width",
         "readings_far_apart"),  # 7.8 apart
        ("readings/upper/readings_mm/bolt", [D("7.4"), D("7.95")], "/readings/upper/readings_mm/bolt",
         "readings_far_apart"),
        ("at_hand/0", {"bolt_mm": 8, "width_mm": 900}, "/at_hand/0/width_mm", "impossible_size"),
        # missing units, other forms
        ("new_shock/shaft/eyelet_bore_mm", "15 mm", "/new_shock/shaft/eyelet_bore_mm", "not_a_number"),
        ("new_shock/shaft/eyelet_bore", 15, "/new_shock/shaft/eyelet_bore", "unknown_field"),
        ("new_shock/shaft/eyelet_bore_mm", None, "/new_shock/shaft/eyelet_bore_mm", "not_a_number"),
        ("old_hardware/upper/worn", ..., "/old_hardware/upper/worn", "field_missing"),
        ("old_hardware/upper/worn", "no", "/old_hardware/upper/worn", "not_taken"),
        ("new_shock/shaft/mount", "clip", "/new_shock/shaft/mount", "not_one_of"),
        ("readings/upper/features", {"bolt": "shank"}, "/readings/upper/readings_mm/width", "feature_and_readings"),
        ("readings/upper/features/bolt", "tab_gap", "/readings/upper/features/bolt", "not_one_of"),
        ("readings/upper/instrument/kind", "eye", "/readings/upper/instrument/kind", "not_one_of"),
        ("at_hand/0", {"article": "A"}, "/at_hand/0", "size_missing"),
        ("at_hand/0", {"label": "M8 x 30", "bolt_mm": 8}, "/at_hand/0", "size_missing"),
        ("at_hand", {"label": "M8 x 30"}, "/at_hand", "not_a_list"),
        ("readings/front", SOUND["readings"]["upper"], "/readings/front", "unknown_end"),
        ("shock_up", "top", "/shock_up", "not_one_of"),
        ("ends/front", {"mount": "trunnion"}, "/ends", "bad_ends"),
        ("kit_style", {"bushing": "gold"}, "/kit_style/bushing", "not_one_of"),
        # how the frame is named
        ("ends", ..., "", "frame_missing"),
        ("frame", "f-7k3m9q2dxw", "", "frame_named_twice"),
        ("year", 2022, "/year", "field_not_taken"),
        ("same_shock", True, "/same_shock", "shock_missing"),
    ],
)  # fmt: skip
def test_each_is_refused_naming_the_field(path: str, value: Any, pointer: str, code: str | None) -> None:
    data = changed(path, value)
    if code is None:  # a stroke of 110 in a shock of 205 is a shock, if a strange one
        ask(data)
        return
    if code == "shock_missing":
        del data["new_shock"]
    with pytest.raises(InvalidInput) as refused:
        ask(data)
    assert (pointer, code) in [(p.pointer, p.code) for p in refused.value.problems]
    assert all(p.detail for p in refused.value.problems)


def test_all_that_is_wrong_is_told_at_once() -> None:
    data = changed("new_shock/shaft/eyelet_bore_mm", -15)
    data["old_hardware"]["upper"]["sleeve_length_mm"] = 70
    with pytest.raises(InvalidInput) as refused:
        ask(data)
    assert len(refused.value.problems) == 2


def test_an_end_called_body_says_which_way_up() -> None:
    data = changed("ends", {"shaft": SOUND["ends"]["upper"], "body": SOUND["ends"]["lower"]})
    data |= {"old_hardware": {}, "readings": {}, "shock_up": "body"}
    with pytest.raises(InvalidInput) as refused:
        ask(data)
    assert [(p.pointer, p.code) for p in refused.value.problems] == [("/shock_up", "other_way_up")]


def test_a_label_that_is_not_read_is_told_and_the_rest_is_answered() -> None:
    data = changed("at_hand", [{"label": "8 x 15"}, {"label": "M8 x 22.2"}]) | {"old_hardware": {}}
    question = question_from(FitQuestion, data)
    sheet = fit_sheet(written_out(question), question.bench)
    assert [(each.place, each.reason) for each in sheet.not_read] == [(0, "width_or_bore_unclear")]
    shaft_up = next(way for way in sheet.ways if way.shock_up == "shaft")
    assert [s.size.label for s in shaft_up.ends[0].served.substitutes] == ["M8 x 22.2"]


LEAVES = [None, True, -1, 0, 15, D("22.2"), D("NaN"), float("inf"), 1e300, "", "M8 x 30", [], {}, ["x"], {"mount": "x"}]


@given(st.sampled_from([
    "frame", "make", "ends", "ends/upper", "ends/upper/mount", "shock_size", "new_shock", "new_shock/shaft",
    "new_shock/shaft/mount", "new_shock/shaft/eyelet_bore_mm", "old_hardware", "old_hardware/upper",
    "old_hardware/upper/width_mm", "readings", "readings/upper", "readings/upper/readings_mm",
    "readings/upper/readings_mm/width", "readings/upper/instrument", "at_hand", "at_hand/0", "at_hand/0/label", "tools",
    "tools/0", "tools/0/depth_mm", "kit_style", "max_undersize_mm", "variant", "same_shock", "shock_up",
]), st.sampled_from(LEAVES))  # fmt: skip
def test_anything_anywhere_is_answered_or_refused(path: str, value: Any) -> None:
    with contextlib.suppress(InvalidInput):  # any other error fails
        ask(changed(path, value))


@pytest.mark.parametrize(
    ("qualifier", "value", "is_it"),
    [
        (Qualifier("frame_size", "Which size?", equals="S"), " s ", True),
        (Qualifier("frame_size", "Which size?", equals="S"), "M", False),
        (Qualifier("serial", "Which serial number?", start="WB100", end="WB200"), "WB150", True),
        (Qualifier("serial", "Which serial number?", start="WB100", end="WB200"), "WB1500", False),
        (Qualifier("serial", "Which serial number?", start="WB100", end="WB200"), "XB150", None),
        (Qualifier("serial", "Does it start with TV16?", start="TV16"), "TV16-0042", True),
        (Qualifier("serial", "Does it start with TV16?", start="TV16"), "TV17-0042", None),
        (Qualifier("build_date", "When was it built?", start="2021-03"), "2021-02-11", False),
        (Qualifier("build_date", "When was it built?", start="2021-03", end="2021-09"), "2021-09-30", True),
        (Qualifier("material", "Which material?", equals="steel"), "S", False),
        (None, "S", None),
    ],
)
def test_a_variant_is_told_only_when_it_is_sure(qualifier: Qualifier | None, value: str, is_it: bool | None) -> None:
    kind = "frame_size" if qualifier is None else qualifier.kind
    assert is_variant(qualifier, Variant(kind, value)) is is_it
