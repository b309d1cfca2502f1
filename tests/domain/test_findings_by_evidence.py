"""Every row of the table of evidence, decisions and standings, and where the evidence has no say."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding, find
from boltspan.domain.review import Decision
from boltspan.domain.values import EndValue
from boltspan.domain.weighed import Weighed, WeighedCandidate
from tests.domain.builders import BEN, SIZE, frame, measured, page, ruling

HARD = EndValue("hardware", Decimal(8), Decimal("22.2"))
WIDE = EndValue("hardware", Decimal(8), Decimal("25.4"))
BARE = EndValue("trunnion")
C1, C2, C3 = (f"c-{n:010d}" for n in (1, 2, 3))


def weighed(outcome: str, *candidates: tuple[EndValue, float, list[str]], **more: Any) -> Weighed:
    found = tuple(WeighedCandidate(value, p, tuple(claims)) for value, p, claims in candidates)
    return replace(Weighed(outcome, found, 0.001, 2, "1.0.0+test", "snapshot"), **more)


def upper(claims: list[Claim], said: Weighed | None, *decisions: Decision) -> Finding:
    return find(frame(), "upper", claims, decisions, said)


AGREE = [page(1, SIZE), measured(2, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18"))]
SURE = weighed("accept", (HARD, 0.9991, [C1, C2]), (WIDE, 0.0004, []))
LIKELY = weighed("insufficient", (HARD, 0.95, [C1]), (WIDE, 0.01, []))
DOUBT = weighed("insufficient", (HARD, 0.89, [C1]), (BARE, 0.06, []))
APART = [page(1, SIZE), page(2, SIZE | {"width_mm": "25.4"})]
FIGHT = weighed("conflict", (HARD, 0.97, [C1]), (WIDE, 0.02, [C2]))


def shown(found: Finding) -> tuple[Any, ...]:
    return found.standing, found.advice, found.value, found.confidence


def test_accepted_evidence_without_a_ruling_is_provisional() -> None:
    found = upper(AGREE, SURE)
    assert shown(found) == ("provisional", "ask_first", HARD, 0.9991)
    assert (found.claims, found.independent, found.model_version) == (2, 2, "1.0.0+test")


@pytest.mark.parametrize("by", ["p-000000000r", "rule/1"])
def test_a_settle_rules_and_the_confidence_is_the_evidences(by: str) -> None:
    settle = replace(ruling(1, "settle", value=SIZE, rests_on=[1, 2]), by=by)
    assert shown(upper(AGREE, SURE, settle)) == ("settled", "sell", HARD, 0.9991)
    assert shown(upper(AGREE, DOUBT, settle)) == ("settled", "sell", HARD, 0.89)
    assert shown(upper(AGREE, weighed("insufficient"), settle)) == ("settled", "sell", HARD, 0.0)


def test_insufficient_evidence_is_provisional_from_nine_in_ten_on() -> None:
    assert shown(upper([page(1, SIZE)], LIKELY)) == ("provisional", "ask_first", HARD, 0.95)
    found = upper([page(1, SIZE)], DOUBT)
    assert shown(found) == ("unknown", "do_not_sell", None, None)
    assert [(c.value, c.p, c.claims) for c in found.candidates] == [(HARD, 0.89, (C1,))]
    at = weighed("insufficient", (HARD, 0.90, [C1]))
    assert upper([page(1, SIZE)], at).standing == "provisional"


def test_conflict_is_disputed_however_likely_and_names_every_value_with_its_probability() -> None:
    found = upper(APART, FIGHT)
    assert shown(found) == ("disputed", "do_not_sell", None, None)
    assert [(c.value, c.p) for c in found.candidates] == [(HARD, 0.97), (WIDE, 0.02)]


def test_a_stated_value_that_is_out_of_the_question_is_still_named() -> None:
    found = upper(APART, weighed("conflict", (HARD, 0.9999, [C1])))
    assert [(c.value, c.p, c.claims) for c in found.candidates] == [(HARD, 0.9999, (C1,)), (WIDE, 0.0, (C2,))]


def test_a_new_claim_against_a_settled_value_contests_it_and_dissents_with_its_probability() -> None:
    settle = ruling(1, "settle", value=SIZE, rests_on=[1])
    found = upper(APART, FIGHT, settle)
    assert shown(found) == ("settled", "ask_first", HARD, 0.97)
    assert found.contested
    assert [(c.value, c.p, c.claims) for c in found.dissent] == [(WIDE, 0.02, (C2,))]
    seen = ruling(1, "settle", value=SIZE, rests_on=[1], overrules=[2])
    assert shown(upper(APART, FIGHT, seen)) == ("settled", "sell", HARD, 0.97)


def test_no_claims_are_unknown_whatever_the_prior_says() -> None:
    found = upper([], weighed("insufficient", (HARD, 0.95, [])))
    assert shown(found) == ("unknown", "do_not_sell", None, None)
    assert found.candidates == ()


@pytest.mark.parametrize("said", [SURE, FIGHT, DOUBT, None])
def test_withheld_is_withheld_whatever_the_evidence(said: Weighed | None) -> None:
    found = upper(AGREE, said, ruling(1, "withhold"))
    assert shown(found) == ("withheld", "do_not_sell", None, None)


def test_looked_at_and_left_open_keeps_the_evidences_standing() -> None:
    found = upper(APART, FIGHT, ruling(1, "leave_open"))
    assert (found.standing, found.decision) == ("disputed", "d-0000000001")


def test_voices_that_wait_for_review_make_no_value_however_likely() -> None:
    one = [page(1, SIZE, state="submitted")]
    assert shown(upper(one, LIKELY)) == ("unknown", "do_not_sell", None, None)
    two = [
        *one,
        replace(measured(2, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18")), state="submitted"),
    ]
    assert shown(upper(two, SURE)) == ("unknown", "do_not_sell", None, None)
    assert upper([page(1, SIZE), two[1]], SURE).standing == "provisional"


def test_a_number_that_nobody_named_is_no_value() -> None:
    """A width alone makes M8 likely, since most bolts are M8; that is no statement about this frame."""
    only_width = [page(1, {"mount": "hardware", "width_mm": "22.2"}), page(2, {"width_mm": "22.2"})]
    found = upper(only_width, weighed("accept", (HARD, 0.998, [C1, C2])))
    assert found.value == EndValue("hardware", None, Decimal("22.2"))
    assert (found.standing, found.confidence, found.model_version) == ("provisional", None, None)


def test_sizes_that_the_evidence_does_not_weigh_stay_disputed() -> None:
    bearings = [page(n, {"mount": "bearing", "bolt_mm": 8, "width_mm": w}) for n, w in ((1, "22.2"), (2, "25.4"))]
    assert upper(bearings, weighed("accept", (EndValue("bearing"), 0.999, [C1, C2]))).standing == "disputed"
    same = [page(1, {"mount": "bearing"}), page(2, {"mount": "bearing", "bolt_mm": 8, "width_mm": "22.2"})]
    found = upper(same, weighed("accept", (EndValue("bearing"), 0.999, [C1, C2])))
    assert shown(found) == ("provisional", "ask_first", EndValue("bearing", Decimal(8), Decimal("22.2")), 0.999)


def test_a_bolt_in_inches_is_beyond_the_evidence() -> None:
    """5/16 in is 7.9375 mm: near M8, and another bolt."""
    inch = [page(n, SIZE | {"bolt_mm": "7.9375"}) for n in (1, 2)]
    found = upper(inch, weighed("insufficient", (HARD, 0.96, [C1, C2])))
    assert (found.value, found.confidence) == (EndValue("hardware", Decimal("7.9375"), Decimal("22.2")), None)
    settle = ruling(1, "settle", value=SIZE | {"bolt_mm": "7.9375"}, rests_on=[1])
    assert shown(upper(inch, SURE, settle))[::3] == ("settled", None)


def test_the_width_is_written_as_the_sources_write_it() -> None:
    claims = [page(n, SIZE | {"width_mm": "28.575"}) for n in (1, 2)]
    rounded = EndValue("hardware", Decimal(8), Decimal("28.58"))
    found = upper(claims, weighed("accept", (rounded, 0.999, [C1, C2])))
    assert found.value == EndValue("hardware", Decimal(8), Decimal("28.575"))


def test_the_shock_size_is_not_weighed() -> None:
    claims = [page(n, {"eye_to_eye_mm": 210, "stroke_mm": 55}, subject="shock_size") for n in (1, 2)]
    found = find(frame(), "shock_size", claims, [], None)
    assert (found.standing, found.confidence, found.model_version) == ("provisional", None, None)


def test_the_order_of_claims_does_not_matter() -> None:
    claims = [*APART, measured(3, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18"), by=BEN)]
    said = weighed("conflict", (HARD, 0.97, [C1, C3]), (WIDE, 0.02, [C2]))
    first = upper(claims, said)
    assert all(upper(list(order), said) == first for order in itertools.permutations(claims))
