"""Push and catch tools. Names of tools and sizes are invented, but for the two mandrels of the published rule."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.answers import as_mapping
from boltspan.domain.presstools import PressToolRequest, Tool, choose_press_tools
from boltspan.domain.refusals import BenchRefusal

D = Decimal


def tool(name: str, outer: str, inner: str, depth: str) -> Tool:
    return Tool(name, D(outer), D(inner), D(depth))


EYELET = PressToolRequest(D(15), D(24), D("12.7"), D("15.05"), D("12.7"), ())


def test_margins_against_a_published_rule_for_bushes() -> None:
    """A bushing maker's catalogue: the pushing shoulder is 0.20 to 0.30 under the bush's outside, never a hammer.

    For a bush of 15 that is 14.70 to 14.80; the default margin of 0.2 gives 14.8, the rule's upper end.
    """
    _, largest = choose_press_tools(EYELET).push_outer_range_mm
    assert D(15) - D("0.30") <= largest <= D(15) - D("0.20")


def test_bounds_are_inside() -> None:
    """Push 12.7 to 15 - 0.2 = 14.8; catch 15.05 + 0.2 = 15.25 to 24 - 2 = 22, depth 12.7."""
    exact = replace(EYELET, tools=(tool("a", "14.8", "5", "9"), tool("b", "26", "15.25", "12.7")))
    assert (choose_press_tools(exact).push, choose_press_tools(exact).catch) == ("a", "b")
    narrow = replace(EYELET, tools=(tool("a", "12.7", "5", "9"), tool("b", "26", "22", "12.7")))
    assert (choose_press_tools(narrow).push, choose_press_tools(narrow).catch) == ("a", "b")
    beyond = replace(EYELET, tools=(tool("a", "14.801", "5", "9"), tool("b", "26", "15.249", "12.7"),
                                    tool("c", "26", "15.25", "12.699"), tool("d", "26", "22.001", "20"),
                                    tool("e", "12.699", "5", "9")))  # fmt: skip
    answer = as_mapping(choose_press_tools(beyond))
    assert not {"push", "catch"} & set(answer)
    assert len(answer["missing"]) == 2  # type: ignore[arg-type]


def test_best_tool_is_taken() -> None:
    """The widest push tool; the closest catch tool, of equal ones the shallowest, then the first by name."""
    tools = (
        tool("p1", "13", "5", "9"), tool("p2", "14.5", "5", "9"), tool("p3", "14.5", "5", "9"),
        tool("c1", "26", "18", "30"), tool("c2", "26", "16", "40"), tool("c4", "26", "16", "20"),
        tool("c3", "26", "16", "20"),
    )  # fmt: skip
    answer = choose_press_tools(replace(EYELET, tools=tools))
    assert (answer.push, answer.catch, answer.missing) == ("p2", "c3", ())


def test_missing_tools_are_described() -> None:
    push, catch = choose_press_tools(EYELET).missing
    assert push == "No push tool: outside diameter from 12.7 to 14.8 mm is wanted."
    assert catch == ("No catch tool: inside diameter from 15.25 to 22 mm and at least 12.7 mm of depth are wanted.")


def test_range_that_no_tool_can_have_is_told() -> None:
    """A part with an inside of 14.9 in a bore of 15: 14.9 to 14.8 is empty."""
    answer = choose_press_tools(replace(EYELET, part_inner_mm=D("14.9")))
    assert answer.push_outer_range_mm == (D("14.9"), D("14.8"))
    assert "none can have" in answer.missing[0]


def test_cautions_and_assumptions_are_told() -> None:
    answer = choose_press_tools(EYELET)
    assert "no_damaged_eyelet" in answer.cautions
    assert {each.name: each.value for each in answer.assumed} == {"margin_mm": D("0.2"), "rim_mm": D(1)}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"eyelet_bore_mm": D(0)}, "eyelet_bore_mm"),
        ({"margin_mm": D(0)}, "margin_mm"),
        ({"rim_mm": D(-1)}, "rim_mm"),
        ({"part_length_mm": D(2001)}, "part_length_mm"),
        ({"tools": (tool("a", "1", "1", "1"), tool("b", "1", "0", "1"))}, "tools/1/inner_mm"),
        ({"tools": (tool("a", "1", "1", "1"),) * 1001}, "tools"),
    ],
)
def test_refusals(change: dict[str, object], field: str) -> None:
    with pytest.raises(BenchRefusal) as caught:
        replace(EYELET, **change)  # type: ignore[arg-type]
    assert caught.value.field == field


some_length = st.decimals(D("9"), D("30"), places=1)
some_tools = st.lists(st.builds(Tool, st.sampled_from("abcdefgh"), some_length, some_length, some_length), max_size=10)


@given(some_tools.flatmap(lambda t: st.tuples(st.just(t), st.permutations(t))), some_length)
def test_order_never_matters_and_no_push_tool_is_too_wide(
    tools: tuple[list[Tool], list[Tool]], length: Decimal
) -> None:
    one, two = (choose_press_tools(replace(EYELET, tools=tuple(each), part_length_mm=length)) for each in tools)
    assert one == two
    if one.push is not None:
        widest = max(each.outer_mm for each in tools[0] if each.outer_mm <= D("14.8"))
        assert any(each.name == one.push and each.outer_mm == widest for each in tools[0])
    if one.catch is not None:
        assert any(each.name == one.catch and D("15.25") <= each.inner_mm <= 22 and each.depth_mm >= length
                   for each in tools[0])  # fmt: skip
