"""The fit sheet's page, the measuring sheet and the table of symptoms, without a browser."""

from __future__ import annotations

import html
import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.drawings.caliper_places import ADVICE
from boltspan.domain.fitsheet.kits import PARTS
from boltspan.domain.fitsheet.texts import QUESTIONS, STEPS, VERDICTS
from boltspan.domain.fitsheet.work_order import steps
from boltspan.domain.frames import Years
from boltspan.domain.instruments import KINDS
from boltspan.domain.shock_values import SHOCK_MOUNTS
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.domain.symptoms import PLACES, SYMPTOMS
from boltspan.services.protocols import StoredShock
from boltspan.web import bench_words
from tests.http.world import DIVIDED, EARLY, F1, LATE, MERGED, Site
from tests.web.fit_questions import BARE, EYELETS, FULL, address


def shown(site: Site, path: str, status: int = 200) -> str:
    """Return a page's text as people read it, its addresses and drawings too."""
    sent = site.get(path)
    assert (sent.status_code, sent.mimetype) == (status, "text/html")
    return " ".join(html.unescape(sent.text).split())


def words_of(page: str) -> str:
    """Return a page's words without its tags."""
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def test_a_sheet_says_all_that_is_needed_at_the_bench(site: Site) -> None:
    page = shown(site, address(FULL))
    for text in (
        "Shock 210 x 55, the body at the upper end", "Buy</b> <span class=\"size\">M8 x 30",
        "take H-0300 (M8 x 30), the size needed", "M8 x 35", "Push with 10 mm socket. Catch with 16 mm socket.",
        "Between the tabs: 22.32 ± 0.051 mm", "Drawn with the 21.8 at hand.",
        "2 O-rings", "4 long", STEPS["full_travel"], "up to event",
        "A frame that is in no chart", "50 mm on paper?", "Made on 20",
    ):  # fmt: skip
        assert text in page, text
    assert [text for text in CAUTIONS.values() if text not in page] == []
    assert "Demo data, invented: fit nothing by it" in page
    assert page.count('role="img"') == 3  # both ends and the bar
    assert 'style="' not in page
    assert "<script" not in page


def test_a_frame_is_found_by_its_name_or_id_and_a_merged_one_answers(site: Site) -> None:
    for path in (
        address(EYELETS, q="tarnvale skerry 2022"),
        address(EYELETS, frame=F1),
        address(EYELETS, frame=MERGED),
    ):
        page = words_of(shown(site, path))
        assert "Tarnvale Skerry 2021 to 2023" in page
        assert f"Frame {F1}." in page
        assert "Buy M8 x 22.2" in page
        assert VERDICTS["not_known"] in page
        assert "Nothing can be said yet of the lower end: do not fit the shock before that is cleared." in page


def test_of_several_frames_the_right_one_is_asked_for_and_all_else_is_kept(site: Site) -> None:
    page = shown(site, address(EYELETS, q="tarnvale skerry 2016"))
    assert "Which frame is it?" in page
    assert "Does the serial number start with TV16?" in page
    for frame in (EARLY, LATE):
        assert f'href="/fit?frame={frame}&body_mount=eyelet&body_bore=15' in page
    assert 'class="sheet' not in page


def test_each_size_that_must_not_go_in_stands_with_its_own_reason(site: Site) -> None:
    """Eyelets of 22 in an end of 22.2: 21.8 is narrower than the eyelet, 24 is wider than the end. 18 is of no use."""
    asked = {**BARE, "first_size": "M8 x 22.2", "at_hand": "M8 x 21.8\nM8 x 24\nM8 x 18"}
    page = words_of(shown(site, address(asked)))
    assert "Never: M8 x 21.8. Narrower than the shock's eyelet" in page
    assert "Never: M8 x 24. Wider than this end's size" in page
    assert "M8 x 18." not in page


def test_what_the_customer_says_of_the_bike_tells_twins_apart(site: Site) -> None:
    page = words_of(shown(site, address(EYELETS, q="tarnvale skerry 2016", variant_kind="serial", variant="TV16-0042")))
    assert f"Frame {EARLY}." in page
    assert "Which frame is it?" not in page
    both = shown(site, address(EYELETS, q="tarnvale skerry 2016", variant_kind="frame_size", variant="L"))
    assert "Which frame is it?" in both  # a size tells no serial number
    half = shown(site, address(EYELETS, q="tarnvale skerry 2016", variant="TV16-0042"), 422)
    assert "<b>Variant kind</b>: this cannot be read" in half
    assert 'value="TV16-0042"' in half


def test_the_shock_that_was_in_and_its_hardware(site: Site) -> None:
    """Sound hardware of an eyelet of 15 by 22 moves into another such; into one of 20 wide it does not."""
    was = {"old_body_mount": "eyelet", "old_body_bore": "15", "old_body_width": "22", "first_old": "M8 x 22.2"}
    moved = words_of(shown(site, address({**EYELETS, **was}, frame=F1)))
    assert "Move over M8 x 22.2" in moved
    other = words_of(shown(site, address({**EYELETS, **was, "old_body_width": "20"}, frame=F1)))
    assert "The old hardware is for an eyelet of another width" in other
    kept = shown(site, address({**EYELETS, **was, "first_stays": "yes"}, frame=F1))
    assert "The old hardware stays in the old shock" in kept
    assert re.search(r"<details open><summary>The shock that was in, and its hardware", kept)
    assert "Shock not known" in shown(site, address(EYELETS, frame=F1, old_shock="zzzz"))
    twice = shown(site, address({**EYELETS, "same_shock": "yes", "old_stroke": "60"}, frame=F1), 422)
    assert "two different ones are named" in twice


def test_a_record_that_is_gone_leads_on_and_an_unknown_frame_to_the_measuring_sheet(site: Site) -> None:
    gone = shown(site, address({}, frame=DIVIDED))
    assert "This record is gone" in gone
    assert f"/fit?frame={LATE}" in gone
    assert "measuring sheet" in shown(site, address({}, q="zzzz qqqq"))


def test_what_cannot_be_is_refused_beside_the_form_as_it_was_written(site: Site) -> None:
    page = shown(site, address({**BARE, "stroke": "abc", "first_size": "8 x 15"}), 422)
    assert "<b>Stroke</b>: this cannot be read (“abc”)." in page
    assert "<b>Upper or front end, size</b>: it is not clear" in page
    assert 'value="abc"' in page
    assert 'class="sheet' not in page
    impossible = shown(site, address({**BARE, "stroke": "110", "eye_to_eye": "105"}), 422)
    assert "No sheet yet" in impossible


def test_what_a_stranger_writes_stays_text(site: Site) -> None:
    hostile = "<script>alert(1)</script>\"'><svg onload=x>"
    for path in (
        address(BARE, at_hand=f"{hostile} = M8 x 30"), address({}, q=hostile), address(BARE, stroke=hostile),
        address(BARE, tools=f"{hostile}; 14.7; 10.9; 12"), address({}, frame=hostile),
    ):  # fmt: skip
        page = site.get(path).text
        assert "<script" not in page
        assert "<svg onload" not in page


def test_both_ways_are_shown_when_nobody_said_which_way_up(site: Site) -> None:
    page = shown(site, address({k: v for k, v in FULL.items() if k != "shock_up"}))
    assert page.count('<article class="sheet') == 2
    for place, up in ((1, "body"), (2, "shaft")):
        assert f"<b>Sheet {place} of 2, with the {up} at the upper end.</b> Work by the one that is right" in page
    assert "Sheet 1 of" not in shown(site, address(FULL))
    assert "Which end of the shock is at the frame's upper end, the body or the shaft?" in page


def test_a_shock_is_named_by_its_make_and_model_and_chosen_when_there_are_several(site: Site) -> None:
    with site.storage.writing() as uow:
        uow.shocks.put_model(ShockModel("tarnvale", "brindle", "Brindle"))
        for name, years in (("s-0000000001", Years(2018, 2019)), ("s-0000000002", Years(2020))):
            sequence = uow.events.record(None, "shock_added", frame=name, payload={})
            uow.shocks.put_shock(StoredShock(Shock(name, "tarnvale", "brindle", "shock", years), sequence))
    several = shown(site, address(EYELETS, frame=F1, shock="tarnvale brindel"))
    assert "Which shock is it?" in several
    assert "Tarnvale Brindle, 2018 to 2019" in several
    assert f'/fit?shock=s-0000000002&body_mount=eyelet&body_bore=15&body_width=22&body_outer=26&frame={F1}"' in several
    assert 'class="sheet' not in several
    for named in ("tarnvale brindle 2018", "s-0000000001"):
        assert "Shock Tarnvale Brindle" in words_of(shown(site, address(EYELETS, frame=F1, shock=named)))
    assert "Shock not known" in shown(site, address(EYELETS, frame=F1, shock="zzzz"))
    assert "Shock, id" in words_of(shown(site, address(EYELETS, frame=F1, shock="s-zzzzzzzzzz"), 422))


def test_without_anything_there_is_the_form_alone(site: Site) -> None:
    page = shown(site, "/fit")
    assert "What to buy, move or keep at each end" in page
    assert 'class="sheet' not in page


def test_the_pages_lead_to_each_other(site: Site) -> None:
    page = shown(site, "/")
    for path in ("/fit", "/measuring-sheet", "/symptoms"):
        assert f'href="{path}"' in page
    assert f'href="/fit?frame={F1}"' in shown(site, f"/?q={F1}")


def test_the_measuring_sheet_shows_every_place_and_its_mistake(site: Site) -> None:
    page = shown(site, "/measuring-sheet")
    assert [text for text in ADVICE.values() if text not in page] == []
    assert page.count('role="img"') == len(ADVICE) + 1


def test_the_symptoms_stand_by_place_with_all_cautions(site: Site) -> None:
    page = shown(site, "/symptoms")
    for row in SYMPTOMS:
        assert [text for text in (row.felt, row.worn, row.wrong, row.then) if text not in page] == []
    assert {row.at for row in SYMPTOMS} == set(PLACES)
    assert [text for text in CAUTIONS.values() if text not in page] == []
    assert "Common practice, without a source." in page


def test_every_code_has_its_word() -> None:
    assert set(bench_words.VERDICT_NAMES) == set(VERDICTS)
    assert set(bench_words.PART_NAMES) == set(PARTS)
    assert set(bench_words.SHOCK_MOUNT_NAMES) == set(SHOCK_MOUNTS)
    assert {"digital_caliper", *bench_words.INSTRUMENT_NAMES} == set(KINDS)


def order(upper: list[str], lower: list[str]) -> list[tuple[str, str | None]]:
    """Return the steps of both ends as one list, with the end that each is for alone."""
    return [
        (step.code, step.end) for step in steps({"upper": {"fitting": upper}, "lower": {"fitting": lower}}, "fitting")
    ]


def test_a_step_of_both_ends_stands_once_and_one_of_one_end_names_it() -> None:
    upper = ["support_the_bike", "undo_frame_bolt", "lift_shock_out", "look_for_wear"]
    lower = ["undo_trunnion_bolts", "lift_shock_out", "look_for_wear"]
    assert order(upper, lower) == [
        ("support_the_bike", None), ("undo_frame_bolt", "upper"), ("undo_trunnion_bolts", "lower"),
        ("lift_shock_out", None), ("look_for_wear", None),
    ]  # fmt: skip
    assert order([], lower) == [("undo_trunnion_bolts", "lower"), ("lift_shock_out", None), ("look_for_wear", "lower")]
    assert order([], []) == []


@settings(derandomize=True)
@given(st.lists(st.sampled_from(sorted(STEPS)), unique=True), st.data())
def test_each_end_s_steps_stay_in_their_order(upper: list[str], data: st.DataObject) -> None:
    lower = [code for code in upper if data.draw(st.booleans())] + data.draw(
        st.lists(st.sampled_from(sorted(STEPS)), unique=True).map(lambda codes: [c for c in codes if c not in upper])
    )
    found = [code for code, _ in order(upper, lower)]
    assert [code for code in found if code in upper] == upper
    assert [code for code in found if code in lower] == lower
    assert len(found) == len({*upper, *lower})


def test_a_way_that_does_not_go_in_has_no_order_of_work(site: Site) -> None:
    page = shown(site, address(FULL, stroke="75"))
    assert "Do not fit it this way." in page
    assert STEPS["put_shock_in"] not in page


@pytest.mark.parametrize(("confidence", "said"), [(0.9987, "99.8 %"), (1, "99.9 %"), (0.5, "50 %"), (0.9999, "99.9 %")])
def test_a_confidence_is_rounded_down(confidence: float, said: str) -> None:
    assert bench_words.percent(confidence) == said


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("rim_mm", Decimal(1), "rim 1 mm"),
        ("accept", 0.9, "accept 0.9"),
        ("prior", 0.0066666, "prior 0.006667"),
    ],
)
def test_an_assumed_parameter_is_said_in_words(name: str, value: Decimal | float, said: str) -> None:
    assert bench_words.assumed({"name": name, "value": value}) == said


@pytest.mark.parametrize(
    ("press", "said"),
    [
        ({"questions": ["which_eyelet_bore"]}, QUESTIONS["which_eyelet_bore"]),
        ({"push": "PUSHER 1"}, "Push with PUSHER 1. To catch, look for inside 15.25 to 22, at least 12.7 deep."),
        ({"push_outer_range_mm": (Decimal(15), Decimal(14)), "catch": "tube"},
         "No tool can push it with these margins; ask the shock’s maker. Catch with tube."),
    ],
)  # fmt: skip
def test_press_tools_are_said_in_words(press: dict[str, Any], said: str) -> None:
    ranges = {"push_outer_range_mm": (Decimal("12.7"), Decimal("14.8")), "catch_depth_min_mm": Decimal("12.7"),
              "catch_inner_range_mm": (Decimal("15.25"), Decimal(22))}  # fmt: skip
    assert bench_words.tools(press if "questions" in press else ranges | press) == said
