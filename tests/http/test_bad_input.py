"""Whatever is wrong with a request is told plainly and changes nothing."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.http.world import DIVIDED, F1, MERGED, WITHDRAWN, Site, page_claim, settle

SOURCE = {"kind": "spec_page", "document": "example.org/a", "seen_on": "2026-05-01"}
VALUE = {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2}


def text_of(**more: Any) -> bytes:
    return json.dumps(page_claim(**more)).encode()


def with_source(**more: Any) -> bytes:
    return text_of(source=SOURCE | more)


def with_value(**more: Any) -> bytes:
    return text_of(value=VALUE | more)


BODIES: dict[str, tuple[bytes, int, str]] = {
    "broken": (b'{"frame": ', 400, "broken_json"),
    "empty": (b"", 400, "broken_json"),
    "two values": (b"{} {}", 400, "broken_json"),
    "a byte order mark": (b"\xef\xbb\xbf{}", 400, "broken_json"),
    "not UTF-8": (b'{"frame": "\xff"}', 400, "broken_json"),
    "NaN": (b'{"x": NaN}', 400, "broken_json"),
    "infinity": (b'{"x": -Infinity}', 400, "broken_json"),
    "out of range": (b'{"x": 1e400}', 400, "broken_json"),
    "a number of 5,000 digits": (b'{"x": ' + b"9" * 5000 + b"}", 400, "broken_json"),
    "100,000 deep": (b"[" * 100_000, 400, "broken_json"),
    "41 deep": (b"[" * 42 + b"]" * 42, 400, "broken_json"),
    "a key twice": (b'{"frame": "a", "frame": "b"}', 400, "broken_json"),
    "a key twice, far down": (b'{"a": [{"b": 1, "b": 1}]}', 400, "broken_json"),
    "over a mebibyte": (b'{"x": "' + b"a" * 1024 * 1024 + b'"}', 413, "too_large"),
    "NUL": (with_source(quote="a\0b"), 422, "bad_text"),
    "NUL in a key": (b'{"a\\u0000": 1}', 422, "bad_text"),
    "half a surrogate pair": (b'{"frame": "\\ud800"}', 422, "bad_text"),
    "no object": (b"[]", 422, "not_an_object"),
    "null": (b"null", 422, "not_an_object"),
    "nothing in it": (b"{}", 422, "field_missing"),
    "an unknown field": (text_of(confidence=1), 422, "unknown_field"),
    "an unknown field, far down": (with_source(by="p-0000000000"), 422, "unknown_field"),
    "null for a field": (text_of(years=None), 422, "null_not_taken"),
    "an unknown frame": (text_of(frame="f-zzzzzzzzzz"), 422, "unknown_frame"),
    "no frame id": (text_of(frame="skerry"), 422, "bad_length"),
    "an end of another pair": (text_of(subject="front"), 422, "end_of_another_pair"),
    "no end at all": (text_of(subject="middle"), 422, "not_one_of"),
    "a merged frame": (text_of(frame=MERGED), 422, "frame_merged"),
    "a divided frame": (text_of(frame=DIVIDED), 422, "frame_divided"),
    "a withdrawn frame": (text_of(frame=WITHDRAWN), 422, "frame_withdrawn"),
    "a bolt of 40": (with_value(bolt_mm=40), 422, "impossible_size"),
    "a width of 5": (with_value(width_mm=5), 422, "impossible_size"),
    "a width of 0": (with_value(width_mm=0), 422, "out_of_range"),
    "a width below 0": (with_value(width_mm=-22.2), 422, "out_of_range"),
    "a width as text": (with_value(width_mm="22.2"), 422, "not_a_number"),
    "a width that is true": (with_value(width_mm=True), 422, "not_a_number"),
    "seven decimal places": (with_value(width_mm=22.2222222), 422, "too_many_places"),
    "a trunnion with a size": (text_of(value={"mount": "trunnion", "width_mm": 30}), 422, "unknown_field"),
    "an unknown mount": (text_of(value={"mount": "glue"}), 422, "not_one_of"),
    "a value that says nothing": (text_of(value={}), 422, "nothing_stated"),
    "a stroke longer than its shock": (
        text_of(subject="shock_size", value={"eye_to_eye_mm": 110, "stroke_mm": 115}), 422, "stroke_longer_than_shock",
    ),
    "an end's value for a shock": (text_of(subject="shock_size"), 422, "field_not_taken"),
    "years turned round": (text_of(years={"from": 2023, "to": 2021}), 422, "years_turned"),
    "years outside": (text_of(years={"from": 1999, "to": 2001}), 422, "years_outside"),
    "a year as text": (text_of(years={"from": "2021"}), 422, "not_a_whole_number"),
    "half a year": (text_of(years={"from": 2021.5}), 422, "not_a_whole_number"),
    "seen tomorrow": (with_source(seen_on="2031-01-01"), 422, "in_the_future"),
    "a day that is not": (with_source(seen_on="2026-02-30"), 422, "bad_date"),
    "a script for an address": (with_source(url="javascript:alert(1)"), 422, "bad_url"),
    "a file for an address": (with_source(url="file:///etc/passwd"), 422, "bad_url"),
    "a user name in an address": (with_source(url="https://shop@example.org/a"), 422, "bad_url"),
    "no host": (with_source(url="https:///a"), 422, "bad_url"),
    "a zero-width mark": (with_source(quote="a\u200bb"), 422, "hidden_character"),
    "a document without a name": (text_of(source={"kind": "manual", "seen_on": "2026-05-01"}), 422, "document_missing"),
    "an unknown source": (text_of(source={"kind": "rumour", "seen_on": "2026-05-01"}), 422, "not_one_of"),
    "readings beside a page": (with_source(readings_mm={"width": [30]}), 422, "unknown_field"),
    "a claim that says nothing": (
        json.dumps({"frame": F1, "subject": "upper", "source": SOURCE}).encode(), 422, "value_missing",
    ),
    "a measurement without readings": (
        text_of(source={"kind": "measured", "seen_on": "2026-05-01"}), 422, "field_missing",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("body", "status", "code"), BODIES.values(), ids=BODIES)
def test_a_bad_claim_is_refused_and_changes_nothing(site: Site, body: bytes, status: int, code: str) -> None:
    before = site.last()
    sent = site.send("POST", "/v1/claims", raw=body, who="ann")
    assert sent.status_code == status, sent.text
    assert sent.content_type == "application/problem+json"
    told = [sent.json["code"], *(e["code"] for e in sent.json.get("errors", ()))]
    assert code in told, sent.text
    assert all(e["detail"] for e in sent.json.get("errors", ()))
    assert site.last() == before


def test_every_wrong_field_is_told_with_what_was_got_and_what_is_taken(site: Site) -> None:
    body = page_claim(value={"mount": "hardware", "bolt_mm": 40, "width_mm": "x"}, colour="red", subject=5)
    errors = {e["pointer"]: e for e in site.post("/v1/claims", body, who="ann").json["errors"]}
    assert set(errors) == {"/colour", "/subject", "/value/bolt_mm", "/value/width_mm"}
    assert errors["/value/bolt_mm"]["got"] == "40"
    assert errors["/value/bolt_mm"]["accepted"] == "over 5, at most 16 mm"
    assert errors["/colour"]["accepted"] == "frame, subject, value, label, years, source, supersedes"
    assert "shock_size" in errors["/subject"]["accepted"]


def test_the_word_that_tells_a_source_or_a_mount_is_named_when_it_is_none(site: Site) -> None:
    body = page_claim(value={"mount": "glue"}, source={"kind": "rumour", "seen_on": "2026-05-01"})
    errors = {e["pointer"]: e for e in site.post("/v1/claims", body, who="ann").json["errors"]}
    assert {at: e["got"] for at, e in errors.items()} == {"/value/mount": "glue", "/source/kind": "rumour"}
    assert "trunnion" in errors["/value/mount"]["accepted"] and "spec_page" in errors["/source/kind"]["accepted"]
    missing = site.post("/v1/claims", page_claim(source={"seen_on": "2026-05-01"}), who="ann").json["errors"]
    assert [(e["pointer"], e["code"]) for e in missing] == [("/source/kind", "field_missing")]


FRAMES: dict[str, tuple[dict[str, Any], str]] = {
    "overlapping years": ({"years": {"from": 2022, "to": 2025}}, "years_overlap"),
    "a look-alike letter": ({"model": {"name": "Skеrry"}}, "mixed_scripts"),  # the third letter is Cyrillic
    "a zero-width mark": ({"model": {"name": "Sker\u200bry"}}, "hidden_character"),
    "full width": ({"model": {"name": "Ｓkerry"}}, "lookalike_character"),
    "a direction mark": ({"model": {"name": "Skerry\u202e"}}, "hidden_character"),
    "a formula": ({"model": {"name": "=SUM(A1)"}}, "formula_character"),
    "no letter": ({"model": {"name": "..."}}, "bad_length"),
    "an unknown pair of ends": ({"ends": ["upper", "rear"]}, "bad_ends"),
    "a qualifier that says nothing": ({"qualifier": {"kind": "serial", "ask": "Which?"}}, "nothing_stated"),
    "listed by itself": ({"listed": True}, "unknown_field"),
}


@pytest.mark.parametrize(("change", "code"), FRAMES.values(), ids=FRAMES)
def test_a_bad_proposal_is_refused_and_changes_nothing(site: Site, change: dict[str, Any], code: str) -> None:
    sound = {
        "make": {"name": "Tarnvale"},
        "model": {"name": "Skerry"},
        "years": {"from": 2018, "to": 2019},
        "ends": ["upper", "lower"],
    }
    before = site.last()
    sent = site.post("/v1/frames", sound | change, who="ann")
    assert (sent.status_code, site.last()) == (422, before)
    assert code in [e["code"] for e in sent.json["errors"]], sent.text
    assert site.post("/v1/frames", sound, who="ann").status_code == 201


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("colour=red", "unknown_field"),
        ("limit=1&limit=2", "named_twice"),
        ("limit=0", "out_of_range"),
        ("limit=201", "out_of_range"),
        ("limit=1.5", "not_a_whole_number"),
        ("limit=%EF%BC%91", "not_a_whole_number"),  # a full-width digit
        ("limit=1_0", "not_a_whole_number"),
        ("year=1700", "out_of_range"),
        ("bolt_mm=M8", "not_a_number"),
        ("bolt_mm=NaN", "not_a_number"),
        ("bolt_mm=-8", "not_a_number"),
        ("bolt_mm=0", "out_of_range"),
        ("width_mm=2001", "out_of_range"),
        ("mount=glue", "not_one_of"),
        ("standing=sure", "not_one_of"),
        ("make=Tarnvale", "bad_form"),
        ("q=", "bad_length"),
        ("q=a%00b", "bad_text"),
        ("q=%ED%A0%80", "bad_text"),  # half a surrogate pair
        ("q=%FF", "bad_text"),
        ("q=%E2%80%8B", "hidden_character"),
        ("q=skerry&cursor=abc", "field_not_taken"),
        ("access_token=bs_00000000_x", "unknown_field"),
    ],
)
def test_a_bad_query_is_refused(site: Site, query: str, code: str) -> None:
    sent = site.get(f"/v1/frames?{query}")
    assert sent.status_code == 422, sent.text
    assert [e["code"] for e in sent.json["errors"]] == [code]


def test_a_bad_path_is_refused(site: Site) -> None:
    for raw in (b"/v1/frames/f-\0", b"/v1/frames/\xed\xa0\x80", b"/v1/makes/\xff", b"/\0"):
        environ = {"PATH_INFO": raw.decode("latin-1")}  # as a server hands it over (PEP 3333)
        sent = site.app.test_client().open("/", environ_overrides=environ)
        assert (sent.status_code, sent.json["errors"][0]["code"]) == (422, "bad_text")
    for path in ("/v1/makes/tarnvale/skerry/20x1", "/v1/makes/tarnvale/skerry/٢٠٢١", "/v1/makes/tarnvale/skerry/1700"):
        assert site.get(path).json["errors"][0]["code"] == "bad_year"
    for path in ("/v1/frames/", "/v1//frames", "/v1/releases/2026.01.0/files/../../etc/passwd", "/v1/nothing"):
        assert site.get(path).status_code == 404


@pytest.mark.parametrize("cursor", ["abc", "A" * 40, "_" * 200])
def test_a_forged_cursor_is_refused(site: Site, cursor: str) -> None:
    sent = site.get(f"/v1/frames?cursor={cursor}")
    assert (sent.status_code, sent.json["code"]) == (400, "bad_cursor")


def test_a_cursor_goes_on_with_its_own_question_only(site: Site) -> None:
    path = site.get("/v1/frames?limit=1").headers["Link"].split(">")[0][1:]
    assert site.get(path).status_code == 200
    assert site.get(path.replace("limit=1", "limit=3")).status_code == 200
    assert site.get(path + "&year=2021").json["code"] == "bad_cursor"
    assert site.get(path[:-1] + ("A" if path[-1] != "A" else "B")).json["code"] == "bad_cursor"


def test_a_body_of_another_type_or_compressed_is_refused(site: Site) -> None:
    body = json.dumps(page_claim()).encode()
    for headers in (
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/x-www-form-urlencoded"},
        {"Content-Type": "application/json", "Content-Encoding": "gzip"},
    ):
        sent = site.send("POST", "/v1/claims", raw=body, who="ann", headers=headers)
        assert (sent.status_code, sent.json["code"]) == (415, "unsupported_media_type")


BAD_TOKENS = {
    "malformed": "nonsense",
    "too short": "bs_00000000_short_000000",
    "unknown": "bs_00000000_" + "a" * 43 + "_000000",
    "of another scheme": None,
    "empty": "",
}


@pytest.mark.parametrize("kind", BAD_TOKENS)
def test_a_bad_token_is_refused_before_the_body_is_looked_at(site: Site, kind: str) -> None:
    token = BAD_TOKENS[kind]
    before = site.last()
    header = "Basic YTpi" if token is None else f"Bearer {token}"
    sent = site.send("POST", "/v1/claims", raw=b"not json", headers={"Authorization": header})
    assert (sent.status_code, sent.json["code"], site.last()) == (401, "not_authenticated", before)
    assert sent.headers["WWW-Authenticate"].startswith("Bearer ")
    assert site.get("/v1/makes", headers={"Authorization": header}).status_code == 401


def test_a_token_with_one_letter_changed_or_past_its_end_or_revoked_is_refused(site: Site) -> None:
    from boltspan.services.accounts import revoke_token

    token = site.tokens["ann"]
    swapped = token[:20] + ("a" if token[20] != "a" else "b") + token[21:]
    assert site.claim(swapped).status_code == 401
    site.clock.instant = "2031-06-01T08:00:00.000000Z"
    assert site.claim().status_code == 401
    site.clock.instant = "2026-06-01T08:00:00.000000Z"
    assert site.claim().status_code == 201
    with site.storage.writing() as uow:
        revoke_token(uow, site.clock, token.split("_")[1])
    assert site.claim(document="example.org/b").status_code == 401


def test_a_weak_token_is_refused(site: Site) -> None:
    before = site.last()
    for who, path, body in (
        ("rob", "/v1/claims", page_claim()),
        ("ann", "/v1/reviews", {"frame": F1, "subject": "upper", "why": "x"}),
        ("ann", f"/v1/frames/{F1}/edits", {"edit": "withdraw", "why": "x"}),
        ("ann", "/v1/reviews/q-0000000000/decisions", settle(["c-0000000001"])),
    ):
        sent = site.post(path, body, who=who, match='"x"')
        assert (sent.status_code, sent.json["code"]) == (403, "not_allowed")
        assert 'error="insufficient_scope"' in sent.headers["WWW-Authenticate"]
    assert site.get("/v1/reviews", who="ann").status_code == 403
    assert site.last() == before


def test_a_write_without_a_key_or_with_one_that_is_none_is_refused(site: Site) -> None:
    before = site.last()
    missing = site.post("/v1/claims", page_claim(), who="ann", key=None)
    assert (missing.status_code, missing.json["code"]) == (400, "key_missing")
    for key in ("x" * 129, "schlüssel", '""'):
        assert site.post("/v1/claims", page_claim(), who="ann", key=key).status_code == 422
    assert site.last() == before


def test_bad_decisions_change_nothing(site: Site) -> None:
    claim = site.claim().json["claim"]["id"]
    case, tag = site.case()
    before = site.last()
    path = f"/v1/reviews/{case}/decisions"
    for body, code in (
        ({**settle([claim]), "ruling": "guess"}, "not_one_of"),
        (settle([]), "wrong_number_of_entries"),
        (settle([claim, claim]), "named_twice"),
        (settle(["c-zzzzzzzzzz"]), "unknown_claim"),
        (settle([claim], width=24), "rests_on_contradiction"),
        ({**settle([claim]), "value": {"mount": "hardware"}}, "value_incomplete"),
        ({"ruling": "withhold", "why": " "}, "bad_length"),
        ({"ruling": "withhold", "why": "x", "value": VALUE}, "unknown_field"),
        ({"ruling": "reverse", "reverses": "d-zzzzzzzzzz", "why": "x"}, "unknown_decision"),
    ):
        sent = site.post(path, body, who="mia", match=tag)
        assert sent.status_code == 422, sent.text
        assert code in [e["code"] for e in sent.json["errors"]], sent.text
    missing = site.post(path, settle([claim]), who="mia")
    assert (missing.status_code, site.last()) == (428, before)
