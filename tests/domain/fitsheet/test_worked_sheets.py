"""Twelve fit sheets and more, worked by hand: the arithmetic stands beside each.

The rules are common practice without a published source, but where one is named. Frames and shocks are invented.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from boltspan.domain.fitsheet.facts import Limits, ShockFacts
from boltspan.domain.fitsheet.kits import KitStyle
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.values import EndValue
from tests.domain.fitsheet.builders import (
    SOCKETS,
    at_hand,
    end,
    ends,
    eyelet,
    frame,
    made,
    old,
    parts,
    read,
    sheet,
    shock,
)  # fmt: skip

D = Decimal
PLAIN = frame(end("upper", "8 x 22.2"), end("lower", "8 x 30"))


def test_1_bare_frame() -> None:
    """Nothing was in it: both ends are bought, for the eyelet of the shock that goes in.

    Spacers (22.2 - 12.7) / 2 = 4.75 and (30 - 12.7) / 2 = 8.65. Room between the tabs, by the assumed 0 to 0.5 over
    the size's name: 0 to 0.5. Never wider than 22.2 + 0.03 and 30 + 0.03.
    Push tool: 12.7 to 15 - 0.2 = 14.8, the largest is 14.7. Catch tool: 15 + 0.05 + 0.2 = 15.25 to 24 - 2 = 22 with
    12.7 of depth: 18 is the smallest.
    """
    upper, lower = ends(PLAIN, new_shock=shock(eyelet()), tools=SOCKETS)
    assert (upper.verdict, upper.advice, lower.verdict) == ("buy", "sell", "buy")
    assert upper.size is not None
    assert (upper.size.label, upper.size.eyelet_bore_mm) == ("M8 x 22.2", 15)
    assert parts(upper) == {"bushing": (1, D("12.7")), "sleeve": (1, D("22.2")), "o_ring": (2, None),
                            "spacer": (2, D("4.75"))}  # fmt: skip
    assert parts(lower)["spacer"] == (2, D("8.65"))
    assert (upper.never_over_mm, lower.never_over_mm) == (D("22.23"), D("30.03"))
    assert upper.built is not None
    assert upper.built.clearance_mm == (0, D("0.5"))
    assert upper.pressing is not None
    assert upper.pressing.tools is not None
    assert (upper.pressing.tools.push, upper.pressing.tools.catch) == ("10 mm socket", "16 mm socket")
    assert upper.pressing.tools.catch_inner_range_mm == (D("15.25"), 22)
    assert upper.taking_out == ()
    assert upper.fitting[0] == "bushing_in_eyelet_first"
    assert upper.not_in_kit[0] == "frame_bolts"


def test_2_second_shock_to_swap_in_quickly() -> None:
    """The old hardware would fit (same bolt, width, bore 15), but stays in the old shock: the second gets its own."""
    stays = {name: old(text, stays_in_old_shock=True) for name, text in (("upper", "8 x 22.2"), ("lower", "8 x 30"))}
    for each in ends(PLAIN, new_shock=shock(eyelet()), old_shock=shock(eyelet()), old_hardware=stays):
        assert each.verdict == "buy"
        assert each.reasons == ("old_hardware_stays",)
        assert each.taking_out[-1] == "lift_shock_out"  # nothing is pulled out of the shock that is put aside


def test_3_replacement() -> None:
    """Upper: M8 x 22.2 = M8 x 22.225 (within 0.03), bore 15, sound: moved. Lower: worn, so bought."""
    hardware = {"upper": old("8 x 22.225"), "lower": old("8 x 30", worn=True)}
    upper, lower = ends(PLAIN, new_shock=shock(eyelet()), old_shock=shock(eyelet()), old_hardware=hardware)
    assert upper.verdict == "move"
    assert upper.cautions[:2] == ("fit_new_bushing_advised", "bushing_not_reused")
    assert upper.taking_out[-4:] == ("look_for_wear", "pull_spacers_off", "take_o_rings_off", "push_sleeve_out")
    assert (lower.verdict, lower.reasons) == ("buy", ("old_hardware_worn",))


def test_3b_the_same_shock_after_a_service() -> None:
    """Sound hardware is kept in it; worn hardware is bought and its bushing pressed out of the same eyelet."""
    hardware = {"upper": old("8 x 22.2", bore=None), "lower": old("8 x 30", worn=True, bore=None)}
    upper, lower = ends(PLAIN, old_shock=shock(eyelet()), same_shock=True, old_hardware=hardware)
    assert (upper.verdict, lower.verdict) == ("keep", "buy")
    assert "press_metal_bushing_out" not in upper.taking_out
    assert lower.taking_out[-1] == "press_metal_bushing_out"
    assert lower.fitting[0] == "clean_and_inspect_eyelet"


def test_4_trunnion_and_eyelet() -> None:
    """The body is a trunnion and fits the lower end alone; the shaft's eyelet goes up, with spacers (25 - 15) / 2 = 5.

    Nothing says which way up: both ways are answered, one of them does not go in, and the question is asked.
    """
    of = frame(end("upper", "10 x 25"), end("lower", "trunnion"), "205 x 60")
    unlike = shock(length="205 x 60", body=ShockEnd("trunnion"), shaft=eyelet(width="15"))
    both = sheet(of, new_shock=unlike)
    assert [(way.shock_up, way.goes_in) for way in both.ways] == [("body", False), ("shaft", True)]
    assert both.questions == ("which_way_up",)
    body_up, shaft_up = (way.ends for way in both.ways)
    assert [each.reasons for each in body_up] == [("mount_differs",), ("mount_differs",)]
    assert [each.verdict for each in shaft_up] == ["buy", "none_needed"]
    assert parts(shaft_up[0])["spacer"] == (2, 5)
    assert shaft_up[1].not_in_kit[0] == "trunnion_bolts_and_washers"
    assert shaft_up[1].kit is None
    told = sheet(of, new_shock=unlike, shock_up="shaft")
    assert [way.shock_up for way in told.ways] == ["shaft"]
    assert told.questions == ()


def test_4b_a_frame_that_names_its_ends_body_and_shaft_needs_no_question() -> None:
    of = frame(end("shaft", "10 x 25"), end("body", "trunnion"), "205 x 60")
    answer = sheet(of, new_shock=shock(length="205 x 60", body=ShockEnd("trunnion"), shaft=eyelet()))
    assert [each.verdict for each in answer.ways[0].ends] == ["buy", "none_needed"]
    assert answer.questions == ()


def test_5_open_eyelet() -> None:
    """The frame's own 10 mm bolt goes through an open eyelet of 10; one of 12 is 2 too wide, over the 0.05 allowed."""
    of = frame(end("front", "8 x 30"), end("rear", EndValue("open_eyelet", eyelet_bore_mm=D(10))))
    ring = ShockEnd("open_eyelet", D(10))
    _, rear = ends(of, new_shock=shock(body=eyelet(), shaft=ring), shock_up="body")
    assert (rear.verdict, rear.kit, rear.not_in_kit[0]) == ("none_needed", None, "frame_bolts")
    _, rear = ends(of, new_shock=shock(body=eyelet(), shaft=replace(ring, eyelet_bore_mm=D(12))), shock_up="body")
    assert (rear.verdict, rear.reasons) == ("incompatible", ("eyelet_bore_differs",))


def test_6_proprietary() -> None:
    """Only the frame's maker sells it: whatever the shock, the maker is asked and nothing is listed to buy."""
    of = frame(end("upper", "proprietary"), end("lower", "8 x 30"))
    upper, lower = ends(of, new_shock=shock(eyelet()), at_hand=at_hand("8 x 30"))
    assert (upper.verdict, upper.reasons, upper.advice) == ("ask_frame_maker", ("proprietary_mount",), "ask_first")
    assert (upper.size, upper.kit, upper.served.substitutes) == (None, None, ())
    assert lower.verdict == "buy"


def test_7_disputed() -> None:
    """Two sources, 22.2 and 25.4: no size, no kit, nothing to sell; the other end is answered all the same."""
    of = frame(end("upper", None, "disputed", candidates=(EndValue("hardware", D(8), D("22.2")),
                                                          EndValue("hardware", D(8), D("25.4")))),
               end("lower", "8 x 30"))  # fmt: skip
    upper, lower = ends(of, new_shock=shock(eyelet()), at_hand=at_hand("8 x 22.2", "8 x 25.4"))
    assert (upper.verdict, upper.reasons, upper.advice) == ("disputed", ("end_disputed",), "do_not_sell")
    assert (upper.size, upper.kit, upper.served.substitutes, upper.fitting) == (None, None, (), ())
    assert lower.verdict == "buy"


def test_7b_a_disputed_end_stays_marked_when_the_shock_is_too_long() -> None:
    """65 of stroke against 55 does not go in, whichever source is right."""
    of = frame(end("upper", None, "disputed"), end("lower", "8 x 30"))
    upper, lower = ends(of, new_shock=shock(eyelet(), "210 x 65"))
    assert (upper.verdict, upper.standing) == ("incompatible", "disputed")
    assert upper.reasons == ("stroke_longer", "end_disputed")
    assert (lower.verdict, lower.reasons) == ("incompatible", ("stroke_longer",))


def test_8_not_known() -> None:
    """No claims, an end on hold, a shock whose bore nobody stated: not known, each with its reason."""
    of = frame(end("upper", None, "unknown"), end("lower", None, "withheld"))
    upper, lower = ends(of, new_shock=shock(eyelet()))
    assert (upper.verdict, upper.reasons) == ("not_known", ("end_unknown",))
    assert (lower.verdict, lower.reasons) == ("not_known", ("end_withheld",))
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(bore=None)))
    assert (upper.verdict, upper.reasons, upper.advice) == ("not_known", ("eyelet_bore_not_known",), "do_not_sell")
    assert upper.size is not None
    assert (upper.size.label, upper.size.eyelet_bore_mm) == ("M8 x 22.2", None)
    assert upper.questions == ("which_eyelet_bore",)


def test_8b_no_shock_named() -> None:
    """The size is told, and nothing to buy: the shock's eyelet decides bushing and spacers."""
    answer = sheet(PLAIN)
    (upper, _), *_ = (way.ends for way in answer.ways)
    assert (upper.verdict, upper.reasons) == ("not_known", ("shock_not_named",))
    assert upper.size is not None
    assert upper.size.label == "M8 x 22.2"
    assert "which_shock" in answer.questions


def test_9_size_down_substitute() -> None:
    """22.2 is needed; 21.8 is 0.4 under (at most 0.5), so side play is likely (over 0.3); 22 is 0.2 under and better.

    24 and 25.4 are larger: never. 21.5 is 0.7 under: of no use. Another bolt is not spoken of.
    With 22 between the tabs the spacers are (22 - 12.7) / 2 = 4.65 and the room is 0.2 to 0.7.
    """
    stock = at_hand("8 x 21.8", "8 x 25.4", "8 x 22", "8 x 21.5", "8 x 24", "10 x 22.2")
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), at_hand=stock)
    assert upper.size is not None
    assert upper.size.width_mm == D("22.2")
    serving = [(s.size.width_mm, s.how, s.undersize_mm, s.side_play_likely, s.choice)
               for s in upper.served.substitutes]  # fmt: skip
    assert serving == [(D(22), "size_down", D("0.2"), False, True), (D("21.8"), "size_down", D("0.4"), True, False)]
    assert [n.size.width_mm for n in upper.served.never] == [D("25.4"), D(24)]
    assert parts(upper)["spacer"] == (2, D("4.65"))
    assert upper.built is not None
    assert upper.built.clearance_mm == (D("0.2"), D("0.7"))


def test_9b_nobody_makes_the_size() -> None:
    """24.2 is made by nobody; of 22.2, 24 and 25.4 the next smaller is 24. Where 22.2 is the nearest it is 2 under."""
    of = frame(end("upper", "8 x 24.2"), end("lower", "8 x 30"))
    upper, _ = ends(of, new_shock=shock(eyelet()), made=made("8", "22.2", "24", "25.4", "30"))
    assert (upper.verdict, upper.reasons, upper.advice) == ("buy", ("smaller_size_made",), "ask_first")
    assert upper.size is not None
    assert upper.size.width_mm == 24
    upper, _ = ends(of, new_shock=shock(eyelet()), made=made("8", "22.2", "25.4", "30"))
    assert (upper.verdict, upper.reasons) == ("ask_frame_maker", ("no_size_goes_in",))


def test_10_readings_disagree_with_the_chart() -> None:
    """The chart is settled at M8 x 22.2.

    Opening read as 21.9 with a digital caliper (inside limit 0.04, step 0.01): U = 2 sqrt(0.04^2/3 + 0.005^2/3)
    = 0.0465, rounded up to 0.047 (JCGM 100:2008, 4.3.7, 5.1.2, 6.2). 22.2 cannot be in 21.9: the reading of the frame
    is trusted. An opening lies from its width to 0.5 over it (assumed): of the widths in the trade 21.9 can be of 21.8
    alone (21 ends at 21.5, 22 begins at 22). Proven: s <= 21.853 (decision rule of ISO 14253-1): 21.8 goes in; never
    over 21.83, and by the reading nothing from 21.947 on.
    """
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), readings={"upper": read(tab_gap="21.9")},
                    at_hand=at_hand("8 x 21.8", "8 x 22", "8 x 22.2"))  # fmt: skip
    (reading,) = upper.readings
    assert (reading.agrees, reading.trust, reading.why) == (False, "reading", "opening_reads_smaller")
    assert reading.uncertainty_mm == D("0.047")
    assert (upper.verdict, upper.advice) == ("buy", "ask_first")
    assert "size_by_readings" in upper.reasons
    assert upper.size is not None
    assert (upper.size.label, upper.never_over_mm) == ("M8 x 21.8", D("21.83"))
    assert [(s.size.width_mm, s.how) for s in upper.served.substitutes] == [(D("21.8"), "same_size")]
    assert [(n.size.width_mm, n.why) for n in upper.served.never] == [(D("22.2"), "wider_than_read"),
                                                                      (D(22), "wider_than_read")]  # fmt: skip


def test_10b_a_reading_of_old_hardware_gives_way_to_a_settled_chart_and_not_to_a_weak_one() -> None:
    """Old hardware of 19.98 over the spacers is 20 wide, not 22.2: perhaps it was a substitute."""
    readings = {"upper": read(hardware_width="19.98")}
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), readings=readings)
    assert (upper.readings[0].trust, upper.verdict, upper.advice) == ("chart", "buy", "ask_first")
    weak = frame(end("upper", "8 x 22.2", "provisional"), end("lower", "8 x 30"))
    upper, _ = ends(weak, new_shock=shock(eyelet()), readings=readings)
    assert (upper.readings[0].trust, upper.verdict) == ("neither", "disputed")
    assert upper.reasons == ("readings_against_chart",)


def test_10c_a_mistake_is_named_and_the_chart_stands() -> None:
    """Over the outsides of two tabs of 6: 34.3 - 12 = 22.3, which 22.2 can give. A bolt read as 12.69 is a bushing."""
    readings = {"upper": read(sleeve_bore="12.69", tab_gap="34.3", tabs="6")}
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), readings=readings)
    codes = [reading.mistake.code for reading in upper.readings if reading.mistake is not None]
    assert codes == ["measured_bushing_or_eyelet_bore", "measured_outside_of_tabs"]
    assert [reading.trust for reading in upper.readings] == ["chart", "chart"]
    assert upper.size is not None
    assert (upper.verdict, upper.size.label) == ("buy", "M8 x 22.2")


def test_10d_a_larger_opening_is_not_believed_at_once() -> None:
    """Read as 34.3 without a word on the tabs: it may have been taken over their outsides. No size is told."""
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), readings={"upper": read(tab_gap="34.3")})
    assert (upper.readings[0].trust, upper.verdict, upper.size) == ("neither", "disputed", None)


def test_11_old_bore() -> None:
    """The old shock had eyelets of 12.7, the new one of 15: 2.3 apart, over the 0.05 allowed; 15 and 15.08 differ too.

    So the sound hardware of the right bolt and width is not moved.
    """
    hardware = {"upper": old("8 x 22.2", bore=None), "lower": old("8 x 30", bore="15.08")}
    upper, lower = ends(PLAIN, new_shock=shock(eyelet()), old_shock=shock(eyelet(bore="12.7")), old_hardware=hardware)
    assert (upper.verdict, upper.reasons) == ("buy", ("old_bore_differs",))
    assert (lower.verdict, lower.reasons) == ("buy", ("old_bore_differs",))
    assert upper.size is not None
    assert upper.size.eyelet_bore_mm == 15


def test_12_bearing() -> None:
    """A bearing eyelet in a bearing end: spacers (20 - 14) / 2 = 3, no bushing, and the bearing is the shock's.

    In an end for hardware a fixed bearing does not go in; one that can be swapped gives way to a bushing.
    """
    of = frame(end("upper", EndValue("bearing", D(8), D(20))), end("lower", "8 x 30"))
    bearing = eyelet(width="14", mount="bearing_eyelet", bearings="fixed")
    upper, lower = ends(of, new_shock=shock(bearing))
    assert (upper.verdict, parts(upper)) == ("buy", {"spacer": (2, D(3))})
    assert upper.not_in_kit[:2] == ("frame_bolts", "bearing")
    assert (lower.verdict, lower.reasons) == ("incompatible", ("mount_differs",))
    swappable = eyelet(mount="bearing_eyelet", bearings="swappable")
    _, lower = ends(of, new_shock=shock(swappable))
    assert (lower.verdict, lower.reasons) == ("buy", ("bearing_comes_out",))
    assert lower.fitting[0] == "press_bearing_out"


def test_12b_a_bearing_end_of_unknown_size_goes_to_the_maker() -> None:
    of = frame(end("upper", "bearing"), end("lower", "8 x 30"))
    upper, _ = ends(of, new_shock=shock(eyelet(mount="bearing_eyelet")))
    assert (upper.verdict, upper.reasons) == ("ask_frame_maker", ("size_unknown",))


def test_13_readings_instead_of_a_chart() -> None:
    """Nobody knows the frame. Shank 7.95 is M8 (7.78 to 8). Opening 22.3: U = 0.047, so s <= 22.253 is proven.

    Of the widths the trade makes 22.225 is the largest such: 0.075 under. The eyelet of 12.7 goes between.
    """
    of = frame(end("upper", None, "unknown"), end("lower", None, "unknown"), None)
    answer = sheet(of, new_shock=shock(eyelet()), readings={"upper": read(shank="7.95", tab_gap="22.3")})
    upper, lower = answer.ways[0].ends
    assert (upper.verdict, upper.reasons, upper.advice) == ("buy", ("size_by_readings",), "ask_first")
    assert upper.size is not None
    assert (upper.size.bolt_mm, upper.size.width_mm) == (8, D("22.225"))
    assert "measured_on_this_bike_only" in upper.cautions
    assert lower.verdict == "not_known"
    assert answer.size.outcome == "not_compared"
    assert "shock_size_not_compared" in answer.cautions


def test_14_eyelet_wider_than_the_opening() -> None:
    """An eyelet of 25 does not go between tabs of 22.2; it goes between tabs of 30, with spacers of 2.5."""
    upper, lower = ends(PLAIN, new_shock=shock(eyelet(width="25")))
    assert (upper.verdict, upper.reasons) == ("incompatible", ("eyelet_wider_than_opening",))
    assert parts(lower)["spacer"] == (2, D("2.5"))


def test_15_sleeve_as_wide_as_the_eyelet() -> None:
    """22.2 - 22.2 = 0: no spacers and no O-rings between them."""
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(width="22.2")))
    assert parts(upper) == {"bushing": (1, D("22.2")), "sleeve": (1, D("22.2"))}
    assert upper.built is not None
    assert upper.built.spacer_mm == 0


@pytest.mark.parametrize(
    ("new", "outcome", "reasons"),
    [
        ("210 x 55", "goes", ()),
        ("210 x 50", "ask_frame_maker", ("differs_from_old_shock",)),
        ("230 x 55", "ask_frame_maker", ("differs_from_old_shock",)),
    ],
)
def test_16_the_old_shock_stands_in_for_a_size_not_known(new: str, outcome: str, reasons: tuple[str, ...]) -> None:
    """The frame's shock size is not known; the old shock was 210 x 55. Only the same size goes without asking."""
    of = frame(end("upper", "8 x 22.2"), end("lower", "8 x 30"), None)
    answer = sheet(of, new_shock=shock(eyelet(), new), old_shock=shock(eyelet()))
    assert (answer.size.outcome, answer.size.reasons, answer.size.compared_with) == (outcome, reasons, "old_shock")
    assert {each.verdict for each in answer.ways[0].ends} == {"buy" if outcome == "goes" else outcome}


def test_17_shorter_stroke_goes_to_the_maker_and_a_metric_name_does_not() -> None:
    """50 of 55: 5 under. 57.15 of 57 is the inch name of one stroke: 0.15, within 0.5."""
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(), "210 x 50"))
    assert (upper.verdict, upper.reasons) == ("ask_frame_maker", ("stroke_shorter",))
    of = replace(PLAIN, size=replace(PLAIN.size, stroke_mm=D(57)))
    upper, _ = ends(of, new_shock=shock(eyelet(), "210 x 57.15"))
    assert upper.verdict == "buy"


@pytest.mark.parametrize(
    ("style", "counts", "step"),
    [
        (KitStyle(), {"bushing": 1, "sleeve": 1, "o_ring": 2, "spacer": 2}, "press_metal_bushing_in"),
        (KitStyle(o_rings="in_spacers"), {"bushing": 1, "sleeve": 1, "spacer": 2}, "push_spacers_with_rings_on"),
        (KitStyle(sides="spacer_and_crush_washer"),
         {"bushing": 1, "sleeve": 1, "o_ring": 2, "spacer": 2, "crush_washer": 2}, "crush_washers_outward"),
        (KitStyle("polymer"), {"bushing": 2, "sleeve": 1, "o_ring": 2, "spacer": 2}, "put_polymer_bushing_in"),
        (KitStyle(sleeve="two_piece"), {"bushing": 1, "sleeve_half": 2, "o_ring": 2}, "join_halves"),
    ],
)  # fmt: skip
def test_18_styles_of_kits(style: KitStyle, counts: dict[str, int], step: str) -> None:
    """Parts to be counted in the box. A half of the two-piece style is 22.2 / 2 = 11.1 long."""
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), kit_style=style)
    assert upper.kit is not None
    assert {part.part: part.count for part in upper.kit.parts} == counts
    assert step in upper.fitting
    assert (upper.pressing is None) == (style.bushing == "polymer")
    half = upper.kit.part("sleeve_half")
    assert half is None or half.length_mm == D("11.1")
    assert "kit_style_assumed" not in upper.cautions


def test_19_a_shock_of_which_one_end_is_not_known() -> None:
    lone = ShockFacts(eye_to_eye_mm=D(210), stroke_mm=D(55), shaft=eyelet())
    upper, lower = ends(PLAIN, new_shock=lone, shock_up="shaft")
    assert upper.verdict == "buy"
    assert (lower.verdict, lower.reasons) == ("not_known", ("shock_end_not_known",))


def test_20_old_hardware_that_is_too_wide_is_never_used_again() -> None:
    """24 in an end of 22.2 was forced in."""
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), old_hardware={"upper": old("8 x 24")})
    assert (upper.verdict, upper.reasons) == ("buy", ("old_hardware_too_wide",))


def test_21_nothing_narrower_than_the_eyelet_goes_between_the_tabs() -> None:
    """An eyelet of 22 in an end of 22.2: 21.8 is 0.4 under, within 0.5, but the tabs would clamp the eyelet itself.

    22 is as wide as the eyelet, so it goes, without spacers.
    """
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(width="22")), at_hand=at_hand("8 x 21.8"))
    assert upper.served.substitutes == ()
    assert [(n.size.width_mm, n.why) for n in upper.served.never] == [(D("21.8"), "narrower_than_eyelet")]
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(width="22")), at_hand=at_hand("8 x 21.8", "8 x 22"))
    assert [s.size.width_mm for s in upper.served.substitutes] == [22]
    assert upper.built is not None
    assert upper.built.spacer_mm == 0
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(width="22")), made=made("8", "21.8", "24"))
    assert (upper.verdict, upper.reasons) == ("ask_frame_maker", ("no_size_goes_in",))


def test_22_hardware_moves_only_to_an_eyelet_of_its_own_width() -> None:
    """Spacers for 12.7 are (22.2 - 12.7) / 2 = 4.75; beside an eyelet of 15 they make 15 + 9.5 = 24.5: too wide."""
    hardware = {"upper": old("8 x 22.2")}
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(width="15")), old_shock=shock(eyelet()), old_hardware=hardware)
    assert (upper.verdict, upper.reasons) == ("buy", ("old_eyelet_width_differs",))
    assert parts(upper)["spacer"] == (2, D("3.6"))
    for new, before in ((eyelet(width=None), eyelet()), (eyelet(), eyelet(width=None))):
        upper, _ = ends(PLAIN, new_shock=shock(new), old_shock=shock(before), old_hardware=hardware)
        assert upper.verdict == "move"
        assert "eyelet_widths_not_compared" in upper.cautions
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), old_shock=shock(eyelet()), old_hardware=hardware)
    assert "eyelet_widths_not_compared" not in upper.cautions


def test_22c_margin_and_rim_are_the_shop_s_own() -> None:
    """A margin of 0.3: push to 15 - 0.3 = 14.7; catch from 15 + 0.05 + 0.3 = 15.35 to 24 - 2 x 2 = 20."""
    limits = Limits(margin_mm=D("0.3"), rim_mm=D(2))
    upper, _ = ends(PLAIN, new_shock=shock(eyelet()), tools=SOCKETS, limits=limits)
    assert upper.pressing is not None
    assert upper.pressing.tools is not None
    assert upper.pressing.tools.push_outer_range_mm == (D("12.7"), D("14.7"))
    assert upper.pressing.tools.catch_inner_range_mm == (D("15.35"), 20)
    assert {each.name: each.value for each in upper.assumed}["margin_mm"] == D("0.3")


def test_22b_of_hardware_that_is_not_moved_anyway_the_bore_is_not_asked_for() -> None:
    """Sound hardware of which nobody knows the bore could be moved; worn hardware never is."""
    for worn, reasons in ((False, ("old_bore_not_known",)), (True, ("old_hardware_worn",))):
        upper, _ = ends(PLAIN, new_shock=shock(eyelet()), old_hardware={"upper": old("8 x 22.2", worn=worn, bore=None)})
        assert (upper.verdict, upper.reasons) == ("buy", reasons)


def test_23_a_bolt_as_large_as_the_usual_sleeve_has_none() -> None:
    """A bolt of 12.7 through the usual sleeve of 12.7 leaves no wall: the sleeve's outside is not told."""
    of = frame(end("upper", "12.7 x 30"), end("lower", "8 x 30"))
    upper, lower = ends(of, new_shock=shock(eyelet()))
    assert [end_.kit and end_.kit.parts[1].outer_mm for end_ in (upper, lower)] == [None, D("12.7")]
    assert "which_sleeve_outer" in upper.questions
