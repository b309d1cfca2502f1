"""Fit sheets over stored frames: which frames are meant, what stands beside each, and in which state of the dataset."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.errors import Gone, InvalidInput
from boltspan.domain.fitsheet.question import FitQuestion
from boltspan.domain.questions import question_from
from boltspan.domain.vocabulary import VOCABULARY
from boltspan.services.fit_frames import MOST_FRAMES
from boltspan.services.fitsheets import fit_sheets
from boltspan.services.lookup import name_index
from boltspan.services.protocols import Storage
from tests.domain.builders import SIZE, frame, page, ruling
from tests.services.conftest import Shop

F1, F2 = "f-0000000001", "f-0000000002"
SHOCK = {"eye_to_eye_mm": 210, "stroke_mm": 55, "both": {"mount": "eyelet", "eyelet_bore_mm": 15}}


def ask(shop: Shop, **question: Any) -> dict[str, Any]:
    """Ask for the sheets of a shock of 210 x 55 with eyelets of 15."""
    asked = question_from(FitQuestion, {"new_shock": SHOCK, **question})
    with shop.storage.reading() as uow:
        return fit_sheets(uow, name_index(uow), asked)


def sized(start: str) -> dict[str, Any]:
    """Return a qualifier by frame size."""
    return {"qualifier": {"kind": "frame_size", "is": start, "ask": "Which size is it?"}}


def test_a_frame_with_what_the_chart_says_and_where_it_comes_from(shop: Shop) -> None:
    """Two pages agree on M8 x 22.2 for the upper end, a third says 25.4: disputed; a lone page of the maker: upper."""
    agreed = (page(1, SIZE), page(2, SIZE), page(3, SIZE, subject="lower"), page(4, {**SIZE, "width_mm": "25.4"},
              subject="lower"))  # fmt: skip
    shop.plant(frame(1), claims=agreed)
    answer = ask(shop, frame=F1)
    assert answer["outcome"] == "one"
    assert answer["dataset"]["event"] > 0
    (sheet,) = answer["sheets"]
    upper, lower = sheet["ways"][0]["ends"]["upper"], sheet["ways"][0]["ends"]["lower"]
    assert (upper["verdict"], upper["advice"], upper["size"]["label"]) == ("buy", "ask_first", "M8 x 22.2")
    assert (lower["verdict"], lower["standing"], lower["reasons"]) == ("disputed", "disputed", ["end_disputed"])
    chart = sheet["frame"]["ends"]
    assert {claim["id"] for claim in chart["upper"]["sources"]} == {"c-0000000001", "c-0000000002"}
    assert len(chart["lower"]["candidates"]) == 2
    assert sheet["shock_size"]["outcome"] == "not_compared"
    for kind, texts in answer["texts"].items():
        assert texts.items() <= VOCABULARY[kind].items()
    assert set(VOCABULARY["cautions"]) <= set(answer["texts"]["fit_cautions"])


def test_a_quote_that_waits_for_review_is_not_shown(shop: Shop) -> None:
    shop.plant(frame(1), claims=(page(1, SIZE, state="submitted"), page(2, SIZE, state="refused")))
    (sheet,) = ask(shop, frame=F1)["sheets"]
    (source,) = sheet["frame"]["ends"]["upper"]["sources"]
    assert (source["id"], source["state"], "quote" in source["source"]) == ("c-0000000001", "submitted", False)


def test_frames_of_one_name_are_each_answered_with_the_question_between_them(shop: Shop) -> None:
    shop.plant(frame(1, **sized("S")), frame(2, **sized("M")), claims=(page(1, SIZE),))
    both = ask(shop, make="tarnvale", model="skerry", year=2022)
    assert (both["outcome"], both["ask"], len(both["sheets"])) == ("several", "Which size is it?", 2)
    one = ask(shop, make="Tarnvale", model="Skerry", year=2022, variant={"kind": "frame_size", "value": "m"})
    assert (one["outcome"], [s["frame"]["id"] for s in one["sheets"]]) == ("one", [F2])
    assert "ask" not in one
    other = ask(shop, make="tarnvale", model="skerry", year=2022, variant={"kind": "serial", "value": "TV16"})
    assert other["outcome"] == "several"  # a serial number says nothing about sizes


def test_too_many_frames_are_named_and_not_answered(shop: Shop) -> None:
    shop.plant(*(frame(n, start=1990 + n, end=1990 + n) for n in range(1, MOST_FRAMES + 2)))
    answer = ask(shop, make="tarnvale", model="skerry")
    assert (answer["outcome"], answer["sheets"], len(answer["frames"])) == ("several", [], MOST_FRAMES + 1)
    assert answer["ask"] == "Which model year is it?"


@pytest.mark.parametrize(
    "question", [{"make": "tarnvale", "model": "skerry", "year": 1999}, {"make": "nobody", "model": "knows"}]
)
def test_what_is_not_known_is_an_answer(shop: Shop, question: dict[str, Any]) -> None:
    shop.plant(frame(1))
    answer = ask(shop, **question)
    assert (answer["outcome"], answer["sheets"], answer["texts"]) == ("unknown", [], {})


def test_beyond_the_evidence_a_settled_value_is_asked_about_first(shop: Shop) -> None:
    still_made = frame(1, start=2021, end=None)
    claim = page(1, SIZE, of=still_made, years={"from": 2021, "to": 2022})
    shop.plant(still_made, claims=(claim,))
    with shop.storage.writing() as uow:
        uow.statements.add_decisions([ruling(1, "settle", value=SIZE, rests_on=[1])])
    sold, asked = (
        ask(shop, make="tarnvale", model="skerry", year=year)["sheets"][0]["ways"][0]["ends"]["upper"]
        for year in (2022, 2024)
    )
    assert (sold["standing"], sold["advice"]) == ("settled", "sell")
    assert (asked["standing"], asked["advice"]) == ("provisional", "ask_first")


def test_merged_records_answer_as_the_one_they_are_merged_into(shop: Shop) -> None:
    shop.plant(frame(1), frame(2, record="merged", into=[F1], start=2024, end=None))
    answer = ask(shop, frame=F2)
    assert (answer["asked"], answer["sheets"][0]["frame"]["id"]) == (F2, F1)


def test_divided_and_withdrawn_records_say_what_to_ask_instead(shop: Shop) -> None:
    shop.plant(frame(1), frame(2, start=2024, end=None, record="divided", into=[F1, "f-0000000003"]))
    with pytest.raises(Gone) as gone:
        ask(shop, frame=F2)
    assert gone.value.ask_instead == (F1, "f-0000000003")


@pytest.mark.parametrize(
    ("question", "pointer", "code"),
    [
        ({"frame": "f-zzzzzzzzzz"}, "/frame", "unknown_frame"),
        ({"frame": "nonsense"}, "/frame", "unknown_frame"),
        ({"frame": F1, "new_shock": {"id": "s-zzzzzzzzzz"}}, "/new_shock/id", "unknown_shock"),
        ({"frame": F1, "old_shock": {"id": "nonsense"}}, "/old_shock/id", "unknown_shock"),
        ({"make": "tarnvale"}, "/model", "field_missing"),
    ],
)
def test_unknown_frames_and_shocks_are_named(shop: Shop, question: dict[str, Any], pointer: str, code: str) -> None:
    shop.plant(frame(1))
    with pytest.raises(InvalidInput) as refused:
        ask(shop, **question)
    assert [(p.pointer, p.code) for p in refused.value.problems] == [(pointer, code)]


def test_a_frame_written_out_needs_no_record(shop: Shop) -> None:
    shop.plant(frame(1))
    answer = ask(shop, ends={"front": {"mount": "hardware", "bolt_mm": 8, "width_mm": 30}, "rear": {}})
    (sheet,) = answer["sheets"]
    front, rear = sheet["ways"][0]["ends"]["front"], sheet["ways"][0]["ends"]["rear"]
    assert (front["verdict"], front["advice"], front["reasons"]) == ("buy", "ask_first", ["size_stated_by_asker"])
    assert rear["verdict"] == "not_known"
    assert sheet["frame"]["ends"]["front"]["stated"]["label"] == "M8 x 30"


SKERRY, BRINDLE = "f-7k3m9q2dxw", "s-ht9c2a18qb"
"""Of the shipped, invented records: a frame of 210 x 55, and a shock that is sold with this frame's hardware."""


def of_shipped(filled: Storage, **question: Any) -> dict[str, Any]:
    with filled.reading() as uow:
        return fit_sheets(uow, name_index(uow), question_from(FitQuestion, question))


def test_shocks_by_their_id(filled: Storage) -> None:
    """The shipped records are filled in once, so several things are looked at here."""
    _brings_its_eyelets_and_what_is_in_its_box(filled)
    _may_not_be_contradicted(filled)
    _is_beware_of_in_a_size_not_listed(filled)
    _answers_for_one_that_was_merged_into_it(filled)
    _is_marked_at_an_end_on_hold(filled)


def _brings_its_eyelets_and_what_is_in_its_box(filled: Storage) -> None:
    """The record says eyelets of 15 by 22 at both ends: spacers of (22.2 - 22) / 2 = 0.1, and hardware in the box."""
    answer = of_shipped(filled, frame=SKERRY, new_shock={"id": BRINDLE, "eye_to_eye_mm": 210, "stroke_mm": 55})
    assert answer["new_shock"]["id"] == BRINDLE
    assert answer["new_shock"]["ends"]["body"]["standing"] == "settled"
    sheet = answer["sheets"][0]
    assert sheet["shock_size"]["outcome"] == "goes"
    for way in sheet["ways"]:
        upper, lower = way["ends"]["upper"], way["ends"]["lower"]
        assert (upper["verdict"], upper["reasons"]) == ("keep", ["hardware_in_the_box"])
        assert upper["kit"]["eyelet_width_mm"] == 22
        assert upper["built"]["spacer_mm"] == Decimal("0.1")
        assert (lower["verdict"], lower["advice"]) == ("keep", "ask_first")
        assert lower["reasons"] == ["hardware_in_the_box", "end_unknown"]


def _may_not_be_contradicted(filled: Storage) -> None:
    bore = {"mount": "eyelet", "eyelet_bore_mm": Decimal("15.08")}
    for shock, pointer, code in (
        ({"id": BRINDLE, "body": {"mount": "trunnion"}}, "/new_shock/body", "contradicts_record"),
        ({"id": BRINDLE, "both": bore}, "/new_shock/both", "contradicts_record"),
        ({"id": "s-2cgj5dywb1"}, "/new_shock/id", "shock_gone"),
    ):
        with pytest.raises(InvalidInput) as refused:
            of_shipped(filled, frame=SKERRY, new_shock=shock)
        assert [(p.pointer, p.code) for p in refused.value.problems] == [(pointer, code)]


def _is_beware_of_in_a_size_not_listed(filled: Storage) -> None:
    """The record lists 210 x 55 among others, and not 205 x 57; 55.2 is within the 0.5 of names of one stroke."""
    for length, stroke, listed in ((210, Decimal("55.2"), True), (205, 57, False)):
        shock = {"id": BRINDLE, "eye_to_eye_mm": length, "stroke_mm": stroke}
        (sheet,) = of_shipped(filled, frame=SKERRY, new_shock=shock)["sheets"]
        assert ("shock_size_not_listed" not in sheet["cautions"]) is listed


def _answers_for_one_that_was_merged_into_it(filled: Storage) -> None:
    answer = of_shipped(filled, frame=SKERRY, new_shock={"id": "s-u866rq7w66"})
    assert answer["new_shock"]["id"] == "s-mzpzsb0005"


def _is_marked_at_an_end_on_hold(filled: Storage) -> None:
    """A maintainer has put the body of this shock on hold; what the asker measured there fills the gap."""
    held = {"id": "s-3u9p2jmkya"}
    (way, *_) = of_shipped(filled, frame=SKERRY, new_shock=held, shock_up="body")["sheets"][0]["ways"]
    assert way["ends"]["upper"]["verdict"] == "not_known"
    own = held | {"body": {"mount": "eyelet", "eyelet_bore_mm": 15}}
    (way, *_) = of_shipped(filled, frame=SKERRY, new_shock=own, shock_up="body")["sheets"][0]["ways"]
    assert way["ends"]["upper"]["verdict"] == "buy"


def test_every_shipped_frame_with_every_shipped_shock_is_answered(filled: Storage) -> None:
    """Whatever the records hold, no pair fails, and every code has its text."""
    with filled.reading() as uow:
        index = name_index(uow)
        shocks = [s.shock.id for s in uow.shocks.every_shock() if s.shock.live]
        frames = [s.frame.id for s in uow.catalogue.every_frame() if s.frame.live]
        seen = set()
        for turn, frame_id in enumerate(frames):
            shock = {"id": shocks[turn % len(shocks)]}
            answer = fit_sheets(uow, index, question_from(FitQuestion, {"frame": frame_id, "new_shock": shock}))
            ends = [end for way in answer["sheets"][0]["ways"] for end in way["ends"].values()]
            seen |= {end["verdict"] for end in ends}
            assert {reason for end in ends for reason in end["reasons"]} <= set(answer["texts"].get("fit_reasons", {}))
    assert {"buy", "none_needed", "incompatible", "not_known", "disputed", "ask_frame_maker"} <= seen
