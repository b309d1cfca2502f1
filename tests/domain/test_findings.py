"""Findings by decision and plain agreement: standing, advice, basis, dissent."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding, find, for_year
from boltspan.domain.review import Decision
from boltspan.domain.values import EndValue
from tests.domain.builders import ANN, BEN, CAM, SIZE, frame, measured, page, ruling

HARD = EndValue("hardware", Decimal(8), Decimal("22.2"))


def upper(claims: list[Claim], decisions: list[Decision] | None = None) -> Finding:
    return find(frame(), "upper", claims, decisions or [])


def test_nothing_is_unknown_and_nothing_is_sold() -> None:
    found = upper([])
    assert (found.standing, found.advice, found.value, found.candidates) == ("unknown", "do_not_sell", None, ())


def test_one_page_of_the_makers_own_is_provisional() -> None:
    found = upper([page(1, SIZE)])
    assert (found.standing, found.advice, found.value) == ("provisional", "ask_first", HARD)
    assert (found.claims, found.independent, found.evidence_to) == (1, 1, 2023)


@pytest.mark.parametrize(
    "claim",
    [
        page(1, SIZE, kind="retailer_chart"),
        page(1, SIZE, state="submitted"),
        page(1, SIZE, kind="fitted"),
        measured(1, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18")),
    ],
)
def test_one_other_voice_stays_unknown_with_a_candidate(claim: Claim) -> None:
    found = upper([claim])
    assert (found.standing, found.value) == ("unknown", None)
    assert [c.claims for c in found.candidates] == [(claim.id,)]


def test_a_page_and_a_caliper_agree() -> None:
    found = upper(
        [page(1, SIZE), measured(2, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18 22.19 22.17"))]
    )
    assert (found.standing, found.value, found.independent) == ("provisional", HARD, 2)


def test_two_claims_from_one_document_are_one_voice() -> None:
    chart = [page(n, SIZE, kind="retailer_chart", document="chart-a", by=by) for n, by in ((1, ANN), (2, BEN))]
    found = upper(chart)
    assert (found.standing, found.independent, found.claims) == ("unknown", 1, 2)
    assert upper([*chart, page(3, SIZE, kind="retailer_chart", document="chart-b")]).standing == "provisional"


def test_one_page_under_two_names_is_one_voice() -> None:
    source = page(1, SIZE, kind="retailer_chart", document="name 1").source
    both = [
        replace(
            page(n, SIZE, kind="retailer_chart"),
            source=replace(source, document=f"name {n}", url="https://a.example/p"),
        )
        for n in (1, 2)
    ]
    assert upper(both).independent == 1
    assert upper(both).standing == "unknown"


def test_one_person_measuring_twice_is_one_voice() -> None:
    readings = [measured(n, bolt=("sleeve_bore", "8.05"), width=("hardware_width", "22.19"), by=BEN) for n in (1, 2)]
    assert upper(readings).independent == 1
    assert upper(readings).standing == "unknown"


def test_contradicting_pages_are_disputed_and_no_value_is_shown() -> None:
    found = upper([page(1, SIZE), page(2, SIZE | {"width_mm": "25.4"})])
    assert (found.standing, found.advice, found.value) == ("disputed", "do_not_sell", None)
    assert {c.value.label for c in found.candidates} == {"M8 x 22.2", "M8 x 25.4"}


def test_22_2_and_7_8_inch_are_one_size() -> None:
    assert upper([page(1, SIZE), page(2, SIZE | {"width_mm": "22.225"})]).standing == "provisional"


def test_partial_claims_complete_each_other() -> None:
    found = upper([page(1, {"mount": "hardware", "width_mm": 30}), page(2, {"bolt_mm": 8})])
    assert found.value == EndValue("hardware", Decimal(8), Decimal(30))


def test_a_bushing_bore_read_as_the_bolt_is_named_and_disputes() -> None:
    """12.7 is the bore of a bushing (common practice, no source)."""
    found = upper([page(1, SIZE), measured(2, bolt=("sleeve_bore", "12.71"), width=("hardware_width", "22.18"))])
    assert found.standing == "disputed"
    assert found.mistakes == (("c-0000000002", "measured_bushing_or_eyelet_bore"),)


def test_a_settled_value_stays_when_an_unseen_claim_contradicts_it() -> None:
    claims = [page(1, SIZE), page(2, SIZE | {"width_mm": "25.4"}), page(3, SIZE | {"width_mm": 24}, state="submitted")]
    ruled = ruling(1, "settle", value=SIZE, rests_on=[1], overrules=[2])
    seen = upper(claims[:2], [ruled])
    assert (seen.standing, seen.advice, seen.contested, seen.decision) == ("settled", "sell", False, ruled.id)
    assert [c.claims for c in seen.dissent] == [("c-0000000002",)]
    unseen = upper(claims, [ruled])
    assert (unseen.standing, unseen.advice, unseen.contested, unseen.value) == ("settled", "ask_first", True, HARD)


def test_withheld_shows_nothing_but_the_reason() -> None:
    found = upper([page(1, SIZE)], [ruling(1, "withhold")])
    assert (found.standing, found.advice, found.value, found.why) == ("withheld", "do_not_sell", None, "for a test")


def test_refused_claims_speak_no_more() -> None:
    claims = [page(1, SIZE), page(2, SIZE | {"width_mm": "25.4"})]
    assert upper(claims, [ruling(1, "refuse_claims", refuses=[2])]).standing == "provisional"


def test_a_refusal_leaves_a_settled_value_standing() -> None:
    claims = [page(1, SIZE), page(2, SIZE | {"width_mm": "25.4"})]
    ruled = [ruling(1, "settle", value=SIZE, rests_on=[1]), ruling(2, "refuse_claims", refuses=[2])]
    assert upper(claims, ruled).standing == "settled"
    assert not upper(claims, ruled).contested


def test_a_reversal_undoes_and_its_own_reversal_brings_back() -> None:
    settle = ruling(1, "settle", value=SIZE, rests_on=[1])
    undo = ruling(2, "reverse", reverses=1)
    redo = ruling(3, "reverse", reverses=2)
    claims = [page(1, SIZE)]
    assert [upper(claims, [settle, undo, redo][:n]).standing for n in (1, 2, 3)] == [
        "settled",
        "provisional",
        "settled",
    ]


def test_a_withheld_end_returns_to_the_ruling_before_it() -> None:
    ruled = [ruling(1, "settle", value=SIZE, rests_on=[1]), ruling(2, "withhold"), ruling(3, "reverse", reverses=2)]
    assert [upper([page(1, SIZE)], ruled[:n]).standing for n in (1, 2, 3)] == ["settled", "withheld", "settled"]


@pytest.mark.parametrize(
    ("mount", "supply"),
    [("trunnion", "none_needed"), ("open_eyelet", "none_needed"), ("proprietary", "frame_maker"), ("bearing", "stock")],
)
def test_every_mount_says_where_the_part_comes_from(mount: str, supply: str) -> None:
    assert upper([page(1, {"mount": mount})]).supply == supply


def test_a_claim_of_other_years_speaks_no_more_when_the_record_is_corrected() -> None:
    early = page(1, SIZE, years={"from": 2021, "to": 2021})
    corrected = frame(start=2022, end=2023)
    assert find(frame(), "upper", [early], []).standing == "provisional"
    assert find(corrected, "upper", [early], []).standing == "unknown"


def test_evidence_reaches_to_the_years_it_speaks_of() -> None:
    still_made = frame(start=2021, end=None)
    early = page(1, SIZE, of=still_made, years={"from": 2021, "to": 2022}, seen_on="2024-01-01")
    assert find(still_made, "upper", [early], []).evidence_to == 2022
    open_ended = page(2, SIZE, of=still_made, seen_on="2024-01-01")
    assert find(still_made, "upper", [open_ended], []).evidence_to == 2024


def test_a_year_beyond_the_evidence_is_at_most_provisional() -> None:
    settled = upper([page(1, SIZE)], [ruling(1, "settle", value=SIZE, rests_on=[1])])
    assert (for_year(settled, 2023).standing, for_year(settled, 2024).standing) == ("settled", "provisional")
    assert for_year(settled, 2024).advice == "ask_first"


POOL = [
    page(1, SIZE),
    page(2, SIZE | {"width_mm": "25.4"}, by=BEN),
    page(3, {"mount": "trunnion"}, kind="maker_reply"),
    page(4, {"width_mm": "22.2"}, kind="retailer_chart"),
    measured(5, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18"), by=CAM),
    measured(6, bolt=("thread_crest", "7.86"), width=("tab_gap", "22.45"), by=ANN),
    page(7, {"mount": "hardware", "bolt_mm": 8}),
]


@given(
    st.lists(st.sampled_from(POOL), unique_by=lambda c: c.id).flatmap(
        lambda c: st.tuples(st.just(c), st.permutations(c))
    )
)
def test_the_order_of_claims_does_not_matter(pair: tuple[list[Claim], list[Claim]]) -> None:
    assert upper(pair[0]) == upper(pair[1])


def test_a_value_is_shown_only_when_every_voice_allows_it() -> None:
    for count in range(1, 4):
        for claims in itertools.combinations(POOL, count):
            found = upper(list(claims))
            assert (found.value is None) == (found.standing in ("unknown", "disputed"))
            if found.value is not None:
                assert found.claims == len(claims)
