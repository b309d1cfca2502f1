"""Quotas: counted by address or person, told in headers, and never more than the quota let through."""

from __future__ import annotations

import pytest

from boltspan.http.limits import Left, MemoryCounters, OverLimit, Policy, caller
from tests.http.world import F1, Site, page_claim


def test_a_quota_lets_just_so_many_through_and_then_says_when_to_come_back(site: Site) -> None:
    app = site.build(lookup_quota=5)
    statuses = [site.get("/v1/makes", app=app).status_code for _ in range(5)]
    assert statuses == [200] * 5
    sent = site.get("/v1/makes", app=app)
    assert (sent.status_code, sent.json["code"]) == (429, "too_many")
    assert 1 <= int(sent.headers["Retry-After"]) <= 60
    assert sent.headers["RateLimit-Policy"] == '"lookup";q=5;w=60'
    assert sent.headers["RateLimit"].startswith('"lookup";r=0;t=')
    assert sent.headers["Access-Control-Allow-Origin"] == "*"
    assert site.get("/livez", app=app).status_code == 200
    assert site.post("/v1/bench/labels", {"text": "x"}, app=app, key=None).status_code == 200


def test_published_answers_are_exempt_and_say_the_policy_only(site: Site) -> None:
    app = site.build(lookup_quota=1)
    for _ in range(5):
        sent = site.get(f"/v1/frames/{F1}", app=app)
        assert sent.status_code == 200
        assert sent.headers["RateLimit-Policy"] == '"lookup";q=1;w=60'
        assert "RateLimit" not in sent.headers
    assert [site.get("/v1/frames/f-zzzzzzzzzz", app=app).status_code for _ in range(2)] == [404, 429]


def test_the_bench_takes_at_least_300_a_minute(site: Site) -> None:
    app = site.build()
    client = app.test_client()
    statuses = {client.post("/v1/bench/labels", json={"text": "30 x M8"}).status_code for _ in range(320)}
    assert statuses == {200}
    assert app.parts.policies.bench.quota >= 300


def test_writes_are_counted_for_the_person_in_all_workers(site: Site) -> None:
    workers = [site.build(write_quota=3) for _ in range(2)]
    statuses = [
        site.post("/v1/claims", page_claim(document=f"example.org/{n}"), who="ann", app=workers[n % 2]).status_code
        for n in range(5)
    ]
    assert statuses == [201, 201, 201, 429, 429]
    sent = site.post("/v1/claims", page_claim(document="example.org/x"), who="ben", app=workers[0])
    assert sent.status_code == 201
    assert sent.headers["RateLimit"].startswith('"write";r=2;')


def test_refused_writes_count_too(site: Site) -> None:
    app = site.build(write_quota=2)
    sent = [site.post("/v1/claims", {}, who="ann", app=app).status_code for _ in range(4)]
    assert sent == [422, 422, 429, 429]


def test_pages_that_search_are_counted(site: Site) -> None:
    app = site.build(lookup_quota=1)
    assert [site.get("/?q=skerry", app=app).status_code for _ in range(2)] == [200, 429]
    assert site.get("/", app=app).status_code == 200


def test_without_limits_nothing_is_said(site: Site) -> None:
    sent = site.get("/v1/makes")
    assert not [k for k in dict(sent.headers) if k.startswith("RateLimit")]


def test_addresses_behind_a_proxy_are_believed_only_when_set(site: Site) -> None:
    for hops, expected in ((0, [200, 429]), (1, [200, 200])):
        app = site.build(lookup_quota=1, trusted_proxies=hops)
        sent = [
            site.get("/v1/makes", app=app, headers={"X-Forwarded-For": f"203.0.113.{n}"}).status_code for n in (1, 2)
        ]
        assert sent == expected


def test_a_window_starts_anew_and_others_are_counted_for_themselves() -> None:
    now = 120.0
    counters = MemoryCounters(lambda: now)
    policy = Policy("lookup", 2)
    assert counters.hit(policy, "a") == Left(policy, 1, 60)
    counters.hit(policy, "a")
    now = 179.5
    with pytest.raises(OverLimit) as over:
        counters.hit(policy, "a")
    assert over.value.retry_after_s == 1
    assert counters.hit(policy, "b").remaining == 1
    now = 180.0
    assert counters.hit(policy, "a").remaining == 1


def test_memory_stays_bounded_when_addresses_do_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("boltspan.http.limits.MOST_KEPT", 3)
    counters = MemoryCounters(lambda: 0.0)
    policy = Policy("lookup", 2)
    for n in range(5):
        counters.hit(policy, str(n))
    with pytest.raises(OverLimit):
        counters.hit(policy, "5")
    assert counters.hit(policy, "0").remaining == 0


@pytest.mark.parametrize(
    ("address", "counted_by"),
    [
        ("203.0.113.9", "203.0.113.9"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::"),
        ("2001:db8:1:2::1", "2001:db8:1:2::"),
        ("::ffff:203.0.113.9", "203.0.113.9"),
        ("", "unknown"),
        (None, "unknown"),
    ],
)
def test_an_ipv6_subscriber_is_one_caller(address: str | None, counted_by: str) -> None:
    assert caller(address) == counted_by
