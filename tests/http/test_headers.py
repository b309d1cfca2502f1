"""What answers carry: validators, how long they may be kept, who may read them, what guards them."""

from __future__ import annotations

import re

import pytest

from tests.http.world import F1, MERGED, WITHDRAWN, Site

LOOKUP = "public, max-age=60, stale-while-revalidate=60"
READ = ("/v1/makes", "/v1/frames", f"/v1/frames/{F1}", f"/v1/frames/{F1}/claims", f"/v1/frames/{F1}/history",
        "/v1/makes/tarnvale/skerry/2021", "/v1/changes", "/v1/vocabulary", "/v1/releases", "/openapi.json")  # fmt: skip


@pytest.mark.parametrize("path", READ)
def test_what_is_read_has_a_strong_etag_and_is_not_sent_twice(site: Site, path: str) -> None:
    first = site.get(path)
    tag = first.headers["ETag"]
    assert tag.startswith('"')
    assert first.headers["Cache-Control"] == LOOKUP
    for header in (tag, f'"other", {tag}', f"W/{tag}", "*"):
        again = site.get(path, headers={"If-None-Match": header})
        assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", tag)
        assert again.headers["Cache-Control"] == LOOKUP
        assert again.headers.get("Vary") == first.headers.get("Vary")
        assert "Content-Type" not in again.headers
    assert site.get(path, headers={"If-None-Match": '"other"'}).status_code == 200
    head = site.send("HEAD", path)
    assert (head.status_code, head.data) == (200, b"")
    skip = ("X-Request-Id", "RateLimit")
    assert {k: v for k, v in head.headers if k not in skip} == {k: v for k, v in first.headers if k not in skip}


def test_the_etag_moves_with_the_content_only(site: Site) -> None:
    path = f"/v1/frames/{F1}"
    before = site.get(path).headers["ETag"]
    assert site.get(path, app=site.build()).headers["ETag"] == before
    site.claim()
    after = site.get(path)
    assert after.headers["ETag"] != before
    assert site.get(path, headers={"If-None-Match": before}).status_code == 200


def test_private_answers_and_problems_are_not_stored(site: Site) -> None:
    claim = site.claim().headers["Location"]
    for path, who in ((claim, "ann"), ("/v1/reviews", "mia"), ("/v1/nothing", None), ("/v1/claims/x", None)):
        assert site.get(path, who=who).headers["Cache-Control"] == "no-store"
    assert site.get(f"/v1/frames/{F1}/claims", who="ann").headers["Cache-Control"] == "no-store"
    for gone in (MERGED, WITHDRAWN):
        assert site.get(f"/v1/frames/{gone}").headers["Cache-Control"] == LOOKUP


@pytest.mark.parametrize("path", [*READ, "/v1/nothing", f"/v1/frames/{WITHDRAWN}", "/v1/frames?x=1"])
def test_a_shops_page_may_read_what_is_public(site: Site, path: str) -> None:
    sent = site.get(path, headers={"Origin": "https://shop.example"})
    assert sent.headers["Access-Control-Allow-Origin"] == "*"
    assert "Access-Control-Allow-Credentials" not in sent.headers
    exposed = set(sent.headers["Access-Control-Expose-Headers"].split(", "))
    assert exposed >= {"ETag", "Link", "RateLimit", "RateLimit-Policy", "Retry-After", "Location"}


def test_a_shops_page_may_ask_many_questions_and_the_bench(site: Site) -> None:
    asked = {
        "/v1/lookups": {"questions": [{"q": "skerry"}]},
        "/v1/bench/labels": {"text": "30 x M8"},
    }
    for path, body in asked.items():
        assert site.post(path, body, key=None).headers["Access-Control-Allow-Origin"] == "*"
        preflight = site.send("OPTIONS", path, headers={"Access-Control-Request-Method": "POST"})
        assert preflight.headers["Access-Control-Allow-Methods"] == "POST"
        assert "Content-Type" in preflight.headers["Access-Control-Allow-Headers"]
        assert int(preflight.headers["Access-Control-Max-Age"]) >= 3600


def test_nobody_elses_page_may_write_or_read_what_is_private(site: Site) -> None:
    for path in ("/v1/claims", "/v1/frames"):
        preflight = site.send("OPTIONS", path, headers={"Access-Control-Request-Method": "POST"})
        assert "Access-Control-Allow-Origin" not in preflight.headers
    reading = site.send("OPTIONS", "/v1/frames", headers={"Access-Control-Request-Method": "GET"})
    assert reading.headers["Access-Control-Allow-Methods"] == "GET, HEAD"
    assert "Authorization" not in reading.headers["Access-Control-Allow-Headers"]
    assert "Access-Control-Allow-Origin" not in site.get("/v1/reviews", who="mia").headers
    assert "Access-Control-Allow-Origin" not in site.claim().headers


@pytest.mark.parametrize("path", ["/v1/makes", "/v1/nothing", f"/v1/frames/{F1}", "/static/boltspan.css", "/livez"])
def test_no_answer_is_taken_for_another_type(site: Site, path: str) -> None:
    for _ in range(2):  # the second time the frame comes from memory
        assert site.get(path).headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("path", ["/", "/?q=skerry", "/docs", "/problems", "/problems/stale", "/problems/nothing"])
def test_pages_are_guarded(site: Site, path: str) -> None:
    sent = site.get(path)
    assert sent.headers["X-Content-Type-Options"] == "nosniff"
    assert sent.headers["Referrer-Policy"] == "same-origin"
    policy = sent.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert "script-src" not in policy
    assert "connect-src" not in policy


@pytest.mark.parametrize(
    ("asked", "scripts"),
    [
        ("", []),
        (f"?frame={F1}", []),
        (f"?frame={F1}&subject=lower&kind=measured", ["/static/as_typed.js"]),
        (f"?frame={F1}&subject=shock_size&kind=manual", ["/static/as_typed.js"]),
        ("?frame=f-zzzzzzzzzz", []),
    ],
)
def test_a_page_may_run_the_script_it_names_and_no_other_page_any(site: Site, asked: str, scripts: list[str]) -> None:
    sent = site.get(f"/submit{asked}")
    assert re.findall("<script([^>]*)>([^<]*)</script>", sent.text) == [(f' src="{s}" defer', "") for s in scripts]
    policy = sent.headers["Content-Security-Policy"].split("; ")
    assert [d for d in policy if "script" in d or "connect" in d] == (
        ["script-src 'self'", "connect-src 'self'"] if scripts else []
    )
    assert policy[0] == "default-src 'none'"
    assert not any(word in d for d in policy for word in ("unsafe", "*", "http"))
    for script in scripts:
        assert site.get(script).mimetype == "text/javascript"


def test_a_shops_page_may_read_that_a_method_is_refused(site: Site) -> None:
    refused = site.send("DELETE", "/v1/makes", headers={"Origin": "https://shop.example"})
    assert (refused.status_code, refused.headers["Access-Control-Allow-Origin"]) == (405, "*")
    assert "Allow" in refused.headers["Access-Control-Expose-Headers"].split(", ")
