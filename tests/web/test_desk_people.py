"""A contributor at the desk, and undoing everything of one account by page."""

from __future__ import annotations

from typing import Any

import pytest

from tests.http.world import F1, F2, Site
from tests.web.test_desk_pages import answer, at_case, at_desk, other_claim
from tests.web.test_submit_pages import text_of


def person_of(site: Site, handle: str) -> str:
    """Return a person's public id."""
    return str(site.get("/v1/account", who=handle).json["id"])


@pytest.fixture
def misused(site: Site) -> str:
    """Return the id of somebody whose claims are about two ends, one of them ruled on."""
    claim = other_claim(site)
    site.claim(frame=F2)
    case, tag = site.case()
    value = {"mount": "hardware", "bolt_mm": 8, "width_mm": 30}
    ruling = {"ruling": "settle", "value": value, "rests_on": [claim], "why": "one page"}
    assert site.post(f"/v1/reviews/{case}/decisions", ruling, who="mia", match=tag).status_code == 201
    return person_of(site, "ann")


def test_a_case_leads_to_its_contributors_and_back(site: Site) -> None:
    other_claim(site)
    visit, _ = at_case(site)
    ann = person_of(site, "ann")
    assert f'href="/desk/people/{ann}"' in visit.shown.text
    visit.open(f"/desk/people/{ann}")
    shown = text_of(visit)
    assert "Tarnvale Skerry 2021 to 2023: upper end M8 x 30 waits for review" in shown
    assert "new: it settles nothing by itself" in shown


def test_undoing_an_account_is_looked_at_first_and_counts_once(site: Site, misused: str) -> None:
    visit = at_desk(site, "max", f"/desk/people/{misused}")
    path = f"/desk/people/{misused}"
    visit.send(f"{path}/check")
    assert 'id="why-wrong"' in visit.shown.text
    settled, last = answer(site), site.last()
    visit.send(f"{path}/check", {"why": "the same page under three names"})
    shown = text_of(visit)
    assert "2 claims ruled out 1 ruling undone" in shown
    assert "After it: Provisional M8 x 22.2" in shown
    assert (answer(site), site.last()) == (settled, last)
    fields = dict(visit.form(f"{path}/undoing").fields)
    visit.send(f"{path}/undoing")
    assert "All of it is undone" in text_of(visit)
    assert answer(site)["value"]["label"] == "M8 x 22.2"
    after = site.last()
    assert visit.client.post(f"{path}/undoing", data=fields).status_code == 200
    assert site.last() == after


def told(site: Site, who: str, of: str) -> tuple[int, str]:
    """Return what somebody is told who tries to undo the account of another."""
    visit = at_desk(site, who, "/account")
    page: Any = visit.open(f"/desk/people/{person_of(site, of)}")
    if page.status_code != 200 or "/check" not in page.text:
        return page.status_code, text_of(visit)
    visit.send(f"/desk/people/{person_of(site, of)}/check", {"why": "so"})
    return visit.shown.status_code, text_of(visit)


def test_who_may_undo_whom(site: Site) -> None:
    assert told(site, "rob", "ann")[0] == 403
    assert told(site, "ann", "ben")[0] == 403
    status, shown = told(site, "mia", "max")
    assert (status, "What a maintainer has done is undone by an operator" in shown) == (403, True)
    status, shown = told(site, "mia", "mia")
    assert (status, "Undo all of it" in shown) == (200, False)
    assert told(site, "ops", "mia")[0] == 200


def test_nobody_known_is_not_found(site: Site) -> None:
    assert at_desk(site, "mia", "/desk/people/p-0000000099").shown.status_code == 404
    assert answer(site, F1)["value"]["label"] == "M8 x 22.2"
