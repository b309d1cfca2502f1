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
        ({"source": {"kind": "measured"}}, "/source"),
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
