"""The next smaller size, never a larger one; readings by the decision rule of ISO 14253-1."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.answers import as_mapping
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.sizes import SizeChoiceRequest, choose_size

D = Decimal
READING = SizeChoiceRequest(D(22), "reading", tuple(map(D, ("21.9", "21.97", "22.03", "22.06"))), D("0.05"))

tenths = st.decimals(D("15"), D("70"), places=2)
stocks = st.lists(tenths, max_size=12)


def nominal(need: str, *stock: str) -> SizeChoiceRequest:
    return SizeChoiceRequest(D(need), "nominal", tuple(map(D, stock)))


def test_decision_rule_of_iso_14253_1() -> None:
    """ISO 14253-1: y <= USL - U conforms, y >= USL + U does not, between neither (rule seen in extracts; numbers ours).

    Here the opening read as 22.00 with U = 0.05 is the limit, and each size in stock is tried against it:
    21.90 <= 21.95 proven; 21.97 and 22.03 between; 22.06 >= 22.05 proven not to.
    """
    answer = choose_size(READING)
    assert (answer.choice_mm, answer.how, answer.undersize_mm) == (D("21.9"), "proven", D("0.1"))
    assert answer.try_by_hand_mm == (D("21.97"), D("22.03"))
    assert answer.never_mm == (D("22.06"),)


def test_bounds_of_the_decision_rule() -> None:
    """y - U itself is proven, y + U itself is a never: 21.95 and 22.05."""
    answer = choose_size(replace(READING, stock_mm=(D("21.95"), D("22.05"))))
    assert (answer.choice_mm, answer.try_by_hand_mm, answer.never_mm) == (D("21.95"), (), (D("22.05"),))
    exact = choose_size(replace(READING, stock_mm=(D(22),), uncertainty_mm=D(0)))
    assert (exact.choice_mm, exact.never_mm) == (D(22), ())


def test_reading_far_above_all_stock_finds_none() -> None:
    """0.5 + 0.05 = 0.55 under 22 is 21.45; 21.44 is too small."""
    assert choose_size(replace(READING, stock_mm=(D("21.45"),))).choice_mm == D("21.45")
    assert choose_size(replace(READING, stock_mm=(D("21.44"),))).how == "none"


def test_bounds_of_a_nominal_need() -> None:
    """0.03 over is still the same size, 0.031 a never; 0.5 under still serves, 0.501 does not."""
    assert choose_size(nominal("22.2", "22.23")).how == "same_size"
    assert choose_size(nominal("22.2", "22.23")).never_mm == ()
    assert choose_size(nominal("22.2", "22.231")).never_mm == (D("22.231"),)
    assert choose_size(nominal("30", "29.5")).how == "size_down"
    assert choose_size(nominal("30", "29.499")).how == "none"


def test_longest_length_is_taken() -> None:
    assert choose_size(nominal("2000", "2000")).choice_mm == D(2000)


def test_nothing_in_stock() -> None:
    answer = as_mapping(choose_size(nominal("30")))
    assert (answer["how"], answer["never_mm"]) == ("none", [])
    assert not {"choice_mm", "undersize_mm", "try_by_hand_mm"} & set(answer)


def test_of_two_equally_near_the_smaller_is_the_same_size() -> None:
    assert choose_size(nominal("22.2", "22.22", "22.18")).choice_mm == D("22.18")


def test_same_size_comes_before_a_smaller_one() -> None:
    """22.225 (7/8 in) is 22.2 under another name; 21.8 in stock does not matter."""
    assert choose_size(nominal("22.2", "21.8", "22.225")).how == "same_size"


@pytest.mark.parametrize(("size", "likely"), [("29.7", False), ("29.69", True)])
def test_side_play_is_told(size: str, likely: bool) -> None:
    """Above 0.3 under, side play is likely (judgement): 30 - 29.7 = 0.30, 30 - 29.69 = 0.31."""
    answer = choose_size(nominal("30", size))
    assert answer.choice_mm == D(size)
    assert ("Side play is likely" in answer.why) is likely
    assert ("side_play_likely" in answer.cautions) is likely
    assert str(answer.undersize_mm).rstrip("0") in answer.why


def test_assumed_is_told_only_where_leaned_on() -> None:
    assert choose_size(nominal("30", "30")).assumed == ()
    assert {each.name for each in choose_size(nominal("30", "29.8")).assumed} == {
        "max_undersize_mm",
        "side_play_over_mm",
    }


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"need_mm": D(0)}, "need_mm"),
        ({"need_is": "guess"}, "need_is"),
        ({"stock_mm": (D(20), D(-1))}, "stock_mm/1"),
        ({"stock_mm": (D(20),) * 1001}, "stock_mm"),
        ({"uncertainty_mm": D("-0.1")}, "uncertainty_mm"),
        ({"max_undersize_mm": D(2001)}, "max_undersize_mm"),
        ({"same_size_tolerance_mm": D("NaN")}, "same_size_tolerance_mm"),
    ],
)
def test_refusals(change: dict[str, object], field: str) -> None:
    with pytest.raises(BenchRefusal) as caught:
        replace(READING, **change)  # type: ignore[arg-type]
    assert caught.value.field == field


@given(tenths, stocks)
def test_nominal_never_recommends_an_oversize(need: Decimal, stock: list[Decimal]) -> None:
    answer = choose_size(SizeChoiceRequest(need, "nominal", tuple(stock)))
    if answer.choice_mm is not None:
        assert answer.choice_mm <= need + D("0.03")
        assert answer.choice_mm >= need - D("0.5")
        assert answer.choice_mm not in answer.never_mm
    assert all(size > need for size in answer.never_mm)
    assert {size for size in stock if size > need + D("0.03")} == set(answer.never_mm)


@given(tenths, stocks, st.decimals(D(0), D(1), places=2))
def test_reading_never_recommends_what_is_not_proven(need: Decimal, stock: list[Decimal], unsure: Decimal) -> None:
    answer = choose_size(SizeChoiceRequest(need, "reading", tuple(stock), unsure))
    assert answer.try_by_hand_mm is not None
    if answer.choice_mm is not None:
        assert answer.choice_mm + unsure <= need
    proven = {size for size in stock if size <= need - unsure}
    assert {*proven, *answer.try_by_hand_mm, *answer.never_mm} == set(stock)
    assert not proven & {*answer.try_by_hand_mm, *answer.never_mm}
    assert not set(answer.try_by_hand_mm) & set(answer.never_mm)


@given(
    tenths, stocks.flatmap(lambda s: st.tuples(st.just(s), st.permutations(s))), st.sampled_from(("nominal", "reading"))
)
def test_order_of_the_stock_never_matters(
    need: Decimal, stock: tuple[list[Decimal], list[Decimal]], need_is: str
) -> None:
    one, two = (choose_size(SizeChoiceRequest(need, need_is, tuple(each), D("0.05"))) for each in stock)
    assert one == two
    assert list(one.never_mm) == sorted(one.never_mm)


@given(tenths, stocks, tenths)
def test_more_stock_never_makes_the_choice_smaller(need: Decimal, stock: list[Decimal], more: Decimal) -> None:
    before = choose_size(SizeChoiceRequest(need, "reading", tuple(stock), D("0.05"))).choice_mm
    after = choose_size(SizeChoiceRequest(need, "reading", (*stock, more), D("0.05"))).choice_mm
    assert before is None or (after is not None and after >= before)


@given(tenths, stocks, st.decimals(D(0), D("0.5"), places=2), st.decimals(D(0), D("0.5"), places=2))
def test_less_certainty_never_proves_more(need: Decimal, stock: list[Decimal], unsure: Decimal, more: Decimal) -> None:
    def unproven(u: Decimal) -> set[Decimal]:
        answer = choose_size(SizeChoiceRequest(need, "reading", tuple(stock), u))
        return {*(answer.try_by_hand_mm or ()), *answer.never_mm}

    assert unproven(unsure) <= unproven(unsure + more)
