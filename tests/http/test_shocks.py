"""Shocks and hardware sizes over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from boltspan.services.bringing import Bringing
from tests.dataset.sample import with_shock
from tests.http.world import Site

S1 = "s-0000000001"
CLAIM = {
    "shock": S1,
    "subject": "shaft",
    "value": {"mount": "bearing_eyelet", "eyelet_bore_mm": 12, "bearings": "fixed"},
    "source": {"kind": "spec_page", "url": "https://example.org/shaft", "seen_on": "2026-05-01"},
}

MEASURED: dict[str, Any] = {
    "kind": "measured",
    "seen_on": "2026-05-01",
    "instrument": {"kind": "digital_caliper", "resolution_mm": 0.01},
    "features": {"bore": "eyelet_bore"},
    "readings_mm": {"bore": [15.02, 15.01, 15.01]},
}
NEW = {"make": {"name": "Orrinfell"}, "model": {"name": "Brindle TR"}, "years": {"from": 2021}}


@pytest.fixture
def stocked(site: Site) -> Site:
    """Return a site with a shock and hardware sizes."""
    extra = with_shock()
    with site.storage.writing() as uow:
        bringing = Bringing(uow, site.clock, None)
        bringing.shock_models(extra.shock_models)
        bringing.records(extra.shocks)
        bringing.hardware(extra.hardware)
    return site


def test_a_shock_is_found_and_answered_with_an_etag(stocked: Site) -> None:
    for query in ("", "?q=brindel", "?make=tarnvale&year=2022", "?model=brindle"):
        assert [s["id"] for s in stocked.get(f"/v1/shocks{query}").json["shocks"]] == [S1]
    assert stocked.get("/v1/shocks?year=2020").json == {"shocks": []}
    found = stocked.get(f"/v1/shocks/{S1}")
    assert found.json["ends"]["body"]["value"] == {"mount": "eyelet", "eyelet_bore_mm": 15, "label": "eyelet, bore 15"}
    again = stocked.app.test_client().get(f"/v1/shocks/{S1}", headers={"If-None-Match": found.headers["ETag"]})
    assert again.status_code == 304
    page = stocked.get("/v1/shocks?limit=1")
    link = page.headers["Link"]
    assert stocked.get(link[link.index("<") + 1 : link.index(">")]).json == {"shocks": []}


def test_what_is_not_there_or_not_asked_rightly_is_a_problem(stocked: Site) -> None:
    for path, status in (
        ("/v1/shocks/s-0000000009", 404),
        ("/v1/shocks/f-0000000001", 404),
        ("/v1/frames/s-0000000001", 404),
        (f"/v1/frames/{S1}/claims", 404),
        ("/v1/shocks/f-0000000001/claims", 404),
        ("/v1/shocks/s-0000000009/history", 404),
        ("/v1/shocks?colour=red", 422),
        ("/v1/shocks?q=a&cursor=b", 422),
        ("/v1/hardware-sizes?bolt_mm=eight", 422),
        ("/v1/hardware-sizes?bolt_mm=0", 422),
    ):
        assert stocked.get(path).status_code == status, path


def test_hardware_sizes_are_told_with_their_source(stocked: Site) -> None:
    found = stocked.get("/v1/hardware-sizes?bolt_mm=8&eyelet_bore_mm=15").json
    assert (found["widths_mm"], found["sizes"][0]["source"]["kind"]) == ([20, 30], "spec_page")
    assert stocked.get("/v1/hardware-sizes?width_mm=31").json["sizes"] == []
    told = [(w["width_mm"], w["standing"], w["basis"]["independent"]) for w in found["widths"]]
    assert told == [(20, "provisional", 1), (30, "provisional", 1)]


def test_a_claim_is_received_decided_reversed_and_seen(stocked: Site) -> None:
    sent = stocked.post("/v1/claims", CLAIM, who="ann")
    assert (sent.status_code, sent.json["shock"]) == (201, S1)
    claim = sent.json["claim"]["id"]
    assert stocked.get(f"/v1/claims/{claim}", who="ann").json["shock"] == S1
    case = sent.json["review"]["id"]
    tag = stocked.get(f"/v1/reviews/{case}", who="mia").headers["ETag"]
    ruling = {"ruling": "settle", "value": CLAIM["value"], "rests_on": [claim], "why": "the maker's own page"}
    decided = stocked.post(f"/v1/reviews/{case}/decisions", ruling, who="mia", match=tag)
    assert decided.status_code == 201
    shaft = stocked.get(f"/v1/shocks/{S1}").json["ends"]["shaft"]
    assert (shaft["standing"], shaft["value"]["bearings"]) == ("settled", "fixed")
    tag = stocked.get(f"/v1/reviews/{case}", who="mia").headers["ETag"]
    decision = decided.json["decision"]["id"]
    undone = stocked.post(f"/v1/decisions/{decision}/reversal", {"why": "wrong page"}, who="max", match=tag)
    assert undone.status_code == 201
    said = stocked.get(f"/v1/shocks/{S1}/claims").json["subjects"]["shaft"]
    assert [d["ruling"] for d in said["decisions"]] == ["settle", "reverse"]
    kinds = [e["kind"] for e in stocked.get(f"/v1/shocks/{S1}/history").json["history"]]
    assert kinds == ["shock_added", "claim_submitted", "decision_made", "decision_made"]
    opened = stocked.post("/v1/reviews", {"shock": S1, "subject": "sizes", "why": "ask the maker"}, who="mia")
    assert (opened.status_code, opened.json["shock"]) == (201, S1)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"frame": "f-0000000001"}, "/frame"),
        ({"subject": "upper"}, "/subject"),
        ({"label": "M8 x 30"}, "/label"),
        ({"value": {"mount": "trunnion", "eyelet_bore_mm": 15}}, "/value/eyelet_bore_mm"),
        ({"value": {"sizes": []}}, "/value/sizes"),
        ({"value": {"sizes": [{"eye_to_eye_mm": 210}]}}, "/value/sizes/0/stroke_mm"),
        ({"source": {"kind": "measured"}}, "/source/readings_mm"),
        ({"source": MEASURED, "value": {"mount": "trunnion"}}, "/value/mount"),
        ({"source": MEASURED, "subject": "sizes"}, "/source/kind"),
        ({"source": MEASURED | {"features": {"bore": "sleeve_bore"}}}, "/source/features/bore"),
        ({"source": MEASURED | {"readings_mm": {"bore": [15.02], "width": [22]}}}, "/source/readings_mm"),
        ({"source": MEASURED | {"readings_mm": {"depth": [3]}}}, "/source/readings_mm/depth"),
    ],
)
def test_a_claim_that_does_not_go_is_told_where(stocked: Site, change: dict[str, Any], pointer: str) -> None:
    sent = stocked.post("/v1/claims", {**CLAIM, **change}, who="ann")
    assert sent.status_code == 422
    assert pointer in [e["pointer"] for e in sent.json["errors"]]


def test_an_edit_needs_the_answers_etag_and_a_merged_shock_leads_on(stocked: Site) -> None:
    path = f"/v1/shocks/{S1}/edits"
    years = {"edit": "years", "years": {"from": 2021, "to": 2024}, "why": "a new bore from 2025 on"}
    assert stocked.post(path, years, who="mia").status_code == 428
    assert stocked.post(path, years, who="ann", match='"x"').status_code == 403
    assert stocked.post(path, years, who="mia", match='"x"').status_code == 412
    edited = stocked.post(path, years, who="mia", match=stocked.get(f"/v1/shocks/{S1}").headers["ETag"])
    assert (edited.status_code, edited.json["shocks"][0]["years"]) == (201, {"from": 2021, "to": 2024})
    ask = "Which serial number?"
    parts = [{"qualifier": {"kind": "serial", bound: "K1", "ask": ask}} for bound in ("from", "to")]
    tag = stocked.get(f"/v1/shocks/{S1}").headers["ETag"]
    divided = stocked.post(path, {"edit": "divide", "parts": parts, "why": "a running change"}, who="mia", match=tag)
    one, other = (s["id"] for s in divided.json["shocks"][1:])
    gone = stocked.get(f"/v1/shocks/{S1}")
    assert (gone.status_code, gone.json["ask_instead"]) == (410, [one, other])
    tag = stocked.get(f"/v1/shocks/{one}").headers["ETag"]
    merge = {"edit": "merge", "into": other, "why": "the same after all"}
    assert stocked.post(f"/v1/shocks/{one}/edits", merge, who="mia", match=tag).status_code == 201
    moved = stocked.get(f"/v1/shocks/{one}")
    assert (moved.status_code, moved.headers["Location"]) == (308, f"/v1/shocks/{other}")


def test_a_document_may_speak_of_shocks_and_their_contributors_are_asked_too(stocked: Site) -> None:
    claim = stocked.post("/v1/claims", CLAIM, who="ann").json["claim"]["id"]
    asked = stocked.post(f"/v1/claims/{claim}/questions", {"question": "Which page?"}, who="mia")
    assert asked.status_code == 201
    assert stocked.get("/v1/account/data", who="ann").json["claims"][0]["shock"] == S1
    shown = stocked.get("/v1/document-reviews?document=example.org/shaft", who="mia")
    assert [(line["shock"], line["subject"]) for line in shown.json["lines"]] == [(S1, "shaft")]
    body = {"document": "example.org/shaft", "ruling": "refuse_claims", "reason": "copied", "why": "x"}
    done = stocked.post("/v1/document-reviews", body, who="mia", match=shown.headers["ETag"])
    assert [line["shock"] for line in done.json["decided"]] == [S1]


def test_a_measured_eyelet_is_received_with_what_it_reads_as_and_the_mistake_it_looks_like(stocked: Site) -> None:
    """The sample's body is stated with a bore of 15 by a page; 12.7 is the bore of the bushing that goes in there."""
    measured = {"shock": S1, "subject": "body", "source": MEASURED}
    sent = stocked.post("/v1/claims", measured, who="ann")
    assert (sent.status_code, sent.json["reads_as"]["eyelet_bore_mm"], "mistake" in sent.json) == (201, 15, False)
    left_in = {**measured, "source": MEASURED | {"readings_mm": {"bore": [12.71]}}}
    wrong = stocked.post("/v1/claims", left_in, who="ben")
    assert (wrong.status_code, wrong.json["mistake"]["code"]) == (201, "measured_bushing_bore")
    body = stocked.get(f"/v1/shocks/{S1}").json["ends"]["body"]
    told = [(m["claim"], m["code"]) for m in body["mistakes"]]
    assert (body["standing"], told) == ("disputed", [(wrong.json["claim"]["id"], "measured_bushing_bore")])
    case = stocked.get(f"/v1/reviews/{wrong.json['review']['id']}", who="mia").json
    hints = {c["id"]: {h["code"] for h in c.get("hints", [])} for c in case["claims"]}
    assert "reading_mistake" in hints[wrong.json["claim"]["id"]]
    assert case["claims"][-1]["mistake"] == "measured_bushing_bore"
    kept = stocked.get(f"/v1/claims/{wrong.json['claim']['id']}", who="ben").json["claim"]["source"]
    assert (kept["features"], kept["readings_mm"]) == ({"bore": "eyelet_bore"}, {"bore": [12.71]})
    better = {**left_in, "source": MEASURED | {"readings_mm": {"bore": [15.01, 15.0]}}}
    again = stocked.post("/v1/claims", better, who="ben")
    assert again.status_code == 201
    states = {c["id"]: c["state"] for c in stocked.get(f"/v1/shocks/{S1}/claims").json["subjects"]["body"]["claims"]}
    assert (states[wrong.json["claim"]["id"]], len(states)) == ("superseded", 4)
    assert stocked.get(f"/v1/shocks/{S1}").json["ends"]["body"]["standing"] == "provisional"


def test_a_proposed_shock_is_unlisted_until_somebody_else_accepts_it(stocked: Site) -> None:
    sent = stocked.post("/v1/shocks", NEW, who="ann")
    assert (sent.status_code, sent.json["shock"]["listed"], sent.json["review"]["state"]) == (201, False, "open")
    shock = sent.json["shock"]["id"]
    path = f"/v1/shocks/{shock}"
    assert sent.headers["Location"].endswith(path)
    for who, status in ((None, 404), ("ben", 404), ("ann", 200), ("mia", 200)):
        for below in ("", "/claims", "/history"):
            found = stocked.get(path + below, who=who)
            assert found.status_code == status, (who, below)
    assert stocked.get(path, who="ann").headers["Cache-Control"] == "no-store"
    assert [s["id"] for s in stocked.get("/v1/shocks").json["shocks"]] == [S1]
    assert stocked.get("/v1/shocks?q=brindle tr").json["shocks"] == [
        s for s in stocked.get("/v1/shocks").json["shocks"] if s["id"] == S1
    ]
    claim = {"shock": shock, "subject": "shaft", "source": MEASURED}
    assert stocked.post("/v1/claims", claim, who="ben").status_code == 422
    said = stocked.post("/v1/claims", claim, who="ann")
    assert said.status_code == 201
    kinds = [(e["kind"], "shock" in e) for e in stocked.get("/v1/changes?since=0").json["changes"]][-5:]
    assert ("shock_proposed", False) in kinds and ("claim_submitted", False) in kinds
    cases = {c["subject"]: c for c in stocked.get("/v1/reviews", who="mia").json["reviews"] if c.get("shock") == shock}
    assert {r["code"] for r in cases["record"]["reasons"]} == {"proposal"}
    assert stocked.get(f"/v1/reviews/{cases['record']['id']}", who="mia").json["proposed_by"].startswith("p-")
    accept = {"edit": "accept", "why": "the maker's page exists"}
    tag = stocked.get(path, who="mia").headers["ETag"]
    assert stocked.post(f"{path}/edits", accept, who="ann", match=tag).status_code == 403
    assert stocked.post(f"{path}/edits", accept, who="mia", match='"x"').status_code == 412
    done = stocked.post(f"{path}/edits", accept, who="mia", match=tag)
    assert (done.status_code, done.json["shocks"][0]["listed"]) == (201, True)
    assert "listed" not in stocked.get(path).json
    assert shock in [s["id"] for s in stocked.get("/v1/shocks?q=brindle tr").json["shocks"]]
    assert stocked.get(f"/v1/reviews/{cases['record']['id']}", who="mia").json["state"] == "closed"
    tag = stocked.get(path, who="mia").headers["ETag"]
    assert stocked.post(f"{path}/edits", accept, who="mia", match=tag).status_code == 409


def flags_at(site: Site, case: dict[str, Any]) -> list[str]:
    whole = site.get(f"/v1/reviews/{case['id']}", who="mia").json
    return [flag["reason"] for flag in whole.get("flags", ())]


def cases_of(site: Site, state: str) -> dict[str, dict[str, Any]]:
    found = site.get(f"/v1/reviews?state={state}", who="mia").json["reviews"]
    return {case["subject"]: case for case in found if case.get("shock") == S1}


def test_anybody_flags_a_shock_and_a_ruling_closes_the_flag(stocked: Site) -> None:
    path, flag = (
        f"/v1/shocks/{S1}",
        {"shock": S1, "subject": "body", "reason": "unsafe", "words": "the bushing fell out"},
    )
    before = stocked.get(path).json
    told = stocked.post("/v1/flags", flag)
    assert (told.status_code, told.headers["Location"]) == (201, f"{path}/history")
    assert {k: v for k, v in told.json["flag"].items() if k != "id"} == {
        "shock": S1,
        "subject": "body",
        "reason": "unsafe",
    }
    assert stocked.get(path).json | {"event": 0} == before | {"event": 0}
    assert "fell out" not in stocked.get(f"{path}/history").text + stocked.get("/v1/changes").text
    case = cases_of(stocked, "open")["body"]
    assert ([r["code"] for r in case["reasons"]], flags_at(stocked, case)) == (["flagged"], ["unsafe"])
    assert case["stake"]["flags"] > 0
    tag = stocked.get(f"/v1/reviews/{case['id']}", who="mia").headers["ETag"]
    ruling = {"ruling": "leave_open", "why": "read again"}
    done = stocked.post(f"/v1/reviews/{case['id']}/decisions", ruling, who="mia", match=tag)
    assert (done.status_code, flags_at(stocked, case)) == (201, [])
    assert "body" in cases_of(stocked, "closed")


def test_a_flag_on_a_whole_shock_stands_until_its_record_is_edited_or_kept(stocked: Site) -> None:
    path = f"/v1/shocks/{S1}"
    answers = []
    for edit in ({"edit": "keep"}, {"edit": "names", "aliases": ["Brindle Air"]}):
        assert stocked.post("/v1/flags", {"shock": S1, "reason": "doubled"}).status_code == 201
        case = cases_of(stocked, "open")["record"]
        assert flags_at(stocked, case) == ["doubled"]
        answers.append(stocked.get(path))
        tag = answers[-1].headers["ETag"]
        done = stocked.post(f"{path}/edits", edit | {"why": "compared with the list"}, who="mia", match=tag)
        assert (done.status_code, flags_at(stocked, case)) == (201, [])
        assert "record" in cases_of(stocked, "closed")
    tag = stocked.get(path).headers["ETag"]
    nothing = stocked.post(f"{path}/edits", {"edit": "keep", "why": "again"}, who="mia", match=tag)
    assert nothing.status_code == 409
    assert answers[0].json["ends"] == answers[1].json["ends"]


@pytest.mark.parametrize(
    ("flag", "pointer"),
    [
        ({"shock": "s-0000000009"}, "/shock"),
        ({"shock": "f-0000000001"}, "/shock"),
        ({"shock": S1, "subject": "upper"}, "/subject"),
        ({"shock": S1, "frame": "f-0000000001"}, "/frame"),
    ],
)
def test_a_flag_names_one_record_that_is_there_and_a_subject_of_it(
    stocked: Site, flag: dict[str, str], pointer: str
) -> None:
    refused = stocked.post("/v1/flags", flag | {"reason": "other"})
    assert (refused.status_code, refused.json["errors"][0]["pointer"]) == (422, pointer)


def test_a_proposal_is_refused_by_withdrawing_it_and_nobody_accepts_an_own_one(stocked: Site) -> None:
    sent = stocked.post("/v1/shocks", NEW | {"make": {"name": "Fellgarth"}}, who="mia")
    path = f"/v1/shocks/{sent.json['shock']['id']}"
    tag = stocked.get(path, who="mia").headers["ETag"]
    own = stocked.post(f"{path}/edits", {"edit": "accept", "why": "it is mine"}, who="mia", match=tag)
    assert own.status_code == 403
    gone = stocked.post(f"{path}/edits", {"edit": "withdraw", "why": "no such maker"}, who="max", match=tag)
    assert gone.status_code == 201
    assert (stocked.get(path).status_code, stocked.get(path, who="mia").status_code) == (404, 410)
    assert stocked.get(f"/v1/reviews/{sent.json['review']['id']}", who="mia").json["state"] == "closed"
    assert "fellgarth" not in [m["slug"] for m in stocked.get("/v1/makes").json["makes"]]
    assert stocked.get("/v1/shocks?make=fellgarth").json == {"shocks": []}


def test_a_shock_that_is_there_is_not_proposed_again(stocked: Site) -> None:
    stands = {"make": {"slug": "tarnvale"}, "model": {"slug": "brindle"}, "years": {"from": 2022}}
    sent = stocked.post("/v1/shocks", stands, who="ann")
    assert (sent.status_code, sent.json["errors"][0]["pointer"]) == (422, "/years")
    assert stocked.post("/v1/shocks", NEW).status_code == 401
    assert stocked.post("/v1/shocks", NEW, who="rob").status_code == 403
    assert stocked.post("/v1/shocks", {**NEW, "ends": ["body", "shaft"]}, who="ann").status_code == 422
