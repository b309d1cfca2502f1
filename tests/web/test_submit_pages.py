"""Submitting by page, step by step: nothing is lost, nothing is stored early, and readings are said back."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from tests.http.world import F1, Site
from tests.web.visit import Visit

MEASURED = {
    "bolt_feature": "sleeve_bore", "bolt_1": "8,06", "bolt_2": "8.05", "width_feature": "hardware_width",
    "width_1": "22.18", "width_2": "22.19", "width_3": "22.17", "seen_on": "2026-05-30",
}  # fmt: skip


def text_of(visit: Visit) -> str:
    """Return the page's text without tags, blanks as one."""
    return plain(visit.shown.text)


def plain(markup: str) -> str:
    """Return a page's or a piece's text without tags, blanks as one."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def at_details(site: Site, kind: str = "measured", subject: str = "lower") -> Visit:
    """Return a stranger who has found the frame and chosen an end and a source."""
    visit = Visit(site.app)
    visit.open("/submit")
    visit.send("/submit", {"q": "tarnvale skery 2021"})
    assert f"/submit?frame={F1}" in visit.shown.text
    visit.open(f"/submit?frame={F1}")
    visit.send("/submit", {"subject": subject, "kind": kind})
    assert "Step 3 of 4" in visit.shown.text
    return visit


def claims(site: Site) -> int:
    """Return how many claims are stored."""
    with site.storage.reading() as uow:
        return uow.catalogue.count()["claims"]


def test_a_stranger_submits_a_measurement_signs_up_by_it_and_sees_what_became_of_it(site: Site) -> None:
    before = claims(site)
    visit = at_details(site)
    visit.send("/submit/check", MEASURED)
    shown = text_of(visit)
    assert "Step 4 of 4" in shown
    assert "8.06, 8.05 mm" in shown
    assert "reads as M8" in shown
    assert "reads as 22.2 mm" in shown
    assert "Together: M8 x 22.2" in shown
    assert "There is no value yet" in shown
    assert claims(site) == before
    visit.send("/submit", {"handle": "north-bench", "terms": "1"})
    token = re.search(r"bs_[0-9a-z]{8}_[A-Za-z0-9_-]{43}_[0-9a-f]{6}", visit.shown.text)
    assert token is not None
    assert claims(site) == before + 1
    onward = re.search(r'href="(/claims/c-[0-9a-z]{10}\?sent=yes)"', visit.shown.text)
    assert onward is not None
    visit.open(onward[1])
    shown = text_of(visit)
    assert "Thank you, it has arrived" in shown
    assert "waits for review" in shown
    assert "waits since today" in shown
    assert token[0] not in visit.shown.text
    assert "reads as M8" in shown
    assert site.get(onward[1].replace("/claims/", "/v1/claims/").partition("?")[0], who=token[0]).status_code == 200
    visit.open("/claims")
    assert "Tarnvale Skerry" in text_of(visit)
    assert site.get("/v1/account", who=token[0]).json["handle"] == "north-bench"


def test_sending_twice_counts_once_and_makes_one_account(site: Site) -> None:
    visit = at_details(site)
    visit.send("/submit/check", MEASURED)
    form = visit.form("/submit")
    fields = form.fields | {"terms": "1"}
    first = visit.client.post("/submit", data=fields)
    second = visit.client.post("/submit", data=fields)
    assert (first.status_code, second.status_code) == (200, 303)
    with site.storage.reading() as uow:
        mine = [c for c in uow.statements.claims(F1) if c.subject == "lower" and c.source.kind == "measured"]
        people = [a for a in uow.accounts.accounts() if a.terms is not None]
    assert (len([c for c in mine if c.state == "submitted"]), len(people)) == (1, 1)


def test_nothing_is_lost_when_something_is_wrong(site: Site) -> None:
    visit = at_details(site)
    visit.send(
        "/submit/check",
        MEASURED | {"bolt_2": "8.o5", "bolt_3": "8.06", "width_feature": "tab_gap", "seen_on": "2027-01-01"},
    )
    assert visit.shown.status_code == 422
    shown = text_of(visit)
    assert "This is no length. Wanted: one number in millimetres" in shown
    fields = visit.form("/submit/check").fields
    assert {k: fields[k] for k in ("bolt_1", "bolt_2", "bolt_3", "width_3", "width_feature")} == {
        "bolt_1": "8,06", "bolt_2": "8.o5", "bolt_3": "8.06", "width_3": "22.17", "width_feature": "tab_gap",
    }  # fmt: skip
    assert 'id="bolt_2-wrong"' in visit.shown.text
    assert 'aria-describedby="bolt_2-wrong"' in visit.shown.text
    visit.send("/submit/check", {"bolt_2": "8.05"})
    assert "after today" in text_of(visit)
    assert 'id="seen_on-wrong"' in visit.shown.text
    visit.send("/submit/check", {"seen_on": "2026-05-30"})
    assert "Step 4 of 4" in visit.shown.text
    visit.send("/submit", {"handle": "rule", "terms": "1"})
    assert visit.shown.status_code == 422
    assert "seem to speak for the rule" in text_of(visit)
    assert visit.form("/submit").fields["bolt_2"] == "8.05"
    visit.send("/submit", {"handle": "ok-name"}, to="/submit/change")
    assert visit.form("/submit/check").fields["width_1"] == "22.18"


def test_a_bushings_bore_taken_for_the_bolt_is_named_at_once(site: Site) -> None:
    """12.7 is the bore of a bushing or an eyelet: common practice, no source."""
    visit = at_details(site)
    visit.send("/submit/check", {"bolt_feature": "sleeve_bore", "bolt_1": "12.7", "seen_on": "2026-05-30"})
    shown = text_of(visit)
    assert "This looks like a mistake." in shown
    assert "Take the pin out of it and measure the pin's own bore, or the bolt." in shown


def test_what_differs_from_what_is_published_is_said_before_it_is_sent(site: Site) -> None:
    visit = at_details(site, "spec_page", "upper")
    page = {"label": "30 x M8", "url": "https://example.org/skerry", "seen_on": "2026-05-30"}
    visit.send("/submit/check", page)
    shown = text_of(visit)
    assert "M8 x 30" in shown
    assert "What you send differs from it." in shown
    visit.send("/submit", to="/submit/change")
    visit.send("/submit/check", {"label": "M8 x 22.2"})
    assert "What you send agrees with it." in text_of(visit)


@pytest.mark.parametrize(
    ("kind", "subject", "typed", "field"),
    [
        ("spec_page", "lower", {"label": "8 x 15", "url": "https://example.org/a"}, "label"),
        ("spec_page", "lower", {"label": "M8 x 30", "url": "javascript:alert(1)"}, "url"),
        ("spec_page", "lower", {"label": "M8 x 30"}, "document"),
        ("manual", "lower", {"document": "manual 7"}, "label"),
        ("manual", "lower", {"document": "manual 7", "bolt": "80"}, "bolt"),
        ("fitted", "lower", {"label": "front: M8 x 30; rear: M8 x 20"}, "label"),
        ("exploded_diagram", "shock_size", {"document": "drawing 4", "eye_to_eye": "x", "stroke": "55"}, "eye_to_eye"),
        ("exploded_diagram", "shock_size", {"document": "drawing 4", "eye_to_eye": "1210"}, "eye_to_eye"),
        ("manual", "lower", {"document": "m", "label": "M8 x 30", "year_from": "1999", "year_to": "2000"}, "year_from"),
        ("manual", "lower", {"document": "m", "label": "M8 x 30", "year_from": "20"}, "year_from"),
        ("measured", "lower", {"width_1": "22.2"}, "width_feature"),
        ("measured", "lower", {}, "bolt_1"),
    ],
)  # fmt: skip
def test_each_mistake_is_told_at_its_field(
    site: Site, kind: str, subject: str, typed: dict[str, str], field: str
) -> None:
    visit = at_details(site, kind, subject)
    visit.send("/submit/check", typed)
    assert visit.shown.status_code == 422
    assert f'id="{field}-wrong"' in visit.shown.text
    assert f'href="#{field}"' in visit.shown.text
    assert f'id="{field}"' in visit.shown.text
    kept = visit.form("/submit/check").fields
    assert {k: kept.get(k) for k in typed} == typed


@pytest.mark.parametrize("kind", ["fitted", "spec_page", "exploded_diagram", "manual", "maker_reply"])
def test_every_kind_of_source_goes_through(site: Site, kind: str) -> None:
    visit = at_details(site, kind)
    document = {} if kind in ("fitted", "maker_reply") else {"document": "an invented document"}
    visit.send("/submit/check", {"label": "5/16 in x 7/8 in", "seen_on": "2026-05-30"} | document)
    assert "5/16 in x 22.2" in text_of(visit)
    visit.send("/submit", {"token": site.tokens["ann"]})
    assert "Thank you, it has arrived" in text_of(visit)
    with site.storage.reading() as uow:
        newest = max(uow.statements.claims(F1), key=lambda c: c.sequence)
    assert (newest.source.kind, newest.subject) == (kind, "lower")


def test_a_shop_that_is_signed_in_may_not_submit_and_is_told_so(site: Site) -> None:
    visit = at_details(site, "fitted")
    visit.send("/submit/check", {"label": "M8 x 30"})
    before = claims(site)
    visit.send("/submit", {"token": site.tokens["rob"]})
    assert visit.shown.status_code == 403
    assert claims(site) == before


def test_saying_the_same_again_is_told(site: Site) -> None:
    for expected in (200, 409):
        visit = at_details(site, "fitted")
        visit.send("/submit/check", {"label": "M8 x 30"})
        visit.send("/submit", {"token": site.tokens["ann"]})
        assert visit.shown.status_code == expected
    assert "already said this" in text_of(visit)


def test_a_frame_that_is_not_there_is_proposed_and_gone_on_with(site: Site) -> None:
    visit = Visit(site.app)
    visit.open("/submit?q=quillhope+zzzz")
    assert "propose a frame" in visit.shown.text
    visit.open("/submit/frame?q=zzzz")
    visit.send("/submit/frame", {"make": "", "model": "Holm", "year_from": "2o25", "terms": "1"})
    assert visit.shown.status_code == 422
    assert {"make-wrong", "year_from-wrong"} <= set(re.findall(r'id="([\w]+-wrong)"', visit.shown.text))
    typed = {"make": "Tarnvale", "model": "Holm", "year_from": "2025", "ends": "upper/lower", "terms": "1"}
    visit.send("/submit/frame", typed)
    onward = re.search(r'href="(/submit\?frame=f-[0-9a-z]{10})"', visit.shown.text)
    assert onward is not None
    visit.open(onward[1])
    assert "Tarnvale Holm" in text_of(visit)
    visit.send("/submit", {"subject": "upper", "kind": "fitted"})
    visit.send("/submit/check", {"label": "M8 x 30"})
    visit.send("/submit")
    assert "proposed frame" in text_of(visit)
    assert Visit(site.app).open(onward[1]).status_code == 404


def test_a_merged_frame_leads_on_and_a_withdrawn_one_is_told(site: Site) -> None:
    visit = Visit(site.app)
    assert F1 in visit.open("/submit?frame=f-0000000003").text
    assert visit.open("/submit?frame=f-0000000007").status_code == 404
    assert "there was no such frame" in text_of(visit)


def test_photos_are_added_and_shown_to_nobody_else_before_acceptance(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tests.http.test_photos import photo

    visit = at_details(site, "fitted")
    visit.send("/submit/check", {"label": "M8 x 30"})
    visit.send("/submit", {"token": site.tokens["ann"]})
    action = next(path for path in re.findall(r'action="(/claims/[^"]+/photos)"', visit.shown.text))

    def add(raw: bytes, **more: Any) -> int:
        import io

        visit.send(action, {"photo": (io.BytesIO(raw), "p.jpg"), "licence": "CC-BY-4.0", **more})
        return visit.shown.status_code

    assert add(b"<svg/>") == 422
    assert "This is no jpeg, png or webp." in text_of(visit)
    assert add(photo(), licence="") == 422
    assert add(photo()) == 200
    [shown] = re.findall(r'src="(/photos/[0-9a-f]{64})"', visit.shown.text)
    assert visit.client.get(shown).headers["Content-Type"] == "image/webp"
    assert Visit(site.app).open(shown).status_code == 404
    back = {"which": shown.removeprefix("/photos/"), "photo_why": "a number plate is in it"}
    for wrong in ({"which": ""}, {"photo_why": " "}):
        visit.send(f"{action}/withdrawal", back | wrong)
        assert visit.shown.status_code == 422
        assert shown in visit.shown.text
    visit.send(f"{action}/withdrawal", back)
    assert "/photos/" not in visit.shown.text
    assert visit.client.get(shown).status_code == 410
    monkeypatch.setattr("boltspan.web.claim_pages.MOST_BYTES", 1000)
    assert add(b"\xff\xd8\xff" * 40_000) == 413
    assert "too large" in text_of(visit)


def test_a_claim_is_taken_back_with_a_reason(site: Site) -> None:
    visit = at_details(site, "fitted")
    visit.send("/submit/check", {"label": "M8 x 30"})
    visit.send("/submit", {"token": site.tokens["ann"]})
    action = next(path for path in re.findall(r'action="(/claims/[^"]+/withdrawal)"', visit.shown.text))
    visit.send(action, {"why": " "})
    assert visit.shown.status_code == 422
    visit.send(action, {"why": "it was the other bike"})
    assert "State: taken back" in text_of(visit)
    assert "it was the other bike" in text_of(visit)
    other = Visit(site.app)
    other.open("/sign-in")
    other.send("/sign-in", {"token": site.tokens["ben"]})
    assert other.open(action.removesuffix("/withdrawal")).status_code == 404


def test_a_maintainers_question_is_shown_and_answered_by_page(site: Site) -> None:
    visit = at_details(site, "fitted")
    visit.send("/submit/check", {"label": "M8 x 30"})
    visit.send("/submit", {"token": site.tokens["ann"]})
    claim = visit.shown.request.path.rpartition("/")[2]
    asked = site.post(f"/v1/claims/{claim}/questions", {"question": "Were the spacers <b>on</b>?"}, who="mia")
    assert asked.status_code == 201, asked.text
    visit.open(f"/claims/{claim}")
    assert "State: an answer of yours is needed" in text_of(visit)
    assert "Were the spacers &lt;b&gt;on&lt;/b&gt;?" in visit.shown.text
    visit.send(f"/claims/{claim}/answer", {"answer": " "})
    assert visit.shown.status_code == 422
    visit.send(f"/claims/{claim}/answer", {"answer": "Yes, both."})
    assert "Your answer: Yes, both." in text_of(visit)
    assert "State: is being looked at" in text_of(visit)


def test_a_new_claim_says_which_of_ones_own_it_replaces(site: Site) -> None:
    """A second page is further evidence unless its reader stands by the first no longer."""
    visit = Visit(site.app)
    visit.open("/sign-in")
    visit.send("/sign-in", {"token": site.tokens["ann"]})
    first = site.claim(width=30).json["claim"]["id"]
    visit.open(f"/submit?frame={F1}&subject=upper&kind=spec_page")
    visit.send("/submit/check", {"label": "M8 x 22.2", "document": "example.org/other", "seen_on": "2026-05-30"})
    assert "Specification page, 2026-05-01: M8 x 30 tick it if you stand by it no longer" in text_of(visit)
    visit.send("/submit", {f"instead_of_{first}": "yes"})
    assert "Thank you, it has arrived" in text_of(visit)
    assert site.get(f"/v1/claims/{first}", who="ann").json["claim"]["state"] == "superseded"
    visit.open(f"/submit?frame={F1}&subject=upper&kind=spec_page")
    visit.send("/submit/check", {"label": "M8 x 24", "document": "example.org/other", "seen_on": "2026-05-30"})
    assert "M8 x 22.2 . What you send takes its place" in text_of(visit)
