"""Signing up, in and out by page: cookies that nobody else can use, forms that nobody else can send."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from boltspan.services.sessions import signed
from boltspan.services.signing import COOKIE_KEY_SETTING, KEY_SETTING, signing_key
from tests.http.world import Site
from tests.web.visit import Visit

CHANGING = (
    "/sign-up", "/sign-in", "/sign-out", "/account/tokens", "/account/tokens/revoked", "/account/leave", "/submit",
    "/submit/check", "/submit/change", "/submit/frame", "/submit/shock", "/submit/as-typed", "/wrong",
    "/claims/c-0000000001/photos",
    "/claims/c-0000000001/photos/withdrawal",
    "/claims/c-0000000001/withdrawal", "/claims/c-0000000001/answer", "/desk/open", "/desk/documents",
    "/desk/documents/check", "/desk/documents/change", "/desk/c-0000000001/check", "/desk/c-0000000001/change",
    "/desk/c-0000000001/rulings", "/desk/c-0000000001/questions", "/desk/c-0000000001/record",
    "/desk/c-0000000001/record/check", "/desk/c-0000000001/record/change",
    "/desk/people/c-0000000001/check", "/desk/people/c-0000000001/change", "/desk/people/c-0000000001/undoing",
)  # fmt: skip
"""Every page that takes a form by POST."""
TOKEN = re.compile(r"bs_[0-9a-z]{8}_[A-Za-z0-9_-]{43}_[0-9a-f]{6}")


def cookies_of(visit: Visit) -> dict[str, str]:
    """Return the cookies that the last answer set, by name, with their attributes."""
    return {c.partition("=")[0]: c for c in visit.shown.headers.getlist("Set-Cookie")}


def signed_up(site: Site, base: str = "http://localhost") -> tuple[Visit, str]:
    """Return somebody who has just signed up by page, and their token."""
    visit = Visit(site.app, base)
    visit.open("/sign-up")
    visit.send("/sign-up", {"handle": "north-bench", "terms": "1"})
    found = TOKEN.search(visit.shown.text)
    assert found is not None, visit.shown.text
    return visit, found[0]


def test_signing_up_signs_in_and_shows_the_token_once(site: Site) -> None:
    visit, token = signed_up(site)
    cookie = cookies_of(visit)["boltspan_session"]
    assert {"HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=7776000"} <= {part.strip() for part in cookie.split(";")}
    assert "Secure" not in cookie
    assert visit.shown.headers["Cache-Control"] == "no-store"
    assert "Access-Control-Allow-Origin" not in visit.open("/account").headers
    assert "north-bench" in visit.shown.text
    assert token not in visit.shown.text
    assert site.get("/v1/account", who=token).status_code == 200
    assert site.get("/v1/account", headers={"Cookie": cookie}).status_code == 401  # the API takes no cookie


def test_by_https_the_cookies_are_secure_and_bound_to_the_host(site: Site) -> None:
    visit, _ = signed_up(site, "https://localhost")
    cookie = cookies_of(visit)["__Host-boltspan_session"]
    assert {"HttpOnly", "SameSite=Lax", "Path=/", "Secure"} <= {part.strip() for part in cookie.split(";")}
    assert "Domain" not in cookie
    assert "north-bench" in visit.open("/account").text
    plain = Visit(site.app)
    plain.client.set_cookie("__Host-boltspan_session", cookie.partition("=")[2].partition(";")[0])
    assert "north-bench" not in plain.open("/account").text


def test_a_session_ends_after_90_days_by_signing_out_by_blocking_and_by_a_replaced_token(site: Site) -> None:
    visit, token = signed_up(site)
    person = site.get("/v1/account", who=token).json["id"]
    kept = visit.client.get_cookie("boltspan_session")
    assert kept is not None
    site.clock.instant = "2026-08-29T08:00:00.000000Z"
    assert "north-bench" in visit.open("/account").text
    site.clock.instant = "2026-08-31T08:00:00.000000Z"
    assert "Sign in" in visit.open("/account").text
    visit.send("/sign-in", {"token": token})
    assert "north-bench" in visit.shown.text
    kept = visit.client.get_cookie("boltspan_session")
    assert kept is not None
    visit.send("/sign-out")
    visit.client.set_cookie("boltspan_session", kept.value)  # a copy of the cookie is good for nothing either
    assert "Sign in" in visit.open("/account").text
    for act in ({"blocked": True}, {"blocked": False}):
        site.post(f"/v1/accounts/{person}/blocking", act | {"why": "x"}, who="ops")
    visit.send("/sign-in", {"token": token})
    assert "north-bench" in visit.shown.text
    site.post(f"/v1/accounts/{person}/blocking", {"blocked": True, "why": "x"}, who="ops")
    assert "Sign in" in visit.open("/account").text
    visit.send("/sign-in", {"token": token})
    assert visit.shown.status_code == 422
    site.post(f"/v1/accounts/{person}/blocking", {"blocked": False, "why": "x"}, who="ops")
    assert "Sign in" in visit.open("/account").text  # letting in again brings no old session back
    visit.send("/sign-in", {"token": token})
    site.post(f"/v1/accounts/{person}/tokens", {"why": "lost"}, who="ops")
    assert "Sign in" in visit.open("/account").text


def test_who_signed_in_with_a_found_token_is_out_when_it_is_revoked(site: Site) -> None:
    """By page the browser that revokes stays signed in; by the API nobody is."""
    visit, token = signed_up(site)
    thief = Visit(site.app)
    thief.open("/sign-in")
    thief.send("/sign-in", {"token": token})
    assert "north-bench" in thief.shown.text
    visit.open("/account")
    visit.send("/account/tokens/revoked")
    assert "north-bench" in visit.shown.text and "revoked" in visit.shown.text
    assert "Sign in" in thief.open("/account").text
    visit.send("/account/tokens")
    fresh = re.search(r"bs_[0-9a-z]{8}_[A-Za-z0-9_-]{43}_[0-9a-f]{6}", visit.shown.text)
    assert fresh is not None
    assert site.send("DELETE", f"/v1/account/tokens/{fresh[0][3:11]}", who=fresh[0]).status_code == 200
    assert "Sign in" in visit.open("/account").text


def test_a_cookie_of_ones_own_making_is_nobodys(site: Site) -> None:
    visit, _ = signed_up(site)
    kept = visit.client.get_cookie("boltspan_session")
    assert kept is not None
    secret = kept.value.partition(".")[0]
    other_key = signing_key(site.storage, KEY_SETTING)
    forged = [
        secret, f"{secret}.", kept.value[:-1] + ("0" if kept.value[-1] != "0" else "1"), signed(other_key, secret),
        signed(signing_key(site.storage, COOKIE_KEY_SETTING), "x" * 43), "", "a.b", kept.value + "\n",
    ]  # fmt: skip
    for value in forged:
        stranger = Visit(site.app)
        stranger.client.set_cookie("boltspan_session", value)
        assert "Sign in" in stranger.open("/account").text, value
    assert "north-bench" in visit.open("/account").text


def test_the_database_keeps_no_session_as_it_stands_in_the_cookie(site: Site) -> None:
    from tests.faults.test_secrets import stored

    visit, token = signed_up(site)
    kept = visit.client.get_cookie("boltspan_session")
    assert kept is not None
    everything = stored(site.storage)  # type: ignore[arg-type]
    assert kept.value.partition(".")[0] not in everything
    assert token[12:55] not in everything


@pytest.mark.parametrize(
    ("headers", "without"),
    [
        ({"Sec-Fetch-Site": "cross-site"}, None),
        ({"Sec-Fetch-Site": "same-site"}, None),
        ({"Sec-Fetch-Site": "cross-site", "Origin": "http://localhost"}, None),
        ({"Sec-Fetch-Site": None, "Origin": "https://elsewhere.example"}, None),
        ({"Sec-Fetch-Site": None, "Origin": "null"}, None),
        ({}, "form"),
    ],
)
def test_a_form_that_another_site_sends_changes_nothing(
    site: Site, headers: dict[str, Any], without: str | None
) -> None:
    visit, token = signed_up(site)
    visit.open("/account")
    sent = {k: v for k, v in ({"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"} | headers).items() if v}
    form = visit.form("/account/tokens/revoked")
    fields = {k: v for k, v in form.fields.items() if k != without}
    refused = visit.client.post(form.action, data=fields, headers=sent)
    assert refused.status_code == 403
    assert refused.mimetype == "text/html"
    assert site.get("/v1/account", who=token).status_code == 200
    visit.send("/account/tokens/revoked")
    assert site.get("/v1/account", who=token).status_code == 401


@pytest.mark.parametrize("path", CHANGING)
def test_no_form_is_taken_without_its_token_or_with_another_visitors(site: Site, path: str) -> None:
    visit, _ = signed_up(site)
    other = Visit(site.app)
    other.open("/sign-up")
    foreign = other.form("/sign-up").fields["form"]
    for token in ("", foreign, "é"):
        assert visit.client.post(path, data={"form": token}).status_code == 403, path


def test_every_changing_page_is_among_those_tried(site: Site) -> None:
    rules = [r.rule for r in site.app.url_map.iter_rules() if "POST" in (r.methods or ())]
    assert {re.sub(r"<\w+>", "c-0000000001", rule) for rule in rules if not rule.startswith("/v1/")} == set(CHANGING)


@pytest.mark.parametrize(
    ("wanted", "leads_to"),
    [("/claims", "/claims"), ("https://elsewhere.example/", "/account"), ("//elsewhere.example", "/account"),
     ("/submit?frame=f-0000000001", "/submit?frame=f-0000000001"), ("/\\elsewhere.example", "/account"),
     ("javascript:alert(1)", "/account"), ("/claims\n", "/account")],
)  # fmt: skip
def test_signing_in_leads_to_our_own_pages_only(site: Site, wanted: str, leads_to: str) -> None:
    visit = Visit(site.app)
    visit.open("/sign-in")
    visit.send("/sign-in", {"token": site.tokens["ann"], "next": wanted}, follow=False)
    assert (visit.shown.status_code, visit.shown.headers["Location"]) == (303, leads_to)


def test_a_narrow_token_signs_in_narrowly(site: Site) -> None:
    narrow = site.post("/v1/account/tokens", {"scopes": ["see_own"]}, who="ann").json["token"]
    visit = Visit(site.app)
    visit.open("/sign-in")
    visit.send("/sign-in", {"token": narrow})
    assert "Your account" in visit.shown.text
    visit.send("/account/tokens")
    assert visit.shown.status_code == 403


def test_a_wrong_token_is_told_and_not_shown_again(site: Site) -> None:
    visit = Visit(site.app)
    visit.open("/sign-in")
    visit.send("/sign-in", {"token": "bs_nothing"})
    assert visit.shown.status_code == 422
    assert "wrong, expired or revoked" in visit.shown.text
    visit.send("/sign-in", {"token": ""})
    assert visit.shown.status_code == 422


def test_sign_ups_by_page_are_limited_too(site: Site) -> None:
    app = site.build(sign_up_quota=2)
    visits = [Visit(app) for _ in range(3)]
    for visit in visits:
        visit.open("/sign-up")
        visit.send("/sign-up", {"terms": "1"})
    assert [visit.shown.status_code for visit in visits] == [200, 200, 429]
    assert visits[2].shown.mimetype == "text/html"
    assert int(visits[2].shown.headers["Retry-After"]) >= 1


def test_terms_are_shown_and_needed(site: Site) -> None:
    visit = Visit(site.app)
    visit.open("/sign-up")
    assert "CC0 1.0" in visit.shown.text
    visit.send("/sign-up", {"handle": "north-bench"})
    assert visit.shown.status_code == 422
    assert visit.form("/sign-up").fields["handle"] == "north-bench"
    with site.storage.reading() as uow:
        assert uow.accounts.by_handle("north-bench") is None


def test_new_tokens_data_and_leaving_by_page(site: Site) -> None:
    visit, first = signed_up(site)
    visit.open("/account")
    visit.send("/account/tokens")
    second = TOKEN.search(visit.shown.text)
    assert second is not None
    assert site.get("/v1/account", who=second[0]).status_code == 200
    data = visit.open("/account/data")
    assert json.loads(data.text)["account"]["handle"] == "north-bench"
    assert data.headers["Content-Disposition"].startswith("attachment")
    visit.open("/account/leave")
    visit.send("/account/leave")
    assert visit.shown.status_code == 422
    visit.send("/account/leave", {"sure": "yes"})
    assert "You have left" in visit.shown.text
    assert {site.get("/v1/account", who=t).status_code for t in (first, second[0])} == {401}
    assert "Sign in" in visit.open("/account").text


def test_what_people_type_stays_text_on_every_page(site: Site) -> None:
    """Names, notes and reasons that are markup: shown as text, in attributes too."""
    nasty = '"><script>alert(1)</script><img src=x onerror=alert(1)>'
    visit = Visit(site.app)
    pages = [visit.open(f"/submit?q={nasty}").text, visit.open(f"/submit/frame?q={nasty}").text]
    visit.send("/submit/frame", {"make": nasty, "model": nasty, "handle": nasty[:30], "year_from": "<u>"})
    pages.append(visit.shown.text)
    visit.open("/submit?frame=f-0000000001&subject=lower&kind=spec_page")
    for typed in ({"label": nasty, "document": nasty, "quote": nasty, "page": "<i>7</i>"}, {"label": "M8 x 30"}):
        visit.send("/submit/check", typed)
        pages.append(visit.shown.text)
    visit.send("/submit", {"token": site.tokens["ann"]})
    pages += [visit.shown.text, visit.open("/claims").text]
    for page in pages:
        assert not re.search(r"<(script(?! src=./static/as_typed.js. defer></script>)|img[^>]*onerror|i>7|u>)", page)
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in pages[-2]


def test_nul_in_a_form_is_refused_as_a_page(site: Site) -> None:
    visit = Visit(site.app)
    visit.open("/sign-up")
    visit.send("/sign-up", {"handle": "a\0b", "terms": "1"})
    assert (visit.shown.status_code, visit.shown.mimetype) == (422, "text/html")
