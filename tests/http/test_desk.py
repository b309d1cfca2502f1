"""What reaches the review desk over HTTP: flags, wanted frames, previews, whole documents, restored records."""

from __future__ import annotations

import uuid
from typing import Any

from tests.http.world import F1, F2, OTHER, Site, page_claim, settle

FLAG = {"frame": F1, "subject": "upper", "reason": "unsafe", "words": "the bolt bent"}


def test_anybody_flags_an_answer_once_a_key_and_only_so_often(site: Site) -> None:
    before = site.get(f"/v1/frames/{F1}")
    key = str(uuid.uuid4())
    first, again = (site.post("/v1/flags", FLAG, key=key) for _ in range(2))
    assert (first.status_code, first.json) == (201, again.json)
    assert "words" not in first.json["flag"]
    assert site.post("/v1/flags", FLAG, key=None).status_code == 400
    assert site.post("/v1/flags", FLAG | {"reason": "ugly"}).status_code == 422
    after = site.get(f"/v1/frames/{F1}")
    assert (after.data, after.headers["ETag"]) == (before.data, before.headers["ETag"])
    [found] = [r for r in site.get("/v1/reviews?state=open", who="mia").json["reviews"] if r["subject"] == "upper"]
    whole = site.get(f"/v1/reviews/{found['id']}", who="mia").json
    assert [f["words"] for f in whole["flags"]] == ["the bolt bent"]
    assert "bolt bent" not in site.get(f"/v1/frames/{F1}/history").text + site.get("/v1/changes").text
    limited = site.build(rate_limits=True, report_quota=2)
    codes = [site.post("/v1/flags", FLAG, app=limited).status_code for _ in range(3)]
    assert codes == [201, 201, 429]


def test_what_nobody_can_answer_is_counted_without_who_asked(site: Site) -> None:
    question = {"questions": [{"make": "Nowhere", "model": "Ridge", "year": 2024}, {"q": "my name is Ann"}]}
    for _ in range(3):
        assert site.post("/v1/lookups", question, key=None).json["answers"][0]["outcome"] == "unknown"
    assert site.post("/v1/wanted-frames", {"make": "nowhere", "model": "RIDGE", "year": 2024}).status_code == 201
    found = site.get("/v1/wanted-frames", who="mia").json["wanted"]
    assert [(w["make"].lower(), w["model"].lower(), w["year"], w["asked"]) for w in found] == [
        ("nowhere", "ridge", 2024, 4)
    ]
    assert set(found[0]) == {"make", "model", "year", "asked", "first_on", "last_on"}


def wanted(site: Site) -> list[dict[str, Any]]:
    days = ("first_on", "last_on")
    found = site.get("/v1/wanted-frames", who="mia").json["wanted"]
    return [{k: v for k, v in entry.items() if k not in days} for entry in found]


def test_the_storefront_and_the_search_count_what_they_cannot_answer_too(site: Site) -> None:
    for path, status in (
        ("/v1/makes/tarnvale/skerry/1999", 200), ("/v1/makes/tarnvale/skerry/1999", 200),
        ("/v1/makes/tarnvale/ridge/2024", 404), ("/v1/makes/Not%20a%20slug/x/2024", 404),
        ("/v1/makes/tarnvale/skerry/2022", 200),  # answered
        ("/v1/frames?q=tarnvale+skery+1999", 200), ("/v1/frames?make=tarnvale&model=ridge&year=2024", 200),
        ("/v1/frames?q=my+name+is+Ann+2023", 200), ("/v1/frames?q=call+me", 200), ("/v1/frames?q=and+me", 200),
        ("/v1/frames?q=tarnvale+skerry&width_mm=99", 200),  # asks for a size
        ("/v1/frames?make=tarnvale&year=1999", 200),  # names no model
    ):  # fmt: skip
        assert site.get(path).status_code == status, path
    assert wanted(site) == [
        {"make": "tarnvale", "model": "skerry", "year": 1999, "asked": 3},
        {"kind": "unknown_name", "asked": 2},
        {"make": "tarnvale", "model": "ridge", "year": 2024, "asked": 2},
        {"kind": "unknown_name", "year": 2023, "asked": 1},
    ]
    with site.storage.reading() as uow:
        assert "Ann" not in repr(uow.wanted.most_asked(99))


def test_a_year_without_a_frame_is_counted_though_its_answer_is_published(site: Site) -> None:
    path = "/v1/makes/quillhope/brant/2020"
    tag = site.get(f"/v1/frames/{OTHER}").headers["ETag"]
    assert site.get(path).json["outcome"] == "one"
    later = {"edit": "years", "years": {"from": 2022}, "why": "x"}
    assert site.post(f"/v1/frames/{OTHER}/edits", later, who="mia", match=tag).status_code == 201
    for _ in range(3):
        assert site.get(path).json["outcome"] == "unknown"
    assert wanted(site) == [{"make": "quillhope", "model": "brant", "year": 2020, "asked": 3}]


def test_a_large_table_is_one_entry_of_the_queue_and_ruled_on_as_one(site: Site) -> None:
    """Cases that wait for more than the table stay beside it; what it cannot settle is reached by its lines."""
    ops = {"name": "batch", "number": 3, "why": "x"}
    assert site.post("/v1/rule/limits", ops, who="ops", match=site.get("/v1/rule").headers["ETag"]).status_code == 201
    table = "a whole table, 2026"
    for frame, subject, width in ((F1, "lower", 30), (F2, "upper", 22.2), (F2, "lower", 30), (OTHER, "front", 30)):
        site.claim(frame=frame, subject=subject, width=width, document=table)
    site.claim("ben", frame=F2, subject="lower", width=40, document="example.org/ben")
    queue = site.get("/v1/reviews?state=open", who="mia").json
    assert [(r["frame"], r["subject"]) for r in queue["reviews"]] == [(F2, "lower")]
    [entry] = queue["documents"]
    assert (entry["document"], entry["claims"]) == (table, 4)
    assert site.get("/v1/reviews?state=closed", who="mia").json["documents"] == []
    shown = site.get(entry["path"], who="mia")
    lines = {(line["frame"], line["subject"]): line for line in shown.json["lines"]}
    assert len(lines) == 4
    for line in lines.values():
        assert site.get(f"/v1/reviews/{line['review']}", who="mia").json["state"] == "open"
    body = {"document": table, "ruling": "settle", "why": "the maker's own"}
    sent = site.post("/v1/document-reviews", body, who="mia", match=shown.headers["ETag"])
    assert {(i["frame"], i["subject"]): i["code"] for i in sent.json["left"]} == {(F2, "lower"): "contradicted"}
    after = site.get("/v1/reviews?state=open", who="mia").json
    assert ([(r["frame"], r["subject"]) for r in after["reviews"]], after["documents"]) == ([(F2, "lower")], [])


def test_a_preview_says_what_the_decision_then_does_and_changes_nothing(site: Site) -> None:
    claim = site.claim(width=25.4, document="example.org/new").json["claim"]["id"]
    case, tag = site.case()
    last, body = site.last(), settle([claim], 25.4)
    shown = site.post(f"/v1/reviews/{case}/preview", body, who="mia", key=None).json
    assert site.last() == last
    assert shown["after"]["value"]["label"] == "M8 x 25.4"
    assert shown["claims"] == [{"id": claim, "before": "submitted", "after": "accepted"}]
    assert site.post(f"/v1/reviews/{case}/decisions", body, who="mia", match=tag).status_code == 201
    now = site.get(f"/v1/frames/{F1}").json["ends"]["upper"]
    assert {k: v for k, v in now.items() if k != "basis"} == {k: v for k, v in shown["after"].items() if k != "basis"}


def test_one_case_is_given_whole(site: Site) -> None:
    site.claim(width=0.875 * 25.4, document="example.org/a")
    site.claim("ben", width=25.4, document="example.org/b")
    case, _ = site.case()
    whole: Any = site.get(f"/v1/reviews/{case}", who="mia").json
    assert {"published", "claims", "decisions", "contributors", "siblings", "rule", "stake", "asked"} <= set(whole)
    assert {c["state"] for c in whole["claims"]} >= {"conflicting"}
    assert F2 in {s["frame"] for s in whole["siblings"]}
    assert "too_few_confirm" in whole["rule"]["held"] or "evidence_undecided" in whole["rule"]["held"]


def test_the_second_of_two_is_told_what_changed(site: Site) -> None:
    claim = site.claim().json["claim"]["id"]
    case, tag = site.case()
    assert site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="mia", match=tag).status_code == 201
    late = site.post(f"/v1/reviews/{case}/decisions", settle([claim]), who="max", match=tag)
    assert (late.status_code, [e["kind"] for e in late.json["changed"]]) == (412, ["decision_made"])


def test_a_withdrawn_record_is_restored_by_its_histories_tag(site: Site) -> None:
    before = site.get(f"/v1/frames/{F1}").data
    tag = site.get(f"/v1/frames/{F1}").headers["ETag"]
    edits = f"/v1/frames/{F1}/edits"
    assert site.post(edits, {"edit": "withdraw", "why": "x"}, who="mia", match=tag).status_code == 201
    assert site.get(f"/v1/frames/{F1}").status_code == 410
    tag = site.get(f"/v1/frames/{F1}/history").headers["ETag"]
    assert site.post(edits, {"edit": "restore", "why": "it was right"}, who="max", match=tag).status_code == 201
    assert site.get(f"/v1/frames/{F1}").data == before


def test_own_claims_are_listed_page_by_page_and_nobody_elses(site: Site) -> None:
    for n in range(3):
        site.claim(document=f"example.org/{n}")
    site.claim("ben", document="example.org/ben")
    page = site.get("/v1/account/claims?limit=2", who="ann")
    assert len(page.json["claims"]) == 2
    link = page.headers["Link"].split(";")[0].strip("<>")
    rest = site.get(link, who="ann")
    assert (len(rest.json["claims"]), "Link" in rest.headers) == (1, False)
    assert {c["claim"]["state"] for c in rest.json["claims"]} == {"submitted"}
    assert page.json["claims"][0]["waits_days"] >= 0


def test_ends_of_another_pair_need_both_names(site: Site) -> None:
    tag = site.get(f"/v1/frames/{F1}").headers["ETag"]
    source = {"kind": "manual", "document": "a manual", "seen_on": "2026-05-01"}
    body = {"edit": "same_ends", "same_ends": {"source": source}, "why": "x"}
    told = site.post(f"/v1/frames/{F1}/edits", body, who="mia", match=tag)
    assert (told.status_code, told.json["errors"][0]["pointer"]) == (422, "/same_ends/names")


def test_a_flag_is_a_claim_of_nobody(site: Site) -> None:
    site.post("/v1/flags", FLAG)
    body = page_claim()
    assert site.post("/v1/claims", body, who="ann").json["claim"]["state"] == "submitted"
