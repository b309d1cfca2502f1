"""Fit sheets over HTTP: the document's examples, problems that name the field, and the headers of a read-only POST."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from boltspan.http.schemas.fit_sheet_examples import ANSWER, QUESTIONS
from boltspan.services.publishing import republish
from tests.domain.builders import SIZE, frame, page
from tests.http.world import DIVIDED, F1, F2, MERGED, Site

SHOCK = {"eye_to_eye_mm": 210, "stroke_mm": 55, "both": {"mount": "eyelet", "eyelet_bore_mm": 15}}


def test_the_documents_example_is_what_is_answered(site: Site) -> None:
    sent = site.post("/v1/fit-sheets", QUESTIONS["written_out"], who=None)
    assert sent.status_code == 200, sent.text
    assert {**sent.json, "dataset": ANSWER["dataset"]} == ANSWER


def test_the_documents_other_questions_are_taken(site: Site) -> None:
    by_name = site.post("/v1/fit-sheets", QUESTIONS["by_name"], who=None)
    assert by_name.status_code == 200, by_name.text
    by_id = site.post("/v1/fit-sheets", QUESTIONS["by_id"] | {"frame": F1}, who=None)
    assert by_id.json["sheets"][0]["ways"][0]["ends"]["upper"]["verdict"] == "move"


def test_it_is_open_to_all_and_kept_by_nobody(site: Site) -> None:
    sent = site.post("/v1/fit-sheets", {"frame": F1, "new_shock": SHOCK}, who=None)
    assert sent.headers["Access-Control-Allow-Origin"] == "*"
    assert "no-store" in sent.headers["Cache-Control"]
    assert sent.json["demo"] is True
    assert sent.json["dataset"] == {"event": sent.json["dataset"]["event"]}


def test_merged_frames_answer_and_divided_ones_are_gone(site: Site) -> None:
    assert site.post("/v1/fit-sheets", {"frame": MERGED, "new_shock": SHOCK}, who=None).json["asked"] == MERGED
    gone = site.post("/v1/fit-sheets", {"frame": DIVIDED, "new_shock": SHOCK}, who=None)
    assert (gone.status_code, len(gone.json["ask_instead"])) == (410, 2)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"frame": "f-zzzzzzzzzz"}, "/frame"),
        ({"make": "tarnvale"}, ""),
        ({"new_shock": {"id": "s-zzzzzzzzzz"}}, "/new_shock/id"),
        ({"new_shock": {**SHOCK, "stroke_mm": "55 mm"}}, "/new_shock/stroke_mm"),
        ({"new_shock": {**SHOCK, "stroke_mm": -55}}, "/new_shock/stroke_mm"),
        ({"new_shock": {**SHOCK, "stroke": 55}}, "/new_shock/stroke"),
        ({"new_shock": {"both": {"mount": "eyelet", "eyelet_bore_mm": 15, "eyelet_outer_mm": 14}}},
         "/new_shock/both/eyelet_outer_mm"),
        ({"old_hardware": {"upper": {"bolt_mm": 8, "width_mm": 22, "worn": False, "sleeve_length_mm": 30}}},
         "/old_hardware/upper/sleeve_length_mm"),
        ({"readings": {"upper": {"instrument": {"kind": "digital_caliper"}, "features": {}, "readings_mm": {}}}},
         "/readings/upper/readings_mm"),
        ({"readings": {"shaft": {"instrument": {"kind": "tape"}, "features": {"bolt": "shank"},
                                 "readings_mm": {"bolt": [8]}}}}, "/readings/shaft"),
        ({"old_hardware": {"upper": {"bolt_mm": 8, "width_mm": 22, "worn": False, "bushing_outer_mm": 12,
                                     "bushing_inner_mm": 13}}}, "/old_hardware/upper/bushing_outer_mm"),
        ({"new_shock": {"eye_to_eye_mm": 101, "stroke_mm": 110}}, "/new_shock/stroke_mm"),
        ({"old_shock": {"eye_to_eye_mm": 101, "stroke_mm": 110}}, "/old_shock/stroke_mm"),
        ({"new_shock": {"eye_to_eye_mm": 8.25, "stroke_mm": 2.25}}, "/new_shock/eye_to_eye_mm"),
        ({"new_shock": {"eye_to_eye_mm": 1e300}}, "/new_shock/eye_to_eye_mm"),
        ({"stroke_tolerance_mm": 100}, "/stroke_tolerance_mm"),
        ({"old_shock": {"id": "nonsense"}}, "/old_shock/id"),
        ({"readings": {"upper": {"instrument": {"kind": "digital_caliper"}, "features": {"width": "tab_gap"},
                                 "readings_mm": {"width": [22.3, 30.1]}}}}, "/readings/upper/readings_mm/width"),
        ({"at_hand": [{}]}, "/at_hand/0"),
        ({"shock_up": "left"}, "/shock_up"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_problem_that_names_the_field(site: Site, change: dict[str, Any], pointer: str) -> None:
    sent = site.post("/v1/fit-sheets", {"frame": F1, "new_shock": SHOCK} | change, who=None)
    assert sent.status_code == 422, sent.text
    assert sent.content_type == "application/problem+json"
    told = next(error for error in sent.json["errors"] if error["pointer"] == pointer)
    assert told["detail"]
    assert told["accepted"]


def test_a_frame_whose_end_is_disputed_is_answered_with_that_end_marked(site: Site) -> None:
    """One maker's page says 22.2, another 25.4: no size is told of that end, the other is answered all the same."""
    of = frame(2, start=2024, end=None)
    said = [page(90 + n, {**SIZE, "width_mm": width}, of=of) for n, width in enumerate(("22.2", "25.4"))]
    said.append(page(92, {"mount": "trunnion"}, of=of, subject="lower"))
    with site.storage.writing() as uow:
        sequence = uow.events.record(None, "claims_added", frame=F2, payload={})
        uow.statements.add_claims(replace(claim, sequence=sequence) for claim in said)
        republish(uow, [F2])
    shock = {"eye_to_eye_mm": 210, "stroke_mm": 55, "body": SHOCK["both"], "shaft": {"mount": "trunnion"}}
    sent = site.post("/v1/fit-sheets", {"frame": F2, "new_shock": shock, "shock_up": "body"}, who=None)
    upper, lower = (sent.json["sheets"][0]["ways"][0]["ends"][end] for end in ("upper", "lower"))
    assert (upper["verdict"], upper["advice"], upper["reasons"]) == ("disputed", "do_not_sell", ["end_disputed"])
    assert not {"size", "kit", "built"} & set(upper)
    assert lower["verdict"] == "none_needed"
    candidates = {each["value"]["label"] for each in sent.json["sheets"][0]["frame"]["ends"]["upper"]["candidates"]}
    assert candidates == {"M8 x 22.2", "M8 x 25.4"}
    shown = site.get(f"/fit?frame={F2}").text.partition("In dispute: ")[2].partition(". None of them is settled.")[0]
    assert set(shown.split("; ")) == candidates


@pytest.mark.parametrize("text", ['{"frame": "f", "new_shock": {"stroke_mm": NaN}}', '{"max_undersize_mm": 1e400}'])
def test_numbers_without_end_are_not_json(site: Site, text: str) -> None:
    sent = site.app.test_client().post("/v1/fit-sheets", data=text, content_type="application/json")
    assert sent.status_code == 400
