"""Looking up over HTTP: what is found, what leads elsewhere, pages of lists, the feed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.http.world import DIVIDED, EARLY, F1, F2, LATE, MERGED, OTHER, WITHDRAWN, Site

Json = dict[str, Any]


def ids(found: Json) -> list[str]:
    return [f["id"] for f in found["frames"]]


def test_makes_models_and_years(site: Site) -> None:
    assert [m["slug"] for m in site.get("/v1/makes").json["makes"]] == ["quillhope", "tarnvale"]
    make = site.get("/v1/makes/tarnvale").json
    assert make["models"] == [
        {
            "name": "Skerry",
            "slug": "skerry",
            "years": [{"from": 2016, "to": 2017}, {"from": 2021, "to": 2023}, {"from": 2024}],
        }
    ]  # fmt: skip
    assert site.get("/v1/makes/nobody").status_code == 404


def test_a_year_answers_with_every_candidate_and_the_question_between_them(site: Site) -> None:
    one = site.get("/v1/makes/tarnvale/skerry/2021").json
    assert (one["outcome"], ids(one), one["demo"]) == ("one", [F1], True)
    two = site.get("/v1/makes/tarnvale/skerry/2016").json
    assert two["outcome"] == "several"
    assert set(ids(two)) == {EARLY, LATE}
    assert "TV16" in two["ask"]
    none = site.get("/v1/makes/tarnvale/skerry/2010").json
    assert (none["outcome"], none["frames"]) == ("unknown", [])


def test_a_frame_answers_with_both_ends_and_every_caution(site: Site) -> None:
    found = site.get(f"/v1/frames/{F1}").json
    assert list(found["ends"]) == ["upper", "lower"]
    assert found["ends"]["upper"]["value"] == {
        "mount": "hardware",
        "bolt_mm": 8,
        "width_mm": 22.2,
        "label": "M8 x 22.2",
    }
    assert found["ends"]["lower"] == {
        "standing": "unknown", "advice": "do_not_sell", "basis": {"claims": 0, "independent": 0},
    }  # fmt: skip
    texts = site.get("/v1/vocabulary").json["cautions"]
    assert set(found["cautions"]) <= set(texts)
    assert len(found["cautions"]) == 7


def test_records_that_answer_no_more_lead_on(site: Site) -> None:
    moved = site.get(f"/v1/frames/{MERGED}")
    assert (moved.status_code, moved.headers["Location"]) == (308, f"/v1/frames/{F1}")
    divided = site.get(f"/v1/frames/{DIVIDED}")
    assert (divided.status_code, divided.json["ask_instead"]) == (410, [EARLY, LATE])
    withdrawn = site.get(f"/v1/frames/{WITHDRAWN}")
    assert (withdrawn.status_code, withdrawn.json["why"]) == (410, "there was no such frame")
    for unknown in ("f-zzzzzzzzzz", "f-", "nonsense"):
        assert site.get(f"/v1/frames/{unknown}").status_code == 404


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("make=quillhope", [OTHER]),
        ("make=tarnvale&model=skerry&year=2022", [F1]),
        ("year=2024", [OTHER, F2]),
        ("bolt_mm=8&width_mm=22.2", [F1]),
        ("bolt_mm=8.0&width_mm=22.225", [F1]),
        ("bolt_mm=8&width_mm=22.23", [F1]),
        ("bolt_mm=8&width_mm=22.2300001", [F1]),
        ("bolt_mm=8&width_mm=22.231", []),
        ("mount=hardware", [F1]),
        ("mount=trunnion", []),
        ("standing=provisional", [F1]),
        ("make=nobody", []),
        ("q=tarnvale+skery+2021", [F1]),
        ("q=zzzzzzzz", []),
    ],
)
def test_frames_are_found_by_name_year_and_exact_size(site: Site, query: str, expected: list[str]) -> None:
    assert ids(site.get(f"/v1/frames?{query}").json) == expected


def test_pages_hold_every_frame_once_though_some_are_added_between(site: Site) -> None:
    everything = ids(site.get("/v1/frames").json)
    seen: list[str] = []
    path = "/v1/frames?limit=2"
    for _ in range(10):
        page = site.get(path)
        seen += ids(page.json)
        if (link := page.headers.get("Link")) is None:
            break
        path, relation = link.split("; ")
        assert relation == 'rel="next"'
        path = path.strip("<>")
        site.claim(document=f"example.org/{len(seen)}")  # events in between change no place
    assert seen == everything
    assert len(set(seen)) == len(seen) == 5


def test_a_year_beyond_the_evidence_is_never_settled(site: Site) -> None:
    claim = site.claim(frame=F2).json["claim"]["id"]
    reviews = site.get("/v1/reviews", who="mia").json["reviews"]
    case = next(c for c in reviews if c["frame"] == F2)
    tag = site.get(f"/v1/reviews/{case['id']}", who="mia").headers["ETag"]
    body = {"ruling": "settle", "rests_on": [claim], "why": "the page says so",
            "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2}}  # fmt: skip
    assert site.post(f"/v1/reviews/{case['id']}/decisions", body, who="mia", match=tag).status_code == 201
    standing = {year: site.get(f"/v1/frames?make=tarnvale&year={year}").json["frames"][0]["ends"]["upper"]["standing"]
                for year in (2026, 2028)}  # fmt: skip
    assert standing == {2026: "settled", 2028: "provisional"}


def test_claims_history_and_the_feed_tell_all_in_order(site: Site) -> None:
    claims = site.get(f"/v1/frames/{F1}/claims").json
    assert [len(claims["subjects"][s]["claims"]) for s in ("shock_size", "upper", "lower")] == [0, 3, 0]
    site.claim()
    history = site.get(f"/v1/frames/{F1}/history").json["history"]
    assert [e["kind"] for e in history] == ["frame_added", "claim_submitted"]
    seen: list[int] = []
    since = 0
    while True:
        page = site.get(f"/v1/changes?since={since}&limit=3").json
        seen += [e["event"] for e in page["changes"]]
        if page["next_since"] == since:
            break
        since = page["next_since"]
    assert seen == list(range(1, site.last() + 1))
    assert site.get(f"/v1/changes?since={site.last() + 1}").status_code == 422


def test_what_a_contributor_wrote_is_shown_after_the_review_only(site: Site) -> None:
    source = {"kind": "spec_page", "url": "https://example.org/a", "seen_on": "2026-05-01", "quote": "call me at home"}
    claim = site.claim(source=source).json["claim"]["id"]

    def quote(who: str | None) -> str | None:
        said = site.get(f"/v1/frames/{F1}/claims", who=who).json["subjects"]["upper"]["claims"]
        return next(c for c in said if c["id"] == claim)["source"].get("quote")

    assert [quote(who) for who in (None, "ben", "ann", "mia")] == [None, None, "call me at home", "call me at home"]


def test_many_questions_are_answered_each_on_its_own(site: Site) -> None:
    questions = [
        {"ref": "a", "frame": F1},
        {"ref": "b", "frame": MERGED},
        {"ref": "c", "frame": DIVIDED},
        {"ref": "d", "frame": "no such id"},
        {"make": "Tarnvale", "model": "Skerry", "year": 2021},
        {"make": "tarnvale", "model": "skerry", "year": 2016},
        {"q": "brant quillhope"},
        {"bolt_mm": 8, "width_mm": 22.2},
    ]
    answers = site.post("/v1/lookups", {"questions": questions}, key=None).json["answers"]
    outcomes = [(a.get("ref"), a["outcome"], ids(a)) for a in answers]
    assert outcomes == [
        ("a", "one", [F1]),
        ("b", "one", [F1]),
        ("c", "gone", []),
        ("d", "unknown", []),
        (None, "one", [F1]),
        (None, "several", [EARLY, LATE]),
        (None, "one", [OTHER]),
        (None, "one", [F1]),
    ]
    assert answers[2]["ask_instead"] == [EARLY, LATE]
    assert site.post("/v1/lookups", {"questions": questions[:1] * 200}, key=None).status_code == 200
    assert site.post("/v1/lookups", {"questions": questions[:1] * 201}, key=None).status_code == 422


def test_the_vocabulary_leads_to_the_description(site: Site) -> None:
    found = site.get("/v1/vocabulary")
    for relation in ("service-desc", "service-doc", "license"):
        assert f'rel="{relation}"' in found.headers["Link"]
    assert set(found.json) >= {"cautions", "standings", "advice", "supply", "mounts", "label_reasons", "mistakes"}


def test_an_unknown_make_or_model_is_answered_with_the_nearest(site: Site) -> None:
    model = site.get("/v1/makes/tarnvale/skery/2021")
    assert (model.status_code, model.get_json()["nearest"][0]) == (404, "tarnvale/skerry")
    make = site.get("/v1/makes/tarnvael")
    assert (make.status_code, make.get_json()["nearest"]) == (404, ["tarnvale"])
    assert "nearest" not in site.get("/v1/makes/zzzzqqqq").get_json()
