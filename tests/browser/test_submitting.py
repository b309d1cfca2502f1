"""A whole submission on a phone, in a real browser without scripts, from the search to what became of it."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from tests.browser.conftest import press

if TYPE_CHECKING:
    from playwright.sync_api import Page

TOKEN = re.compile(r"bs_[0-9a-z]{8}_[A-Za-z0-9_-]{43}_[0-9a-f]{6}")


def to_details(page: Page, address: str, end: str, how: str, years: str = "2021 to 2023") -> None:
    """Go from the search to the third step, with the frame of these years."""
    page.goto(f"{address}/submit")
    page.get_by_label("Make, model and year of the frame").fill(f"tarnvale skery {years[:4]}")
    press(page.get_by_role("button", name="Find"))
    press(page.get_by_role("link", name=f"Tarnvale Skerry {years}"))
    page.get_by_label(end).check()
    page.get_by_label(how).check()
    press(page.get_by_role("button", name="Go on"))


def measured(page: Page, bolt: list[str], width: list[str]) -> None:
    """Fill in a measurement of the sleeve's bore and over the spacers."""
    page.get_by_label("Bore of the sleeve").check()
    page.get_by_label("Over both spacers").check()
    for part, texts in (("bolt", bolt), ("width", width)):
        for n, text in enumerate(texts, 1):
            page.get_by_label(f"Reading {n} of the {part}").fill(text)
    press(page.get_by_role("button", name="See what it comes to"))


@pytest.mark.parametrize("width", [320, 390])
def test_from_a_caliper_to_a_receipt_on_a_phone(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 740})
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    to_details(page, address, "Lower end", "I measured it")
    assert page.locator("svg[role=img]").count() >= 5
    measured(page, ["12.7"], ["22.18", "22.19", "22.17"])
    assert page.get_by_text("Take the pin out of it and measure the pin's own bore").is_visible()
    press(page.get_by_role("button", name="Measure again"))
    measured(page, ["8,06", "8.05", "8.06"], [])
    assert page.get_by_text("reads as M8").is_visible()
    assert page.get_by_text("reads as 22.2 mm").is_visible()
    press(page.get_by_role("button", name="Send it"))
    assert page.get_by_text("The terms must be agreed to").first.is_visible()
    page.get_by_label("Public name").fill(f"phone {width}")
    page.get_by_label("I agree to these terms").check()
    press(page.get_by_role("button", name="Send it"))
    token = TOKEN.search(page.inner_text("main"))
    assert token is not None
    press(page.get_by_role("link", name="I have kept it"))
    assert page.get_by_role("heading", name="Thank you, it has arrived").is_visible()
    assert page.get_by_role("heading", name="State: waits for review").is_visible()
    receipt = page.url
    page.get_by_label("JPEG, PNG or WebP").set_input_files(
        {"name": "caliper.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    )
    page.get_by_label("I took it").check()
    press(page.get_by_role("button", name="Add the photo"))
    shown = page.locator(".photos img")
    assert shown.count() == 1
    shown.scroll_into_view_if_needed()
    assert shown.evaluate("e => e.decode().then(() => e.naturalWidth)") == 60
    page.goto(f"{address}/account")
    press(page.get_by_role("button", name="Sign out"))
    page.goto(receipt)
    page.get_by_label("Your token").fill(token[0])
    press(page.get_by_role("button", name="Sign in"))
    assert page.url.startswith(receipt.partition("?")[0])
    assert page.get_by_role("heading", name="State: waits for review").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert all(url.startswith(address) for url in asked)


def jpeg() -> bytes:
    """Return a small photo."""
    written = io.BytesIO()
    Image.new("RGB", (60, 40), "green").save(written, "JPEG")
    return written.getvalue()


def test_the_keyboard_is_enough_to_submit(page: Page, address: str) -> None:
    page.goto(f"{address}/submit?frame=f-0000000001")
    page.get_by_label("Lower end").focus()
    page.keyboard.press("Space")
    page.get_by_label("I measured it").focus()
    page.keyboard.press("ArrowDown")  # the next way to know: fitted
    page.keyboard.press("Enter")
    page.wait_for_url("**kind=fitted*")
    page.get_by_label("The size that went in").focus()
    page.keyboard.type("8 x 15")
    page.keyboard.press("Enter")
    page.get_by_role("alert").wait_for()
    assert page.evaluate("document.activeElement.className") == "wrong-list"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#label"
    assert page.get_by_label("The size that went in").input_value() == "8 x 15"


def test_a_strangers_markup_runs_nowhere(scripted: Page, address: str) -> None:
    dialogs: list[str] = []
    asked: list[str] = []
    scripted.on("dialog", lambda dialog: dialogs.append(dialog.message))
    scripted.on("request", lambda request: asked.append(request.url))
    nasty = "<img src=https://elsewhere.example/x onerror=alert(1)><script>alert(2)</script>"
    to_details(scripted, address, "Lower end", "The maker's specification page")
    scripted.get_by_label("The size, just as it is written").fill("M8 x 30")
    scripted.get_by_label("Or the name of the document").fill(nasty)
    scripted.get_by_label("What it says, word for word").fill(nasty)
    press(scripted.get_by_role("button", name="See what it comes to"))
    assert scripted.locator("blockquote").inner_text() == nasty
    scripted.get_by_label("I agree to these terms").check()
    press(scripted.get_by_role("button", name="Send it"))
    press(scripted.get_by_role("link", name="I have kept it"))
    assert scripted.locator("blockquote").inner_text() == nasty
    assert scripted.locator("script, main img").count() == 0
    assert dialogs == []
    assert all(url.startswith(address) for url in asked)


def test_another_site_cannot_send_our_forms(scripted: Page, address: str) -> None:
    """A page of another origin (localhost is another one than 127.0.0.1) posts our form with the cookies there are."""
    to_details(scripted, address, "Lower end", "I fitted this size and it went in")
    scripted.get_by_label("The size that went in").fill("M8 x 26")
    press(scripted.get_by_role("button", name="See what it comes to"))
    scripted.get_by_label("I agree to these terms").check()
    press(scripted.get_by_role("button", name="Send it"))
    token_id = TOKEN.search(scripted.inner_text("main"))
    assert token_id is not None
    action = f"{address}/account/tokens/revoked"
    fields = f"<input name=token_id value={token_id[0][3:11]}><button>Go</button>"
    form = f"<form method=post action='{action}'>{fields}</form>"
    elsewhere = address.replace("127.0.0.1", "localhost")
    scripted.route(f"{elsewhere}/elsewhere", lambda route: route.fulfill(body=form, content_type="text/html"))
    scripted.goto(f"{elsewhere}/elsewhere")
    with scripted.expect_response("**/account/tokens/revoked") as answered:
        press(scripted.get_by_role("button", name="Go"))
    assert answered.value.status == 403
    scripted.goto(f"{address}/account")
    assert scripted.get_by_text("valid", exact=True).count() == 1
