"""For those who run the service: life, readiness, counters by route template, log lines without secrets, ids."""

from __future__ import annotations

import re

from tests.http.world import F1, Site, page_claim


def test_life_touches_nothing_and_readiness_looks(site: Site) -> None:
    assert site.get("/livez").text == "live\n"
    ready = site.get("/readyz")
    assert (ready.status_code, ready.json) == (200, {"status": "ready"})


def test_counters_are_by_template_and_never_by_id(site: Site) -> None:
    for path in (f"/v1/frames/{F1}", f"/v1/frames/{F1}", "/v1/frames/f-zzzzzzzzzz", "/nothing/at/all"):
        site.get(path)
    assert site.get("/metrics").status_code == 401
    assert site.get("/metrics", who="mia").status_code == 403
    sent = site.get("/metrics", who="ops")
    assert sent.content_type.startswith("text/plain; version=0.0.4")
    text = sent.text
    assert F1 not in text
    for route, status, count in (
        ("/v1/frames/{frame_id}", 200, 2),
        ("/v1/frames/{frame_id}", 404, 1),
        ("(none)", 404, 1),
    ):
        labels = rf'method="GET",route="{re.escape(route)}",status="{status}",worker="\d+"'
        line = rf"boltspan_requests_total\{{{labels}\}} {count}\n"
        assert re.search(line, text), text
    assert re.search(r'boltspan_ready_hits_total\{worker="\d+"\} 1\n', text)
    for line in text.splitlines():
        assert re.fullmatch(r'# (HELP|TYPE) \w+ .+|\w+\{(\w+="[^"]*",?)+\} [0-9.e+-]+', line), line  # format 0.0.4
    buckets = [int(n) for n in re.findall(r'seconds_bucket\{route="\(none\)".*?\} (\d+)', text)]
    assert buckets == sorted(buckets)
    assert buckets[-1] == 1


def test_a_caller_may_name_the_request_when_the_name_is_sane(site: Site) -> None:
    for given, kept in (("order-4711.retry_2", True), ("short", False), ("x" * 65, False), ('a"b\\c; d=efgh', False)):
        for path in ("/v1/makes", "/nothing"):
            sent = site.get(path, headers={"X-Request-Id": given})
            assert (sent.headers["X-Request-Id"] == given) == kept
    ids = {site.get("/v1/makes").headers["X-Request-Id"] for _ in range(50)}
    assert len(ids) == 50


def test_every_request_is_one_line_and_no_line_holds_a_secret(site: Site) -> None:
    token = site.tokens["ann"]
    site.lines.clear()
    site.claim()
    site.get(f"/v1/frames?access_token={token}")
    site.get(f"/v1/frames/{token}")
    site.get("/v1/claims/x", headers={"Authorization": f"Bearer {token}x"})
    site.get("/?q=skerry")
    assert [(line["method"], line["route"], line["status"]) for line in site.lines] == [
        ("POST", "/v1/claims", 201),
        ("GET", "/v1/frames", 422),
        ("GET", "/v1/frames/{frame_id}", 404),
        ("GET", "/v1/claims/{claim_id}", 401),
        ("GET", "/", 200),
    ]
    for line in site.lines:
        assert set(line) == {"at", "method", "route", "path", "status", "ms", "bytes", "request_id"}
        assert token[12:40] not in str(line)
    assert site.lines[0]["bytes"] > 0


def test_a_token_is_kept_nowhere_but_as_a_hash(site: Site, migrated_url: str) -> None:
    from sqlalchemy import create_engine, inspect, text

    site.claim()
    engine = create_engine(migrated_url)
    with engine.connect() as connection:
        for table in inspect(engine).get_table_names():
            for row in connection.execute(text(f"SELECT * FROM {table}")):
                assert site.tokens["ann"][12:55] not in str(tuple(row))
    engine.dispose()


def test_a_token_shows_when_it_was_last_used_to_write(site: Site) -> None:
    def last_used() -> str | None:
        with site.storage.reading() as uow:
            token = uow.accounts.token(site.tokens["ann"].split("_")[1])
        assert token is not None
        return token.last_used_on

    site.get("/v1/claims/x", who="ann")
    assert last_used() is None
    site.claim()
    assert last_used() == "2026-06-01"


def test_a_sender_cannot_state_what_the_service_works_out(site: Site) -> None:
    before = site.last()
    for field in ("state", "confidence", "contributor", "id", "by", "sequence", "standing", "listed"):
        assert site.post("/v1/claims", page_claim() | {field: "accepted"}, who="ann").status_code == 422
    assert site.last() == before


def test_anothers_claim_looks_like_one_that_is_not(site: Site) -> None:
    path = site.claim().headers["Location"]
    other = site.get(path, who="ben")
    missing = site.get("/v1/claims/c-zzzzzzzzzz", who="ben")
    assert other.status_code == missing.status_code == 404
    assert other.json["title"] == missing.json["title"]
