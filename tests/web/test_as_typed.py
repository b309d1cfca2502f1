"""What a form that is still being filled in reads as: said as the check says it, place by place, and kept nowhere."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pytest

from tests.http.world import F1, Site
from tests.web.test_submit_pages import MEASURED, at_details, claims, plain, text_of
from tests.web.visit import Visit

FIRST = {"bolt_feature": "sleeve_bore", "bolt_1": "8.06"}


def as_typed(visit: Visit, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what is said of a half-filled form, as text by place; the page at hand stays."""
    before = visit.shown
    sent = visit.send("/submit/check", typed, to="/submit/as-typed")
    assert (sent.status_code, sent.mimetype, sent.headers["Cache-Control"]) == (200, "text/html", "no-store"), sent.text
    assert "Set-Cookie" not in sent.headers
    visit.shown = before
    parts = [part.partition('">') for part in sent.text.split('<div data-said="')[1:]]
    return {place: plain(markup) for place, _, markup in parts}


def test_it_is_said_in_the_words_of_the_check(site: Site) -> None:
    """8.06 and 22.18 are the bore of a pin for M8 and 7/8 in over the spacers: common practice, no source."""
    visit, before = at_details(site), claims(site)
    said = as_typed(visit, MEASURED)
    assert set(said) == {"bolt", "width"}
    assert re.fullmatch(r"Bore of the sleeve: 8\.06, 8\.05 mm reads as M8 probability (over )?0\.9\d", said["bolt"])
    assert "reads as 22.2 mm" in said["width"]
    visit.send("/submit/check", MEASURED)
    shown = text_of(visit)
    assert all(text in shown for text in said.values())
    assert claims(site) == before


def test_nothing_is_said_before_anything_is_typed(site: Site) -> None:
    for kind in ("measured", "fitted", "spec_page"):
        assert as_typed(at_details(site, kind), {}) == {}
    assert as_typed(at_details(site, "manual", "shock_size"), {"url": "x", "year_from": "x"}) == {}


def test_what_is_still_missing_elsewhere_hides_no_reading(site: Site) -> None:
    visit = at_details(site)
    assert "reads as M8" in as_typed(visit, FIRST | {"seen_on": "2099-01-01"})["bolt"]
    said = as_typed(visit, FIRST | {"width_1": "22.2", "bolt_2": "8.o5"})
    assert said["bolt"].startswith("Not yet right: This is no length. Wanted: one number in millimetres")
    assert said["width"] == "Not yet right: Say where you measured. Wanted: one of the places shown."
    said = as_typed(visit, FIRST | {"width_1": "22..2", "width_feature": "tab_gap"})
    assert "reads as M8" in said["bolt"]
    assert said["width"].startswith("Not yet right: This is no length.")


def test_a_bushings_bore_is_named_with_what_to_do_while_it_is_typed(site: Site) -> None:
    """12.7 is the bore of a bushing or an eyelet: common practice, no source."""
    said = as_typed(at_details(site), {"bolt_feature": "sleeve_bore", "bolt_1": "12.7"})["bolt"]
    assert "This looks like a mistake." in said
    assert "Take the pin out of it and measure the pin's own bore" in said


@pytest.mark.parametrize(
    ("kind", "subject", "typed", "place", "said"),
    [
        ("spec_page", "lower", {"label": '5/16 in x 7/8"'}, "label", "bolt 5/16 in, width between the tabs 22.225"),
        (
            "fitted",
            "lower",
            {"label": "30 x M8"},
            "label",
            "M8 x 30 Mounting hardware: bolt M8, width",
        ),
        ("fitted", "lower", {"label": "8 x 15"}, "label", "Not yet right:"),
        ("manual", "lower", {"label": "M8 x 30", "bolt": "x"}, "label", "M8 x 30"),
        ("manual", "lower", {"bolt": "M10"}, "value", "Bolt M10."),
        ("manual", "lower", {"bolt": "80"}, "value", "Not yet right:"),
        ("manual", "lower", {"mount": "trunnion"}, "value", "Trunnion."),
        ("manual", "shock_size", {"eye_to_eye": "210", "stroke": "55"}, "value", "210"),
        ("manual", "shock_size", {"eye_to_eye": "1210", "stroke": "55"}, "value", "Not yet right:"),
    ],
)
def test_a_stated_size_is_read_before_its_source_is_named(
    site: Site, kind: str, subject: str, typed: dict[str, str], place: str, said: str
) -> None:
    found = as_typed(at_details(site, kind, subject), typed)
    assert set(found) == {place}
    assert said in found[place]


def test_what_people_type_is_text_in_it(site: Site) -> None:
    nasty = '"><img src=x onerror=alert(1)>'
    for kind, typed in (("fitted", {"label": nasty}), ("measured", {"bolt_1": nasty[:20]})):
        visit = at_details(site, kind)
        sent = visit.send("/submit/check", typed, to="/submit/as-typed")
        assert "<img" not in sent.text
        assert "Not yet right" in sent.text


def test_it_is_given_to_our_own_page_alone_and_only_so_often(site: Site) -> None:
    visit = at_details(site)
    page = visit.shown
    sent = visit.send("/submit/check", FIRST, to="/submit/as-typed", headers={"Sec-Fetch-Site": "cross-site"})
    assert sent.status_code == 403
    visit.shown = page
    assert visit.send("/submit/check", FIRST, to="/submit/as-typed", without="form").status_code == 403
    limited = Visit(site.build(rate_limits=True, bench_quota=2))
    page = limited.open(f"/submit?frame={F1}&subject=lower&kind=measured")
    codes = []
    for _ in range(3):
        limited.shown = page
        codes.append(limited.send("/submit/check", FIRST, to="/submit/as-typed").status_code)
    assert codes == [200, 200, 429]
    limited.shown = page
    limited.send("/submit/check", FIRST | {"seen_on": "2026-05-30"})
    assert "reads as M8" in text_of(limited)
