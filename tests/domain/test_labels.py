"""Reading size labels, against the label vectors and a table derived by hand from the numbered rules of the grammar.

The grammar is common practice, no source; an inch is 25.4 mm exactly (international inch).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from boltspan.domain.labels import (
    REASONS,
    WARNINGS,
    LabelPart,
    ReadLabel,
    RefusedLabel,
    canonical_label,
    label_answer,
    read_label,
)

HERE = Path(__file__).parent
TOLERANCE_MM = Decimal("0.0005")
SIZES = ("bolt_mm", "width_mm", "eyelet_bore_mm")


def _tests(path: Path) -> list[dict[str, Any]]:
    read = json.loads(path.read_text("utf-8"), parse_float=Decimal, parse_int=Decimal)
    tests: list[dict[str, Any]] = read["tests"]
    return tests


VECTORS = _tests(HERE.parent / "vectors" / "labels.json")
CASES = _tests(HERE / "label_cases.json")


def _equal(got: object, wanted: object) -> bool:
    if isinstance(got, Decimal) and isinstance(wanted, Decimal):
        return abs(got - wanted) <= TOLERANCE_MM
    return got == wanted


def _passes(part: Mapping[str, Any], wanted: Mapping[str, Any]) -> bool:
    named = all(name in part and _equal(part[name], value) for name, value in wanted.items())
    return named and not [size for size in SIZES if size in part and size not in wanted]


@pytest.mark.parametrize("vector", [pytest.param(vector, id=vector["id"]) for vector in VECTORS])
def test_vector_as_its_file_says(vector: Mapping[str, Any]) -> None:
    answer, expect = label_answer(vector["text"]), vector["expect"]
    assert answer["status"] == expect["status"]
    if expect["status"] == "refused":
        assert answer["reason"] in [expect["reason"], *expect["also_accept"]]
        return
    assert set(expect["warnings_include"]) <= set(answer["warnings"])
    left = list(answer["parts"])
    for wanted in expect["parts"]:
        left.remove(next(part for part in left if _passes(part, wanted)))
    assert not left


def test_all_vectors_are_there() -> None:
    assert len({vector["id"] for vector in VECTORS}) == 80


@pytest.mark.parametrize("case", [pytest.param(case, id=f"{case['rule']}:{case['text'][:40]!a}") for case in CASES])
def test_case_derived_from_its_rule(case: Mapping[str, Any]) -> None:
    answer, expect = label_answer(case["text"]), case["expect"]
    assert answer["status"] == expect["status"], answer
    if expect["status"] == "refused":
        assert answer["reason"] in [expect["reason"], *expect.get("also_accept", [])]
        assert answer["advice"] == REASONS[answer["reason"]]
        return
    assert answer["parts"] == expect["parts"]
    assert sorted(answer["warnings"]) == sorted(expect["warnings"])
    assert label_answer(answer["canonical"])["parts"] == answer["parts"]


def test_every_code_is_met_in_the_table_and_has_a_text() -> None:
    refused = {case["expect"]["reason"] for case in CASES if case["expect"]["status"] == "refused"}
    warned = {code for case in CASES for code in case["expect"].get("warnings", ())}
    assert refused | {"not_a_string"} == set(REASONS)
    assert warned == set(WARNINGS)
    assert all(text.strip().endswith(".") for text in (*REASONS.values(), *WARNINGS.values()))


@pytest.mark.parametrize("text", [None, 8, 8.0, True, b"M8 x 30", ["M8 x 30"], {"text": "M8 x 30"}, object()])
def test_anything_but_text_is_refused_as_such(text: object) -> None:
    assert read_label(text) == RefusedLabel("not_a_string", REASONS["not_a_string"])


def test_inch_fractions_are_fractions_only_in_the_stated_form() -> None:
    """Rule 5: a odd, b one of 2 to 64, a < b; every other pair is two numbers. All pairs up to 70 are tried."""
    for above in range(1, 71):
        for below in range(1, 71):
            proper = above % 2 == 1 and below in (2, 4, 8, 16, 32, 64) and above < below
            answer = label_answer(f"M8 x {above}/{below}")
            if not proper:
                assert answer["status"] == "refused", (above, below)
                continue
            width = Decimal(above) / Decimal(below) * Decimal("25.4")
            if 12 < width <= 80 and width != Decimal("12.7"):
                assert answer["parts"][0]["width_mm"] == width
            else:
                assert answer["reason"] in ("width_out_of_range", "width_missing")


def _hardware(bolt: str, width: str, end: str = "unnamed", **more: Any) -> LabelPart:
    return LabelPart(end, "hardware", Decimal(bolt), Decimal(width), **more)


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("30x8", "M8 x 30"),
        ("22,20 x M8", "M8 x 22.2"),
        ("7/8 x 5/16", "5/16 in x 22.225"),
        ("1/4 x 1 in", "1/4 in x 25.4"),
        ("40 × 9.525", "3/8 in x 40"),
        ("30 x 15 x 8", "M8 x 30 x 15"),
        ("F 20x8 / R trunnion", "front: M8 x 20; rear: trunnion"),
        ("20x8 / 30x8", "M8 x 20; M8 x 30"),
        ("8 x 30 both", "both ends: M8 x 30"),
        ("top: bearing 8x22, bottom: open", "upper: bearing M8 x 22; lower: open eyelet"),
        ("open eyelet 30 x 15", "open eyelet ID 15 x 30 wide"),
        ("open eyelet 10", "open eyelet ID 10"),
        ("open eyelet 30 wide", "open eyelet 30 wide"),
        ("bearings", "bearing"),
        ("8x30 bearing-compatible", "M8 x 30 bearing compatible"),
        ("proprietary", "proprietary"),
    ],
)
def test_canonical_text_is_one_fixed_spelling(text: str, canonical: str) -> None:
    reading = read_label(text)
    assert isinstance(reading, ReadLabel)
    assert reading.canonical == canonical == canonical_label(reading.parts)


def test_canonical_text_keeps_every_digit_and_no_more() -> None:
    digits = "22.2000000000000000000000000000000000000000000000001"
    assert canonical_label([_hardware("8", digits)]) == f"M8 x {digits}"
    assert canonical_label([_hardware("8.0", "3E1")]) == canonical_label([_hardware("8", "30.00")]) == "M8 x 30"
    reading = read_label("08.000 x 30.5000")
    assert isinstance(reading, ReadLabel)
    assert reading.canonical == "M8 x 30.5"


def test_canonical_text_of_nothing_is_empty() -> None:
    assert canonical_label([]) == ""


@pytest.mark.parametrize(
    "part",
    [
        LabelPart("unnamed", "hardware"),
        LabelPart("unnamed", "hardware", Decimal(8)),
        LabelPart("unnamed", "bearing", None, Decimal(30)),
        _hardware("12", "30"),
        LabelPart("unnamed", "glued"),
    ],
)
def test_a_part_no_label_states_has_no_canonical_text(part: LabelPart) -> None:
    with pytest.raises(ValueError, match=r"got|no label"):
        canonical_label([part])


def test_answer_leaves_out_what_is_not_stated() -> None:
    assert label_answer("rear trunnion / front 8 x 30 bearing compatible") == {
        "status": "ok",
        "parts": [
            {"end": "rear", "mount": "trunnion"},
            {"end": "front", "mount": "hardware", "bolt_mm": 8, "width_mm": 30, "bearing_compatible": True},
        ],
        "warnings": ["bearing_compatible"],
        "canonical": "rear: trunnion; front: M8 x 30 bearing compatible",
    }


def test_warnings_stand_in_the_order_of_their_table() -> None:
    answer = label_answer("5/16 / 75 ± 0.1 offset; 0.8 cm x 3 cm bearing compatible")
    order = list(WARNINGS)
    assert len(answer["warnings"]) == len(WARNINGS) - 1  # separator_missing
    assert answer["warnings"] == sorted(answer["warnings"], key=order.index)
