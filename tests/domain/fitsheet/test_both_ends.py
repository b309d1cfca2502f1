"""What a sheet says of one end because of the other, of the shock as a whole, or of how the end is mounted.

The rules are common practice without a published source. Frames and shocks are invented.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from boltspan.domain.fitsheet.facts import AtHand, FrameEndFacts, ShockFacts
from boltspan.domain.fitsheet.verdicts import GOES_IN
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.values import EndValue
from tests.domain.fitsheet.builders import at_hand, end, ends, eyelet, frame, old, read, sheet, shock

D = Decimal
PLAIN = frame(end("upper", "8 x 22.2"), end("lower", "8 x 30"))


def test_nothing_is_sold_or_fitted_for_a_shock_that_does_not_go_into_the_other_end() -> None:
    """An eyelet of 25 is wider than the opening of 22.2; at the other end, of 30, it alone would go in."""
    upper, lower = ends(PLAIN, new_shock=shock(eyelet(width="25")), old_shock=shock(eyelet()))
    assert (upper.verdict, upper.reasons) == ("incompatible", ("eyelet_wider_than_opening",))
    assert (lower.verdict, lower.reasons) == ("buy", ("other_end_incompatible",))
    assert lower.advice == "do_not_sell"
    assert (lower.taking_out, lower.fitting) == ((), ())
    assert lower.size is not None
    assert lower.size.label == "M8 x 30"


def test_an_end_that_is_disputed_leaves_the_work_at_the_other() -> None:
    """Whether the shock goes in is then open: what is known of the other end is told."""
    upper, lower = ends(frame(end("upper", None, "disputed"), end("lower", "8 x 30")), new_shock=shock(eyelet()))
    assert (upper.verdict, lower.verdict, lower.advice) == ("disputed", "buy", "sell")
    assert lower.fitting != ()


@pytest.mark.parametrize("mount", ["bearing", "open_eyelet", "proprietary"])
def test_readings_settle_no_dispute_about_the_mount(mount: str) -> None:
    """A bolt of 8 and an opening of 30 are the same under a bushing and under a bearing: nothing is guessed."""
    other = EndValue(mount, D(8), D(30)) if mount == "bearing" else EndValue(mount)
    chart = end("upper", None, "disputed", candidates=(EndValue("hardware", D(8), D(30)), other))
    own = {"upper": read(shank="7.95 7.96", tab_gap="30.1 30.12")}
    upper, _ = ends(frame(chart, end("lower", "8 x 30")), new_shock=shock(eyelet()), readings=own)
    assert (upper.verdict, upper.reasons) == ("disputed", ("end_disputed", "mount_disputed"))
    assert (upper.size, upper.kit, upper.advice) == (None, None, "do_not_sell")


def test_readings_settle_a_dispute_about_the_size_on_this_bike() -> None:
    chart = end("upper", None, "disputed", candidates=(EndValue("hardware", D(8), D(30)),
                                                       EndValue("hardware", D(8), D(35))))  # fmt: skip
    own = {"upper": read(shank="7.95 7.96", tab_gap="30.1 30.12")}
    upper, _ = ends(frame(chart, end("lower", "8 x 30")), new_shock=shock(eyelet()), readings=own)
    assert (upper.verdict, upper.reasons, upper.advice) == ("buy", ("size_by_readings",), "ask_first")


BEARING_END = frame(end("upper", EndValue("bearing", D(10), D(35))), end("lower", "10 x 35"))
BEARING = shock(body=eyelet(width="22", mount="bearing_eyelet", bearings="fixed"), shaft=eyelet(width="22"))
SHELF = tuple(AtHand(label, label) for label in ("M10 x 35", "bearing M10 x 35", "M10 x 35 bearing compatible"))


def test_a_bearing_takes_only_what_is_made_for_one_and_a_bushing_only_what_has_one() -> None:
    """Three articles of one size: a kit with a bushing, one for a bearing, and one that is for either."""
    upper, lower = ends(BEARING_END, new_shock=BEARING, shock_up="body", at_hand=SHELF)
    assert {s.size.article for s in upper.served.substitutes} == {"bearing M10 x 35", "M10 x 35 bearing compatible"}
    assert {s.size.article for s in lower.served.substitutes} == {"M10 x 35", "M10 x 35 bearing compatible"}


def test_numbers_alone_are_of_hardware_with_a_bushing() -> None:
    upper, lower = ends(BEARING_END, new_shock=BEARING, shock_up="body", at_hand=at_hand("10 x 35"))
    assert upper.served.substitutes == ()
    assert [s.size.article for s in lower.served.substitutes] == ["10 x 35"]


@pytest.mark.parametrize("label", ["trunnion", "open eyelet 8", "bearing"])
def test_a_label_of_no_hardware_is_not_said_to_lack_a_width(label: str) -> None:
    (unread,) = sheet(PLAIN, new_shock=shock(eyelet()), at_hand=(AtHand(None, label),)).not_read
    assert unread.reason == "no_size"


@pytest.mark.parametrize("standings", [("settled", "provisional"), ("provisional", "settled")])
def test_ends_that_are_alike_need_no_question_and_are_as_sure_as_the_weaker(standings: tuple[str, str]) -> None:
    twin = replace(shock(body=eyelet(), shaft=eyelet()),
                   standings=dict(zip(("body", "shaft"), standings, strict=True)))  # fmt: skip
    answer = sheet(PLAIN, new_shock=twin)
    assert [way.shock_up for way in answer.ways] == [None]
    assert answer.questions == ()
    assert [each.advice for each in answer.ways[0].ends] == ["ask_first", "ask_first"]


def test_ends_not_known_for_different_reasons_are_told_apart() -> None:
    """One disputed, one unknown: which of the two is where decides what is to be found out."""
    unsure = ShockFacts(D(210), D(55), standings={"body": "disputed", "shaft": "unknown"})
    assert [way.shock_up for way in sheet(PLAIN, new_shock=unsure).ways] == ["body", "shaft"]


def test_the_same_shock_after_a_service_raises_no_question_about_the_frame_s_size() -> None:
    of = frame(end("upper", "8 x 22.2"), end("lower", "8 x 30"), None)
    hardware = {"upper": old("8 x 22.2"), "lower": old("8 x 30")}
    answer = sheet(of, old_shock=shock(eyelet()), same_shock=True, old_hardware=hardware)
    assert answer.questions == ()
    assert [each.verdict for each in answer.ways[0].ends] == ["keep", "keep"]


def test_play_is_felt_before_the_sleeve_comes_out() -> None:
    hardware = {"upper": old("8 x 22.2"), "lower": old("8 x 30", worn=True)}
    for each in ends(PLAIN, old_shock=shock(eyelet()), same_shock=True, old_hardware=hardware):
        assert each.taking_out.index("lift_shock_out") < each.taking_out.index("look_for_wear")
        if "push_sleeve_out" in each.taking_out:
            assert each.taking_out.index("look_for_wear") < each.taking_out.index("push_sleeve_out")


def test_old_hardware_at_one_end_means_that_both_ends_are_undone() -> None:
    hardware = {"upper": old("8 x 22.2")}
    for each in ends(PLAIN, new_shock=shock(eyelet()), old_hardware=hardware):
        assert each.verdict in GOES_IN
        assert "undo_frame_bolt" in each.taking_out


def test_an_unknown_end_without_a_dispute_is_answered_by_readings() -> None:
    chart = FrameEndFacts("upper", candidates=(EndValue("bearing"),))
    own = {"upper": read(shank="7.95 7.96", tab_gap="30.1 30.12")}
    upper, _ = ends(frame(chart, end("lower", "8 x 30")), new_shock=shock(eyelet()), readings=own)
    assert (upper.verdict, upper.advice) == ("buy", "ask_first")


def test_an_eyelet_end_and_a_trunnion_are_never_alike() -> None:
    assert not shock(body=ShockEnd("trunnion"), shaft=eyelet()).alike


@pytest.mark.parametrize(
    ("across", "beware"),
    [("22.2", False), ("22", True), ("20.25", True), ("20.2", False), ("12.7", False)],
)
def test_a_side_too_thin_for_spacer_and_o_ring_is_told(across: str, beware: bool) -> None:
    """Sides of 22.2: 0 (a sleeve as wide as the eyelet), 0.1, 0.975, 1 and 4.75 mm; told from over 0 to under 1."""
    upper, _ = ends(PLAIN, new_shock=shock(eyelet(width=across)))
    assert ("little_room_beside_eyelet" in upper.cautions) == beware
    assert ("thin_side_mm" in {each.name for each in upper.assumed}) == beware


def test_what_is_moved_was_made_however_thin() -> None:
    eyelets = shock(eyelet(width="22"))
    hardware = {"upper": old("8 x 22.2", eyelet_width_mm=D(22))}
    upper, _ = ends(PLAIN, new_shock=eyelets, old_shock=eyelets, old_hardware=hardware)
    assert upper.verdict == "move"
    assert "little_room_beside_eyelet" not in upper.cautions
