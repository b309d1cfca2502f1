"""A shock found and spoken of by page: readings of its eyelet, a page's words, the sizes it is made in."""

from __future__ import annotations

import re
from typing import Any

import pytest

from boltspan.services.bringing import Bringing
from tests.dataset.sample import with_shock
from tests.http.world import Site
from tests.web.test_as_typed import as_typed
from tests.web.test_submit_pages import text_of
from tests.web.visit import Visit

S1 = "s-0000000001"


@pytest.fixture
def stocked(site: Site) -> Site:
    """Return a site with a shock whose body end is stated as an eyelet with a bore of 15."""
    extra = with_shock()
    with site.storage.writing() as uow:
        bringing = Bringing(uow, site.clock, None)
        bringing.shock_models(extra.shock_models)
        bringing.records(extra.shocks)
    return site


def at_details(site: Site, subject: str, kind: str) -> Visit:
    visit = Visit(site.app)
    visit.open("/submit")
    visit.send("/submit", {"q": "tarnvale brindel"})
    assert f"/submit?shock={S1}" in visit.shown.text
    visit.open(f"/submit?shock={S1}")
    assert "fitted" not in visit.shown.text
    visit.send("/submit", {"subject": subject, "kind": kind})
    return visit


def newest(site: Site) -> Any:
    with site.storage.reading() as uow:
        return uow.statements.claims(S1)[-1]


def test_readings_of_an_eyelet_are_sent_and_their_mistake_is_told_before(stocked: Site) -> None:
    visit = at_details(stocked, "body", "measured")
    assert "bushing out" in text_of(visit).lower()
    typed = {"bore_1": "12,71", "bore_2": "12.72", "width_1": "22.01", "seen_on": "2026-05-30"}
    visit.send("/submit/check", typed)
    shown = text_of(visit)
    assert "This looks like a mistake." in shown
    assert "This is the bushing's bore, not the eyelet's" in shown
    assert "What you send differs from it" in shown
    visit.send("/submit", to="/submit/change")
    assert 'value="12,71"' in visit.shown.text
    visit.send("/submit/check", typed | {"bore_1": "15.02", "bore_2": "15.01"})
    shown = text_of(visit)
    assert "reads as 15 mm probability" in shown
    assert "reads as 22 mm" in shown
    assert "What you send agrees with it" in shown
    visit.send("/submit", {"terms": "1"})
    claim = newest(stocked)
    assert [(part, feature) for part, feature, _ in claim.source.measurement.parts] == [
        ("width", "eyelet_width"), ("bore", "eyelet_bore"),
    ]  # fmt: skip
    visit.open(f"/claims/{claim.id}")
    assert "Bore of the bare eyelet" in text_of(visit)
    assert f"/submit?shock={S1}" in visit.shown.text


def test_nothing_measured_and_words_that_are_no_numbers_are_told_at_their_fields(stocked: Site) -> None:
    visit = at_details(stocked, "shaft", "measured")
    visit.send("/submit/check", {"seen_on": "2026-05-30"})
    assert (visit.shown.status_code, "No reading is filled in." in text_of(visit)) == (422, True)
    visit.send("/submit/check", {"outer_1": "wide", "seen_on": "2026-05-30"})
    assert (visit.shown.status_code, 'value="wide"' in visit.shown.text) == (422, True)


@pytest.mark.parametrize(
    ("subject", "typed", "label"),
    [
        ("shaft", {"mount": "bearing_eyelet", "eyelet_bore": "12", "bearings": "fixed"},
         "bearing eyelet, bore 12, bearings fixed"),
        ("sizes", {"sizes": "210 x 55, 190x45\n230 X 65", "only": "yes"}, "190 x 45, 210 x 55, 230 x 65"),
    ],
)  # fmt: skip
def test_what_a_page_says_of_a_shock_is_sent(stocked: Site, subject: str, typed: dict[str, str], label: str) -> None:
    visit = at_details(stocked, subject, "spec_page")
    visit.send("/submit/check", typed | {"url": "https://example.org/shock", "seen_on": "2026-05-30"})
    assert label in text_of(visit)
    visit.send("/submit", {"terms": "1"})
    claim = newest(stocked)
    assert (claim.subject, claim.value.label) == (subject, label)


@pytest.mark.parametrize(
    ("subject", "typed", "told"),
    [
        ("sizes", {"sizes": "210"}, "This is no size of a shock."),
        ("sizes", {}, "No size is filled in."),
        ("sizes", {"sizes": "210 x 400"}, "No shock mount has this size."),
        ("body", {}, "Nothing is filled in."),
        ("body", {"mount": "trunnion", "eyelet_bore": "15"}, "A trunnion carries no eyelet_bore_mm."),
    ],
)
def test_what_does_not_go_is_told(stocked: Site, subject: str, typed: dict[str, str], told: str) -> None:
    visit = at_details(stocked, subject, "spec_page")
    visit.send("/submit/check", typed | {"url": "https://example.org/shock", "seen_on": "2026-05-30"})
    assert visit.shown.status_code == 422
    assert told in text_of(visit)


def test_a_shock_that_is_not_there_is_proposed_and_gone_on_with(stocked: Site) -> None:
    visit = Visit(stocked.app)
    visit.open("/submit?q=orrinfell+zzzz")
    assert 'href="/submit/shock?q=orrinfell%20zzzz"' in visit.shown.text
    visit.open("/submit/shock?q=zzzz")
    assert 'name="ends"' not in visit.shown.text
    visit.send("/submit/shock", {"make": "", "model": "Holm Air", "year_from": "2o25", "terms": "1"})
    assert visit.shown.status_code == 422
    assert {"make-wrong", "year_from-wrong"} <= set(re.findall(r'id="([\w]+-wrong)"', visit.shown.text))
    stands = {"make": "Tarnvale", "model": "Brindle", "year_from": "2021", "terms": "1"}
    visit.send("/submit/shock", stands)
    assert (visit.shown.status_code, "year_from-wrong" in visit.shown.text) == (422, True)
    visit.send("/submit/shock", {**stands, "make": "Orrinfell", "model": "Holm Air"})
    onward = re.search(r'href="(/submit\?shock=s-[0-9a-z]{10})"', visit.shown.text)
    assert onward is not None
    visit.open(onward[1])
    assert "Orrinfell Holm Air" in text_of(visit)
    visit.send("/submit", {"subject": "body", "kind": "measured"})
    visit.send("/submit/check", {"bore_1": "15.02", "seen_on": "2026-05-30"})
    visit.send("/submit")
    assert "proposed shock" in text_of(visit)
    assert Visit(stocked.app).open(onward[1]).status_code == 404


def test_sizes_are_not_measured_and_a_shock_that_is_not_there_is_not_found(stocked: Site) -> None:
    visit = at_details(stocked, "sizes", "measured")
    assert "choose another source" in text_of(visit)
    visit.open("/submit?shock=s-0000000009")
    assert visit.shown.status_code == 404


def test_the_ends_of_shocks_are_read_while_they_are_typed(stocked: Site) -> None:
    """A bore of 12.7 where a page says 15 is the bushing's: common practice, no source."""
    visit = at_details(stocked, "body", "measured")
    said = as_typed(visit, {"bore_1": "15.02", "outer_1": "x", "width_1": "22.01"})
    assert "Bore of the bare eyelet: 15.02 mm reads as 15 mm" in said["bore"]
    assert "Width of the eyelet: 22.01 mm reads as 22 mm" in said["width"]
    assert said["outer"].startswith("Not yet right:")
    assert "This is the bushing's bore, not the eyelet's" in as_typed(visit, {"bore_1": "12.71"})["bore"]
    visit = at_details(stocked, "sizes", "manual")
    assert "210 x 50" in as_typed(visit, {"sizes": "210 x 50, 210 x 55"})["value"]
    assert as_typed(visit, {"sizes": "210"})["value"].startswith("Not yet right: This is no size of a shock")
    assert as_typed(visit, {"only": "yes"}) == {}
    assert "Eyelet bore 15 mm." in as_typed(at_details(stocked, "shaft", "manual"), {"eyelet_bore": "15"})["value"]
