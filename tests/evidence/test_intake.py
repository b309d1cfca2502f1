"""Input that cannot be resolved is refused, and the refusal names the row."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest

from boltspan.evidence import EvidenceInputError, resolve
from tests.evidence.strategies import CATALOGUE
from tests.evidence.test_likelihoods import claim

ENDS = [
    {"end_id": "e", "frame_id": "f", "other_end": "g"},
    {"end_id": "g", "frame_id": "f", "other_end": "e"},
]


def answer(**changed: Any) -> dict[str, Any]:
    document = {"catalogue": CATALOGUE, "ends": ENDS, "claims": []} | changed
    return resolve(document)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"end_id": "nowhere"}, "end_id"),
        ({"end_id": 7}, "end_id"),
        ({"source": "rumour"}, "source"),
        ({"source": ["caliper"]}, "source"),
        ({"mount": "glue"}, "mount"),
        ({"contributor": ""}, "contributor"),
        ({"document_id": None}, "document_id"),
        ({"sequence": "1"}, "sequence"),
        ({"sequence": True}, "sequence"),
        ({"sequence": 1.0}, "sequence"),
        ({"feature": "root"}, "feature"),
        ({"width_feature": "eyelet"}, "width_feature"),
        ({"width_mm": [math.nan]}, "width_mm"),
        ({"width_mm": [22.2, math.inf]}, "width_mm"),
        ({"width_mm": [10**400]}, "width_mm"),
        ({"width_mm": [Decimal("NaN")]}, "width_mm"),
        ({"width_mm": [True]}, "width_mm"),
        ({"width_mm": ["22.2"]}, "width_mm"),
        ({"width_mm": []}, "width_mm"),
        ({"width_mm": 22.2}, "width_mm"),
        ({"width_mm": None}, "width_mm"),
        ({"bolt_mm": [-math.inf]}, "bolt_mm"),
        ({"mount": "trunnion", "bolt_mm": [math.nan]}, "bolt_mm"),
        ({"source": "spec_page", "width_mm": [22.2]}, "width_mm"),
        ({"source": "spec_page", "width_mm": math.nan}, "width_mm"),
        ({"source": "spec_page", "width_mm": 0}, "width_mm"),
        ({"source": "fitted", "bolt_mm": -8}, "bolt_mm"),
        ({"mount_stated": "no"}, "mount_stated"),
        ({"mount_stated": False, "mount": "trunnion"}, "mount_stated"),
        ({"mount_stated": False, "source": "spec_page"}, "mount_stated"),
    ],
)
def test_a_claim_that_cannot_be_used_is_named(changes: dict[str, Any], named: str) -> None:
    with pytest.raises(EvidenceInputError, match=rf"^claim 'c1': {named} is .*accepted"):
        answer(claims=[claim(1, "caliper") | changes])


@pytest.mark.parametrize("field", ["end_id", "source", "contributor", "sequence", "mount"])
def test_a_missing_field_is_named(field: str) -> None:
    row = claim(1, "caliper")
    del row[field]
    with pytest.raises(EvidenceInputError, match=rf"^claim 'c1': {field} is missing; accepted"):
        answer(claims=[row])


def test_a_claim_without_an_id_is_named_by_its_place() -> None:
    row = claim(2, "caliper")
    del row["claim_id"]
    with pytest.raises(EvidenceInputError, match="claims row 2: claim_id is missing"):
        answer(claims=[claim(1, "caliper"), row])


def test_one_id_with_two_contents_is_refused() -> None:
    with pytest.raises(EvidenceInputError, match="claim 'c1': is given twice with different content"):
        answer(claims=[claim(1, "caliper"), claim(1, "ruler")])


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"ends": [{"end_id": "e"}]}, "ends row 1: frame_id is missing"),
        ({"ends": [ENDS[0], ENDS[0]]}, "end 'e': is given twice"),
        ({"ends": [{"end_id": x, "frame_id": "f"} for x in "abc"]}, "frame 'f': has 3 ends"),
        ({"ends": [{"end_id": "e", "frame_id": "f", "other_end": "e"}]}, "end 'e': other_end is 'e'"),
        ({"ends": [ENDS[0], {"end_id": "g", "frame_id": "h"}]}, "end 'e': other_end is 'g'"),
        ({"ends": "e"}, "ends: accepted: a list of objects"),
        ({"ends": ["e"]}, "ends row 1: is 'e'"),
        ({"claims": {}}, "claims: accepted: a list of objects"),
        ({"catalogue": [{"mount": "hardware", "bolt_mm": 8, "count": 1}]}, "catalogue row 1: width_mm is missing"),
        ({"catalogue": [{"mount": "trunnion", "count": -1}]}, "catalogue row 1: count is -1"),
        ({"catalogue": [{"mount": "trunnion"}]}, "catalogue row 1: count is missing"),
        ({"catalogue": [{"count": 1}]}, "catalogue row 1: mount is missing"),
        ({"catalogue": [{"mount": "hardware", "bolt_mm": 8, "width_mm": 0, "count": 1}]}, "row 1: width_mm is 0"),
    ],
)
def test_ends_and_catalogue_that_cannot_be_used_are_named(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(EvidenceInputError, match=words):
        answer(**changed)


@pytest.mark.parametrize("missing", ["catalogue", "ends", "claims"])
def test_a_list_that_is_missing_is_named(missing: str) -> None:
    document: dict[str, Any] = {name: [] for name in ("catalogue", "ends", "claims") if name != missing}
    with pytest.raises(EvidenceInputError, match=f"^{missing} is missing"):
        resolve(document)


def test_what_is_no_object_is_refused() -> None:
    with pytest.raises(EvidenceInputError, match="an object"):
        resolve([])  # type: ignore[arg-type]


def test_nothing_gives_nothing_and_an_end_without_claims_its_prior() -> None:
    assert resolve({"catalogue": [], "ends": [], "claims": []})["results"] == []
    result = answer(catalogue=[])["results"][0]
    assert result["outcome"] == "insufficient"
    assert result["weights"] == []
    assert result["witnesses"] == 0


def test_an_end_whose_other_end_is_not_in_the_batch_stands_alone() -> None:
    alone = answer(ends=ENDS[:1], claims=[claim(1, "caliper", bolt_mm=[7.9], width_mm=[22.2])])["results"]
    plain = answer(
        ends=[{"end_id": "e", "frame_id": "f"}], claims=[claim(1, "caliper", bolt_mm=[7.9], width_mm=[22.2])]
    )["results"]
    assert alone == plain


def test_exact_decimals_are_numbers_too() -> None:
    exact = claim(1, "spec_page", bolt_mm=Decimal("8"), width_mm=Decimal("22.2"))
    assert answer(claims=[exact]) == answer(claims=[claim(1, "spec_page", bolt_mm=8, width_mm=22.2)])


def test_the_order_of_readings_does_not_matter() -> None:
    one, other = ([22.1, 22.2, 22.3, 0.3], [0.3, 22.3, 22.2, 22.1])
    assert answer(claims=[claim(1, "caliper", width_mm=one)]) == answer(claims=[claim(1, "caliper", width_mm=other)])
