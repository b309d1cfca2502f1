"""From a claim to a ruling and back, edits, proposals: what a contributor and a maintainer do over HTTP."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from tests.http.world import F1, F2, OTHER, Site, page_claim, settle

CALIPER = {
    "frame": F1,
    "subject": "lower",
    "source": {
        "kind": "measured",
        "seen_on": "2026-05-01",
        "instrument": {"kind": "digital_caliper", "resolution_mm": 0.01},
        "features": {"bolt": "sleeve_bore", "width": "hardware_width"},
        "readings_mm": {"bolt": [8.06], "width": [30.02, 30.01]},
    },
}


def upper(site: Site) -> Any:
    return site.get(f"/v1/frames/{F1}").json["ends"]["upper"]


def test_a_claim_is_received_reviewed_decided_and_the_answer_follows_at_once(site: Site) -> None:
    assert upper(site)["standing"] == "provisional"
    sent = site.claim()
    assert sent.status_code == 201
    claim = sent.json["claim"]
    assert sent.headers["Location"] == f"/v1/claims/{claim['id']}"
    assert (claim["state"], claim["source"]["by"][:2]) == ("submitted", "p-")
    assert site.get(sent.headers["Location"], who="ann").json["review"]["state"] == "open"
    case, tag = site.case()
    decided = site.post(f"/v1/reviews/{case}/decisions", settle([claim["id"]]), who="mia", match=tag)
    assert decided.status_code == 201
    assert (upper(site)["standing"], upper(site)["advice"]) == ("settled", "sell")
    assert site.get(sent.headers["Location"], who="ann").json["claim"]["state"] == "accepted"
    stale = site.post(f"/v1/reviews/{case}/decisions", settle([claim["id"]]), who="max", match=tag)
    assert (stale.status_code, stale.json["code"]) == (412, "stale")
    tag = site.get(f"/v1/reviews/{case}", who="mia").headers["ETag"]
    decision = decided.json["decision"]["id"]
    undone = site.post(f"/v1/decisions/{decision}/reversal", {"why": "wrong page"}, who="max", match=tag)
    assert undone.status_code == 201
    assert upper(site)["standing"] == "provisional"
    said = site.get(f"/v1/frames/{F1}/claims").json["subjects"]["upper"]["decisions"]
    assert [(d["ruling"], d.get("reversed")) for d in said] == [("settle", True), ("reverse", None)]


def test_readings_are_read_and_a_mistake_is_named_at_once(site: Site) -> None:
    sound = site.post("/v1/claims", CALIPER, who="ann").json
    assert (sound["reads_as"]["label"], "mistake" in sound) == ("M8 x 30", False)
    bushing = {**CALIPER["source"], "readings_mm": {"bolt": [12.71], "width": [30.02]}}  # type: ignore[dict-item]
    wrong = site.post("/v1/claims", {**CALIPER, "source": bushing}, who="ben").json
    assert wrong["mistake"]["code"] == "measured_bushing_or_eyelet_bore"


def test_an_end_of_another_pair_is_asked_back_until_a_source_maps_it(site: Site) -> None:
    asked = site.claim(subject="front")
    assert asked.status_code == 422
    [error] = asked.json["errors"]
    assert (error["pointer"], error["code"], error["accepted"]) == (
        "/subject", "end_of_another_pair", "shock_size, upper, lower",
    )  # fmt: skip
    assert "which end" in error["detail"]
    tag = site.get(f"/v1/frames/{F1}").headers["ETag"]
    source = {"kind": "manual", "document": "example.org/manual", "seen_on": "2026-05-01"}
    edit = {
        "edit": "same_ends",
        "same_ends": {"names": {"front": "upper", "rear": "lower"}, "source": source},
        "why": "x",
    }
    assert site.post(f"/v1/frames/{F1}/edits", edit, who="mia", match=tag).status_code == 201
    assert site.claim(subject="front").json["subject"] == "upper"


def test_the_same_key_does_it_once_and_answers_alike(site: Site) -> None:
    first = site.post("/v1/claims", page_claim(), who="ann", key="k-1")
    before = site.last()
    for quoted in ("k-1", '"k-1"'):
        again = site.post("/v1/claims", page_claim(), who="ann", key=quoted)
        assert (again.status_code, again.data) == (first.status_code, first.data)
        assert again.headers["Location"] == first.headers["Location"]
    other = site.post("/v1/claims", page_claim(width=24), who="ann", key="k-1")
    assert (other.status_code, other.json["code"]) == (422, "key_reused")
    assert site.last() == before
    assert (
        site.post("/v1/claims", page_claim(width=24), who="ben", key="k-1").status_code == 201
    )  # keys are the person's


def test_a_refused_request_leaves_its_key_free(site: Site) -> None:
    assert site.post("/v1/claims", page_claim(width=900), who="ann", key="k-2").status_code == 422
    assert site.post("/v1/claims", page_claim(), who="ann", key="k-2").status_code == 201


def test_the_same_request_at_once_makes_one_claim(site: Site) -> None:
    answers: list[tuple[int, bytes]] = []

    def send() -> None:
        sent = site.post("/v1/claims", page_claim(), who="ann", key="at-once")
        answers.append((sent.status_code, sent.data))

    threads = [threading.Thread(target=send) for _ in range(8)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert {s for s, _ in answers} == {201}
    assert len({body for _, body in answers}) == 1


def test_the_same_statement_counts_once(site: Site) -> None:
    assert site.claim().status_code == 201
    again = site.claim()
    assert (again.status_code, again.json["code"]) == (409, "conflict")


def test_nobody_decides_on_an_own_claim(site: Site) -> None:
    claim = site.claim("mia").json["claim"]["id"]
    case, tag = site.case()
    refused = site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="mia", match=tag)
    assert (refused.status_code, refused.json["code"]) == (403, "not_allowed")
    assert site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="max", match=tag).status_code == 201


def test_two_at_once_decide_once(site: Site) -> None:
    claim = site.claim().json["claim"]["id"]
    case, tag = site.case()
    statuses: list[int] = []

    def decide(who: str) -> None:
        statuses.append(site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who=who, match=tag).status_code)

    threads = [threading.Thread(target=decide, args=(who,)) for who in ("mia", "max")]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert sorted(statuses) == [201, 412]


def test_an_own_claim_is_taken_back_with_a_reason(site: Site) -> None:
    claim = site.claim().json["claim"]["id"]
    path = f"/v1/claims/{claim}/withdrawal"
    assert site.post(path, {"why": "x"}, who="ben").status_code == 404
    assert site.post(path, {"why": "the wrong line"}, who="ann").json["claim"]["state"] == "withdrawn"
    assert site.post(path, {"why": "x"}, who="ann").status_code == 409


def test_a_proposal_is_there_for_its_author_and_for_maintainers_only(site: Site) -> None:
    proposal = {
        "make": {"name": "Tarnvale"},
        "model": {"name": "Holm"},
        "years": {"from": 2025},
        "ends": ["upper", "lower"],
    }
    sent = site.post("/v1/frames", proposal, who="ann")
    assert (sent.status_code, sent.json["frame"]["listed"]) == (201, False)
    path = sent.headers["Location"]
    assert [site.get(path, who=w).status_code for w in ("ann", "mia", "ben", None)] == [200, 200, 404, 404]
    own = site.get(path, who="ann")
    assert own.headers["Cache-Control"] == "no-store"
    frame_id = sent.json["frame"]["id"]
    assert site.claim("ann", frame=frame_id).status_code == 201
    assert site.claim("ben", frame=frame_id).status_code == 422
    assert frame_id not in site.get("/v1/frames?limit=200").text
    assert frame_id not in site.get("/v1/changes").text
    tag = site.get(path, who="mia").headers["ETag"]
    accept = {"edit": "accept", "why": "sound"}
    assert site.post(f"{path}/edits", accept, who="ann", match=tag).status_code == 403
    assert site.post(f"{path}/edits", accept, who="mia", match=tag).status_code == 201
    assert site.get(path).status_code == 200
    assert [f["id"] for f in site.get("/v1/frames?q=holm").json["frames"]] == [frame_id]


@pytest.mark.parametrize("edit", ["years", "qualifier", "names", "merge", "divide", "withdraw"])
def test_every_edit_needs_the_etag_that_was_read_and_shows_at_once(site: Site, edit: str) -> None:
    told = {"kind": "frame_size", "is": "S", "ask": "Which size is it?"}
    bodies: dict[str, dict[str, Any]] = {
        "years": {"years": {"from": 2021, "to": 2022}},
        "qualifier": {"qualifier": told},
        "names": {"aliases": ["Skerry 150"]},
        "merge": {},
        "divide": {"parts": [{"qualifier": told}, {"qualifier": {**told, "is": "M"}}]},
        "withdraw": {},
    }
    if edit == "merge":
        bodies["merge"] = {"into": site.double()}
    path = f"/v1/frames/{F1}"
    tag = site.get(path).headers["ETag"]
    site.claim()
    body = {"edit": edit, "why": "for a test", **bodies[edit]}
    before = site.last()
    missing = site.post(f"{path}/edits", body, who="mia")
    assert (missing.status_code, missing.json["code"]) == (428, "precondition_missing")
    stale = site.post(f"{path}/edits", body, who="mia", match=tag)
    assert (stale.status_code, stale.json["code"]) == (412, "stale")
    assert site.last() == before
    tag = site.get(path).headers["ETag"]
    done = site.post(f"{path}/edits", body, who="mia", match=tag, key="e-1")
    assert done.status_code == 201, done.text
    again = site.post(f"{path}/edits", body, who="mia", match=tag, key="e-1")
    assert (again.status_code, again.data) == (201, done.data)
    expected = {"merge": 308, "divide": 410, "withdraw": 410}.get(edit, 200)
    answer = site.get(path)
    assert answer.status_code == expected
    if expected != 200:
        assert F1 not in site.get("/v1/makes/tarnvale/skerry/2021").text.replace(f'"asked": "{F1}"', "")
    if edit == "names":
        assert [f["id"] for f in site.get("/v1/frames?q=skerry+150&limit=1").json["frames"]]
        assert site.get("/v1/makes/tarnvale").json["models"][0]["aliases"] == ["Skerry 150"]


def test_a_review_may_be_opened_and_an_end_put_on_hold(site: Site) -> None:
    opened = site.post("/v1/reviews", {"frame": OTHER, "subject": "front", "why": "a part did not go in"}, who="mia")
    assert opened.status_code == 201
    case = opened.headers["Location"]
    tag = site.get(case, who="mia").headers["ETag"]
    hold = {"ruling": "withhold", "why": "asking the maker"}
    assert site.post(f"{case}/decisions", hold, who="mia", match=tag).status_code == 201
    front = site.get(f"/v1/frames/{OTHER}").json["ends"]["front"]
    assert (front["standing"], front["advice"], front["why"]) == ("withheld", "do_not_sell", "asking the maker")


def test_the_review_queue_has_pages(site: Site) -> None:
    for number, subject in enumerate(("upper", "lower")):
        site.claim(subject=subject, document=f"example.org/{number}")
    site.claim(frame=F2)
    first = site.get("/v1/reviews?limit=2", who="mia")
    assert len(first.json["reviews"]) == 2
    second = site.get(first.headers["Link"].split(">")[0][1:], who="mia")
    assert len(second.json["reviews"]) == 1
    assert "Link" not in second.headers
