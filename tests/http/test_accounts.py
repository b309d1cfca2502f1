"""Accounts over HTTP: sign-up, own tokens and data, leaving, blocking, lost tokens."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from werkzeug.test import TestResponse

from boltspan.services.permissions import ROLES
from tests.http.world import F1, Site, page_claim


def signed_up(site: Site, handle: str | None = "north-bench", **options: Any) -> TestResponse:
    """Sign up and return the answer."""
    body = {"terms": "1"} | ({} if handle is None else {"handle": handle})
    return site.post("/v1/accounts", body, key=options.pop("key", str(uuid.uuid4())), **options)


def test_a_stranger_signs_up_and_submits_with_the_token(site: Site) -> None:
    sent = signed_up(site)
    assert sent.status_code == 201, sent.text
    body = sent.json
    assert (body["account"]["role"], body["account"]["handle"], body["account"]["terms"]) == (
        "contributor",
        "north-bench",
        "1",
    )
    assert sent.headers["Cache-Control"] == "no-store"
    own = site.get("/v1/account", who=body["token"]).json
    assert own["id"] == body["account"]["id"]
    assert own["tokens"][0] | {"scopes": []} == {
        "id": body["token_id"], "state": "valid", "issued_on": "2026-06-01", "expires_on": "2027-06-01", "scopes": [],
    }  # fmt: skip
    assert set(own["tokens"][0]["scopes"]) == ROLES["contributor"]
    assert site.post("/v1/claims", page_claim(), who=body["token"]).status_code == 201
    again = site.get("/v1/account", who=body["token"]).json
    assert (again["last_active_on"], again["tokens"][0]["last_used_on"]) == ("2026-06-01", "2026-06-01")


def test_reading_writes_nothing_down(site: Site) -> None:
    token = signed_up(site).json["token"]
    for _ in range(3):
        site.get("/v1/account", who=token)
    own = site.get("/v1/account", who=token).json
    assert "last_active_on" not in own
    assert "last_used_on" not in own["tokens"][0]


def test_a_repeated_sign_up_makes_one_account_and_tells_no_token_twice(site: Site) -> None:
    key = str(uuid.uuid4())
    first, second = signed_up(site, key=key), signed_up(site, key=key)
    assert second.status_code == 201
    assert second.json == {k: v for k, v in first.json.items() if k != "token"}
    assert signed_up(site, "somebody else", key=key).json["code"] == "key_reused"
    secret = first.json["token"][12:55]
    with site.storage.reading() as uow:
        kept = uow.keys.saved("anybody /v1/accounts", key)
    assert kept is not None
    assert secret not in repr(kept)


def test_a_sign_up_needs_the_terms_and_a_key_that_nobody_else_has(site: Site) -> None:
    for body, pointer in (({}, "/terms"), ({"terms": "0"}, "/terms"), ({"terms": "1", "role": "operator"}, "/role")):
        sent = site.post("/v1/accounts", body, key=str(uuid.uuid4()))
        assert (sent.status_code, sent.json["errors"][0]["pointer"]) == (422, pointer)
    sent = signed_up(site, key="key-1")
    assert (sent.status_code, sent.json["errors"][0]["code"]) == (422, "bad_key")
    assert signed_up(site, key=None).json["code"] == "key_missing"


@pytest.mark.parametrize("handle", ["ANN", "Ann", "rule", "Ru1e", "r.u.l.e", "rule 1", "boltspan", "p-8d1r6k3x0a",
                                    "аnn", "a\u200bnn", "<b>", "-ann", "a--b", "=ann", "ａnn"])  # fmt: skip
def test_handles_are_unique_and_pass_for_nobody_else(site: Site, handle: str) -> None:
    sent = signed_up(site, handle)
    assert sent.status_code == 422, sent.text
    assert sent.json["errors"][0]["pointer"] == "/handle"


@pytest.mark.parametrize("handle", [None, "North.B", "Łożysko", "Втулка", "北 の 工房", "mech_7", "ruler"])
def test_handles_of_any_script_are_taken(site: Site, handle: str | None) -> None:
    assert signed_up(site, handle).status_code == 201


@pytest.mark.parametrize(
    ("known", "handle"),
    [
        ("scope", "ѕсоре"),  # the example of Unicode Technical Standard #39, section 4: all letters Cyrillic
        ("НОР-2", "HOP-2"), ("Bill", "BiII"), ("ivo 10", "ivo_l0"), ("corner", "comer"), ("Νοα", "Noa"),
    ],
)  # fmt: skip
def test_a_handle_that_looks_like_another_is_refused(site: Site, known: str, handle: str) -> None:
    assert signed_up(site, known).status_code == 201
    sent = signed_up(site, handle)
    assert (sent.status_code, [e["code"] for e in sent.json["errors"]]) == (422, ["handle_looks_taken"])


def test_sign_ups_from_one_address_are_limited_in_all_workers(site: Site) -> None:
    workers = [site.build(sign_up_quota=3) for _ in range(2)]
    statuses = [signed_up(site, None, app=workers[n % 2]).status_code for n in range(5)]
    assert statuses == [201, 201, 201, 429, 429]
    assert signed_up(site, None, app=workers[0]).headers["RateLimit-Policy"] == '"sign_up";q=3;w=3600'


def test_own_tokens_are_made_narrow_listed_and_revoked(site: Site) -> None:
    sent = site.post("/v1/account/tokens", {"scopes": ["see_own", "manage_own_tokens"], "days": 7}, who="ann")
    assert (sent.status_code, sent.json["expires_on"]) == (201, "2026-06-08")
    narrow = sent.json["token"]
    assert site.post("/v1/claims", page_claim(), who=narrow).status_code == 403
    wider = site.post("/v1/account/tokens", {"scopes": ["submit_claim"]}, who=narrow)
    assert (wider.status_code, wider.json["errors"][0]["pointer"]) == (422, "/scopes/0")
    same = site.post("/v1/account/tokens", {}, who=narrow)
    assert same.json["scopes"] == ["manage_own_tokens", "see_own"]
    assert site.send("DELETE", f"/v1/account/tokens/{sent.json['id']}", who="ben").status_code == 404
    gone = site.send("DELETE", f"/v1/account/tokens/{sent.json['id']}", who="ann")
    assert (gone.status_code, gone.json["state"]) == (200, "revoked")
    assert site.get("/v1/account", who=narrow).status_code == 401
    states = [t["state"] for t in site.get("/v1/account", who="ann").json["tokens"]]
    assert sorted(states) == ["revoked", "valid", "valid"]


def test_contributors_take_all_their_data_out(site: Site) -> None:
    claim = site.claim("ann").json["claim"]["id"]
    site.claim("ben", document="example.org/b")
    proposal = {
        "make": {"name": "Tarnvale"},
        "model": {"name": "Holm"},
        "years": {"from": 2025},
        "ends": ["upper", "lower"],
    }
    site.post("/v1/frames", proposal, who="ann")
    data = site.get("/v1/account/data", who="ann").json
    assert [c["claim"]["id"] for c in data["claims"]] == [claim]
    assert (data["claims"][0]["frame"], data["claims"][0]["state"]) == (F1, "submitted")
    assert [p["model"] for p in data["proposals"]] == ["holm"]
    assert data["account"]["handle"] == "ann"
    assert "secret" not in json.dumps(data)
    assert site.get("/v1/account/data").status_code == 401


def test_leaving_keeps_the_facts_and_drops_the_name(site: Site) -> None:
    claim = site.claim("ann").json["claim"]
    person = claim["source"]["by"]
    other = site.post("/v1/account/departure", {"id": "p-0000000000"}, who="ann")
    assert (other.status_code, other.json["errors"][0]["code"]) == (422, "not_own_id")
    left = site.post("/v1/account/departure", {"id": person}, who="ann")
    assert left.json == {"id": person, "role": "contributor", "created_on": "2026-06-01", "left_on": "2026-06-01",
                         "last_active_on": "2026-06-01"}  # fmt: skip
    assert site.get("/v1/account", who="ann").status_code == 401
    stays = site.get(f"/v1/frames/{F1}/claims").json["subjects"]["upper"]["claims"]
    assert person in {c["source"]["by"] for c in stays}
    assert signed_up(site, "ann").status_code == 201  # the name is free again


def test_an_operator_blocks_and_lets_in_again(site: Site) -> None:
    person = site.claim("ann").json["claim"]["source"]["by"]
    path = f"/v1/accounts/{person}/blocking"
    for who, status in (("ann", 403), ("mia", 403), (None, 401)):
        assert site.post(path, {"blocked": True, "why": "x"}, who=who).status_code == status
    assert site.post(path, {"blocked": True, "why": "invented readings"}, who="ops").json["blocked"] is True
    assert site.get("/v1/account", who="ann").status_code == 401
    events = site.last()
    assert site.post(path, {"blocked": True, "why": "again"}, who="ops").status_code == 200
    assert site.last() == events
    assert "blocked" not in site.post(path, {"blocked": False, "why": "a mix-up"}, who="ops").json
    assert site.get("/v1/account", who="ann").status_code == 200
    own = site.get("/v1/account", who="ops").json["id"]
    assert site.post(f"/v1/accounts/{own}/blocking", {"blocked": True, "why": "x"}, who="ops").status_code == 409
    assert site.post("/v1/accounts/p-zzzzzzzzzz/blocking", {"blocked": True, "why": "x"}, who="ops").status_code == 404


def test_an_operator_replaces_a_lost_token(site: Site) -> None:
    person = site.get("/v1/account", who="ann").json["id"]
    assert site.post(f"/v1/accounts/{person}/tokens", {"why": "lost"}, who="mia").status_code == 403
    sent = site.post(f"/v1/accounts/{person}/tokens", {"why": "lost"}, who="ops", key="one")
    assert sent.status_code == 201
    assert site.get("/v1/account", who="ann").status_code == 401
    assert site.get("/v1/account", who=sent.json["token"]).json["id"] == person
    again = site.post(f"/v1/accounts/{person}/tokens", {"why": "lost"}, who="ops", key="one")
    assert "token" not in again.json
    shown = site.get(f"/v1/accounts/{person}", who="ops").json
    assert sorted(t["state"] for t in shown["tokens"]) == ["revoked", "valid"]
    public = site.get("/v1/changes?limit=1000").json["changes"]
    assert person not in json.dumps([e for e in public if e["kind"] == "token_replaced"])
