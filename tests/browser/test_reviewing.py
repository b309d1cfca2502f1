"""The whole way in a real browser without scripts: two people contradict each other, a maintainer settles by keyboard,
the first sees the result, the look-up has changed; a reversal restores it.
"""

from __future__ import annotations

import json
import urllib.request
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.conftest import patient, press
from tests.browser.test_submitting import TOKEN, measured, to_details

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

FRAME, YEARS = "f-0000000002", "2024 on"  # tests of other pages look at the other years


@pytest.fixture
def people(browser: Browser) -> Iterator[dict[str, Page]]:
    """Three people with a browser each, none of which runs scripts; the first two on a phone."""
    sizes = {"first": (360, 740), "second": (320, 640), "maintainer": (1280, 900)}
    contexts = {
        who: patient(
            browser.new_context(
                java_script_enabled=False, reduced_motion="reduce", viewport={"width": width, "height": height}
            )
        )
        for who, (width, height) in sizes.items()
    }
    yield {who: context.new_page() for who, context in contexts.items()}
    for context in contexts.values():
        context.close()


def measure(page: Page, address: str) -> str:
    """Send a measurement of M8 x 30, signing up by it; return the claim's address."""
    to_details(page, address, "Lower end", "I measured it", YEARS)
    measured(page, ["8.05", "8,06"], ["29.98", "30.01", "29.99"])
    assert page.get_by_text("Together: M8 x 30").is_visible()
    return sent(page)


def fit(page: Page, address: str, size: str) -> str:
    """Send that a size went in, signing up by it; return the claim's address."""
    to_details(page, address, "Lower end", "I fitted this size and it went in", YEARS)
    page.get_by_label("The size that went in").fill(size)
    press(page.get_by_role("button", name="See what it comes to"))
    return sent(page)


def sent(page: Page) -> str:
    """Agree to the terms and send what is on the page; return the claim's address."""
    page.get_by_label("I agree to these terms").check()
    press(page.get_by_role("button", name="Send it"))
    assert TOKEN.search(page.inner_text("main")) is not None
    press(page.get_by_role("link", name="I have kept it"))
    return page.url.partition("?")[0]


def sign_in(page: Page, address: str, token: str) -> None:
    """Sign in and stand at the desk."""
    page.goto(f"{address}/desk")
    page.get_by_label("Your token").fill(token)
    press(page.get_by_role("button", name="Sign in"))


def lower(address: str) -> dict[str, Any]:
    """Return what a shop is answered for the lower end."""
    with urllib.request.urlopen(f"{address}/v1/frames/{FRAME}", timeout=10) as answer:
        found: dict[str, Any] = json.load(answer)["ends"]["lower"]
    return found


def choose(page: Page, value: str) -> None:
    """Go to the values and choose one with the arrow keys, which also choose what they pass."""
    tab_to(page, "")
    while page.evaluate("document.activeElement.name") != "value":
        page.keyboard.press("Tab")
    for _ in range(20):
        page.keyboard.press("ArrowDown")
        if value in page.evaluate("document.activeElement.labels[0].innerText"):
            assert page.evaluate("document.activeElement.checked")
            return
    pytest.fail(f"the arrow keys never reach {value}")


def tab_to(page: Page, name: str, then: str | None = None) -> None:
    """Press Tab until the focus is on what bears ``name``, as somebody without a mouse does, and ``then`` a key."""
    for _ in range(120):
        page.keyboard.press("Tab")
        focused = page.locator(":focus")
        if focused.count() and name in (focused.inner_text() or "") + (focused.get_attribute("id") or "") + str(
            focused.evaluate("e => e.labels?.[0]?.innerText ?? ''")
        ):
            outline = focused.evaluate("e => getComputedStyle(e).outlineStyle")
            assert outline != "none", f"nothing shows that {name} has the focus"
            if then is not None:
                page.keyboard.press(then)
            return
    pytest.fail(f"Tab never reaches {name}")


def test_from_two_claims_to_a_settled_answer_and_back(
    people: dict[str, Page], address: str, tokens: dict[str, str]
) -> None:
    first, second, desk = people["first"], people["second"], people["maintainer"]
    asked: list[str] = []
    for page in people.values():
        page.on("request", lambda request: asked.append(request.url))
    receipt = measure(first, address)
    fit(second, address, "M8 x 32")
    first.goto(receipt)
    assert first.get_by_role("heading", name="contradicts another statement").is_visible()
    before = lower(address)
    assert "value" not in before

    desk.goto(f"{address}/desk")  # from here on the maintainer has no mouse
    tab_to(desk, "Your token")
    desk.keyboard.type(tokens["mia"])
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/desk")
    tab_to(desk, f"Tarnvale Skerry {YEARS}: lower end")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/desk/q-*")
    case = desk.url
    assert desk.locator(".picture svg").is_visible()
    tab_to(desk, "To your ruling", "Enter")
    choose(desk, "M8 x 30")
    tab_to(desk, "settle-why")
    desk.keyboard.type("the newer fitting, asked back")
    tab_to(desk, "See what it does")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/check")
    assert desk.get_by_text("After it they are told: M8 x 30, rely on it.").is_visible()
    assert lower(address) == before
    tab_to(desk, "Carry it out")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**?done=settle")
    assert desk.get_by_role("status").get_by_text("Carried out: settled.").is_visible()

    assert (lower(address)["standing"], lower(address)["value"]["label"]) == ("settled", "M8 x 30")
    first.goto(f"{address}/?q={FRAME}")
    assert first.locator("section.subject", has_text="Lower end").get_by_text("M8 x 30").first.is_visible()
    first.goto(receipt)
    assert first.get_by_role("heading", name="State: accepted").is_visible()
    assert first.get_by_text("the newer fitting, asked back").first.is_visible()
    assert first.evaluate("document.documentElement.scrollWidth") <= 360

    tab_to(desk, "Undo this decision", "Enter")
    tab_to(desk, "Why it is undone")
    desk.keyboard.type("asked back once more")
    tab_to(desk, "See what it does")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/check")
    tab_to(desk, "Carry it out")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**?done=reverse")
    assert desk.url.startswith(case)
    assert lower(address) == before
    assert all(url.startswith(address) for url in asked)


@pytest.mark.parametrize(("width", "zoom"), [(320, 1), (1280, 4), (1280, 2)])
def test_the_desk_is_usable_on_a_phone_and_enlarged(
    page: Page, address: str, tokens: dict[str, str], width: int, zoom: int
) -> None:
    """Enlarging a window of 1280 px to 400 % leaves 320 CSS px (WCAG 2.2, 1.4.10)."""
    page.set_viewport_size({"width": width // zoom, "height": 900 // zoom})
    sign_in(page, address, tokens["max"])
    for path in (page.locator("h3 a").first.get_attribute("href"), "/desk"):
        page.goto(f"{address}{path}")
        assert page.evaluate("document.documentElement.scrollWidth") <= width // zoom
