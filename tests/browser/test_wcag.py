"""No page breaks a rule of WCAG 2.2, levels A and AA, that axe-core can see, at 320 px, in light and dark.

Every page stands in one of the lists below; a page that stands in none fails ``test_every_page_is_looked_at``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Literal

import pytest

from tests.browser.conftest import press, resized
from tests.browser.test_reviewing import sign_in
from tests.contract.test_document import without_database

if TYPE_CHECKING:
    from playwright.sync_api import Page

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
FRAME = "f-0000000001"
SHOCK = "s-0000000001"
PUBLIC = (
    "/",
    "/?q=tarnvale+skerry+2021",
    "/?q=tarnvale+skerry+2016",
    "/?q=zzzz",
    "/?q=f-0000000007",
    "/docs",
    "/problems",
    "/problems/stale",
    "/sign-in",
    "/sign-up",
    "/submit",
    "/submit?q=tarnvale+skerry",
    "/submit?q=zzzz",
    f"/submit?frame={FRAME}",
    f"/submit?frame={FRAME}&subject=upper",
    f"/submit?frame={FRAME}&subject=lower&kind=measured",
    f"/submit?frame={FRAME}&subject=lower&kind=spec_page",
    f"/submit?frame={FRAME}&subject=lower&kind=maker_reply",
    f"/submit?frame={FRAME}&subject=shock_size&kind=fitted",
    "/submit?q=tarnvale+brindle",
    f"/submit?shock={SHOCK}",
    f"/submit?shock={SHOCK}&subject=body&kind=measured",
    f"/submit?shock={SHOCK}&subject=shaft&kind=spec_page",
    f"/submit?shock={SHOCK}&subject=sizes&kind=manual",
    "/submit/frame?q=Holm",
    f"/wrong?frame={FRAME}",
    f"/wrong?frame={FRAME}&subject=lower",
    "/submit/shock?q=Holm",
    "/fit",
    f"/fit?frame={FRAME}",
    "/measuring-sheet",
    "/symptoms",
)
"""Pages that anybody may open."""
OWN = ("/account", "/account/leave", "/claims", "/submit/frame")
"""Pages of somebody who has signed up and sent a claim, besides the claim's own."""
DESK = ("/desk", "/desk?state=closed", "/desk/documents?document=example.org/1")
"""Pages of maintainers, besides a case's own."""
NO_PAGES = {"/static/<path:name>", "/photos/<photo_hash>", "/account/data", "/desk/next"}
"""What is served beside the pages and is none."""


NOWHERE = """[...document.querySelectorAll('a[href^="#"]')]
  .filter(a => !document.getElementById(decodeURIComponent(a.hash.slice(1)))).map(a => a.outerHTML)"""
"""Links within the page that lead to nothing."""
FEWER = """for (const kind of ['operation', 'schema']) {
  for (const section of new Set([...document.querySelectorAll('.' + kind)].map(e => e.parentElement))) {
    [...section.querySelectorAll(':scope > .' + kind)].slice(2).forEach(e => e.remove());
  }
}"""
"""Leaves two of a kind in each section of the API's reference, which one template makes; axe takes minutes for all."""


def looked_at(page: Page) -> list[str]:
    """Return what axe-core finds on the page at hand, a line each: all rules in light, those of colours in dark too.

    Before it, no link within the page leads to nothing, and nothing is wider than 320 px.
    """
    from axe_playwright_python.base import AXE_SCRIPT

    page.evaluate(AXE_SCRIPT)
    assert page.evaluate(NOWHERE) == []
    page.evaluate(FEWER)
    resized(page, 320, 900)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    in_colours(page, "light")
    found = ran(page, {"type": "tag", "values": RULES})
    in_colours(page, "dark")
    return found + ran(page, {"type": "rule", "values": ["color-contrast"]})


def in_colours(page: Page, scheme: Literal["light", "dark"]) -> None:
    """Turn a page light or dark, and wait until it is."""
    page.emulate_media(color_scheme=scheme)
    page.wait_for_function("scheme => matchMedia(`(prefers-color-scheme: ${scheme})`).matches", arg=scheme)


def ran(page: Page, only: dict[str, Any]) -> list[str]:
    """Return what these rules find."""
    found: dict[str, Any] = page.evaluate("only => axe.run({runOnly: only, resultTypes: ['violations']})", only)
    assert found["passes"]
    return [f"{v['id']}: {v['help']}: {n['html'][:160]}" for v in found["violations"] for n in v["nodes"]]


def sign_up(page: Page, address: str) -> None:
    """Sign up by page."""
    page.goto(f"{address}/sign-up")
    page.get_by_label("I agree to these terms").check()
    press(page.get_by_role("button", name="Sign up"))


def check(page: Page, address: str, size: str) -> None:
    """Fill in a size that went in, and look at what it comes to."""
    page.goto(f"{address}/submit?frame={FRAME}&subject=lower&kind=fitted")
    page.get_by_label("The size that went in").fill(size)
    press(page.get_by_role("button", name="See what it comes to"))


def sent(page: Page, address: str) -> None:
    """Send a claim and stand at its page."""
    sign_up(page, address)
    check(page, address, "M8 x 30")
    press(page.get_by_role("button", name="Send it"))


def with_a_mistake(page: Page, address: str) -> None:
    """Take a bushing's bore for the bolt, and stand at what it comes to."""
    page.goto(f"{address}/submit?frame={FRAME}&subject=lower&kind=measured")
    page.get_by_label("Bore of the sleeve").check()
    page.get_by_label("Reading 1 of the bolt").fill("12.7")
    press(page.get_by_role("button", name="See what it comes to"))


def as_typed(page: Page, address: str) -> None:
    """Type a reading that is read, and one that is none, and stand at the form that says so."""
    page.goto(f"{address}/submit?frame={FRAME}&subject=lower&kind=measured")
    page.get_by_label("Bore of the sleeve").check()
    page.get_by_label("Reading 1 of the bolt").fill("8.06")
    page.get_by_label("Reading 1 of the width").fill("x")
    page.get_by_text("reads as M8").wait_for()
    page.get_by_text("This is no length.").wait_for()


def flagged(page: Page, address: str) -> None:
    """Say that an end is wrong without saying why, and stand at the form that asks."""
    page.goto(f"{address}/wrong?frame={FRAME}&subject=lower")
    page.get_by_label("In your own words").fill("it had play")
    press(page.get_by_role("button", name="Send it"))


def flag_sent(page: Page, address: str) -> None:
    """Say that an end is wrong, and stand at the receipt."""
    flagged(page, address)
    page.get_by_label("Somebody could come to harm").check()
    press(page.get_by_role("button", name="Send it"))


def mistyped(page: Page, address: str) -> None:
    """Mistype several fields, and stand at the form that says so."""
    page.goto(f"{address}/submit?frame={FRAME}&subject=lower&kind=measured")
    page.get_by_label("Reading 1 of the bolt").fill("x")
    page.get_by_label("Reading 1 of the width").fill("y")
    press(page.get_by_role("button", name="See what it comes to"))


def left(page: Page, address: str) -> None:
    """Sign up and leave."""
    sign_up(page, address)
    page.goto(f"{address}/account/leave")
    page.get_by_label("I am sure").check()
    press(page.get_by_role("button", name="Leave for good"))


STEPS: dict[str, Callable[[Page, str], None]] = {
    "token": sign_up,
    "summary": lambda page, address: check(page, address, "M8 x 30"),
    "refused": lambda page, address: check(page, address, "8 x 15"),
    "mistake": with_a_mistake,
    "mistyped": mistyped,
    "as typed": as_typed,
    "flagged": flagged,
    "flag sent": flag_sent,
    "claim": sent,
    "left": left,
}
"""Pages that only a form leads to."""


@pytest.mark.parametrize("path", PUBLIC)
def test_pages_that_anybody_may_open(scripted: Page, address: str, path: str) -> None:
    scripted.goto(address + path)
    assert looked_at(scripted) == []


@pytest.mark.parametrize("step", STEPS)
def test_pages_that_a_form_leads_to(scripted: Page, address: str, step: str) -> None:
    STEPS[step](scripted, address)
    assert looked_at(scripted) == []


def test_pages_of_ones_own(scripted: Page, address: str) -> None:
    sent(scripted, address)
    for path in OWN:
        scripted.goto(address + path)
        assert scripted.url == address + path
        assert looked_at(scripted) == [], path


def test_pages_of_maintainers(scripted: Page, address: str, tokens: dict[str, str]) -> None:
    sent(scripted, address)
    press(scripted.get_by_role("link", name="Account"))
    press(scripted.get_by_role("button", name="Sign out"))
    sign_in(scripted, address, tokens["max"])
    for path in DESK:
        scripted.goto(address + path)
        assert looked_at(scripted) == [], path
    scripted.goto(f"{address}/desk")
    press(scripted.get_by_role("link", name="Tarnvale Skerry 2021 to 2023: lower end"))
    case = scripted.url
    scripted.get_by_text("The same in words").click()
    for summary in scripted.locator("section[aria-labelledby=rule] summary").all()[1:]:
        summary.click()
    assert looked_at(scripted) == [], "case"
    press(scripted.get_by_role("button", name="See what it does").first)
    assert scripted.get_by_role("alert").is_visible()
    assert looked_at(scripted) == [], "mistyped"
    scripted.locator("input[name=value]").first.check()
    scripted.locator("#settle-why").fill("looked at")
    press(scripted.get_by_role("button", name="See what it does").first)
    assert scripted.get_by_role("button", name="Carry it out").is_visible()
    assert looked_at(scripted) == [], "preview"
    scripted.goto(f"{case}/record")
    assert looked_at(scripted) == [], "record"
    for summary in scripted.locator("section[aria-labelledby=edit] summary").all():
        summary.click()
    assert looked_at(scripted) == [], "edits"
    scripted.locator("#years-year_to").fill("once")
    scripted.locator("#years-why").fill("looked at")
    press(scripted.locator("form", has=scripted.locator("#years-why")).get_by_role("button"))
    assert scripted.get_by_role("alert").is_visible()
    assert looked_at(scripted) == [], "a mistyped edit"
    scripted.get_by_text("Withdraw it").click()
    scripted.locator("#withdraw-why").fill("looked at")
    press(scripted.get_by_role("button", name="See what it does").last)
    assert scripted.get_by_role("button", name="Carry it out").is_visible()
    assert looked_at(scripted) == [], "preview of an edit"
    scripted.goto(case)
    press(scripted.locator("a[href^='/desk/people/']").first)
    assert looked_at(scripted) == [], "contributor"
    press(scripted.get_by_role("button", name="See what it does"))
    assert scripted.get_by_role("alert").is_visible()
    scripted.locator("#why").fill("looked at")
    press(scripted.get_by_role("button", name="See what it does"))
    assert scripted.get_by_role("button", name="Carry it out").is_visible()
    assert looked_at(scripted) == [], "preview of an undoing"
    scripted.goto(f"{address}/desk/documents?document=example.org/1")
    scripted.get_by_label("Rule out all its claims").check()
    scripted.get_by_label("Reason, when it is ruled out").select_option("cannot_tell")
    scripted.get_by_label("Why", exact=True).fill("looked at")
    press(scripted.get_by_role("button", name="See what it does"))
    assert scripted.get_by_role("button", name="Carry it out").is_visible()
    assert looked_at(scripted) == [], "preview of a document"


def test_every_page_is_looked_at() -> None:
    app = without_database()
    rules = app.url_map.bind("localhost")
    seen = {rules.match(p.partition("?")[0], "GET", return_rule=True)[0].rule for p in (*PUBLIC, *OWN, *DESK)}
    pages = {r.rule for r in app.url_map.iter_rules() if r.endpoint.startswith("pages.") and "GET" in (r.methods or ())}
    named = {"/claims/<claim_id>", "/desk/<review_id>", "/desk/<review_id>/record", "/desk/people/<person_id>"}
    assert pages - NO_PAGES - seen == named  # their ids are known only when something was sent


def test_axe_sees_a_breach(scripted: Page, address: str) -> None:
    scripted.goto(f"{address}/sign-in")
    scripted.evaluate("document.querySelector('label').remove()")
    assert [line for line in looked_at(scripted) if line.startswith("label: ")]
