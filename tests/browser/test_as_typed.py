"""What is typed is said back beside its field before any button is pressed, and nothing hangs on that."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import press
from tests.browser.test_submitting import to_details

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page, Route

DETAILS = "/submit?frame=f-0000000001&subject=lower&kind="
AS_TYPED = "**/submit/as-typed"


def place(page: Page, name: str) -> Locator:
    """Return where a form says what stands at a place of it."""
    return page.locator(f"[data-said-here={name}]")


def said(page: Page, name: str, text: str) -> None:
    """Wait until a text is said at a place."""
    place(page, name).get_by_text(text).first.wait_for()


def watched(page: Page) -> tuple[list[str], list[str]]:
    """Return lists that will hold what the page asks for, and what goes wrong in it."""
    asked: list[str] = []
    wrong: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("dialog", lambda dialog: wrong.append(dialog.message))
    return asked, wrong


def test_readings_are_read_before_any_button(scripted: Page, address: str) -> None:
    """8.06 is the bore of a pin for M8, 12.7 that of a bushing: common practice, no source."""
    asked, wrong = watched(scripted)
    to_details(scripted, address, "Lower end", "I measured it")
    assert place(scripted, "bolt").get_attribute("aria-live") == "polite"
    assert place(scripted, "bolt").inner_text() == ""
    scripted.get_by_label("Reading 1 of the bolt").press_sequentially("12,7")
    said(scripted, "bolt", "Say where you measured.")
    scripted.get_by_label("Bore of the sleeve").check()
    said(scripted, "bolt", "Take the pin out of it and measure the pin's own bore")
    scripted.get_by_label("Reading 1 of the bolt").fill("8,06")
    said(scripted, "bolt", "reads as M8")
    said(scripted, "bolt", "probability 0.9")
    scripted.get_by_label("Over both spacers").check()
    scripted.get_by_label("Reading 1 of the width").fill("22.2x")
    said(scripted, "width", "This is no length.")
    scripted.get_by_label("Reading 1 of the width").fill("22.18")
    said(scripted, "width", "reads as 22.2 mm")
    said(scripted, "bolt", "reads as M8")
    scripted.get_by_label("Reading 1 of the bolt").fill("")
    place(scripted, "bolt").and_(scripted.locator(":empty")).wait_for(state="attached")
    assert wrong == []
    assert all(url.startswith(address + "/") for url in asked)
    press(scripted.get_by_role("button", name="See what it comes to"))
    press(scripted.get_by_role("button", name="Change something"))
    said(scripted, "width", "reads as 22.2 mm")


def test_a_stated_size_is_read_before_any_button(scripted: Page, address: str) -> None:
    scripted.goto(f"{address}{DETAILS}spec_page")
    scripted.get_by_label("The size, just as it is written").press_sequentially("30 x M8")
    said(scripted, "label", "M8 x 30")
    said(scripted, "label", "width between the tabs 30 mm")
    scripted.get_by_label("The size, just as it is written").fill("")
    scripted.get_by_text("It says only a part of it").click()
    scripted.get_by_label("Bolt, mm").fill("M8")
    said(scripted, "value", "Bolt M8.")


@pytest.mark.parametrize(
    ("kind", "name", "label", "wrong", "right", "read"),
    [
        ("measured", "bolt", "Reading 1 of the bolt", "8.o6", "8.06", "reads as M8"),
        ("fitted", "label", "The size that went in", "8 x 15", "M8 x 30", "Mounting hardware: bolt M8"),
    ],
)
def test_what_was_wrong_when_it_was_sent_gives_way_to_what_is_said_now(
    scripted: Page, address: str, kind: str, name: str, label: str, wrong: str, right: str, read: str
) -> None:
    scripted.goto(f"{address}{DETAILS}{kind}&bolt_feature=sleeve_bore")
    scripted.get_by_label(label).fill(wrong)
    press(scripted.get_by_role("button", name="See what it comes to"))
    marks = scripted.locator("form p.wrong").filter(visible=True)
    said(scripted, name, "Not yet right")
    assert marks.count() == 1
    scripted.get_by_label(label).fill(right)
    said(scripted, name, read)
    assert marks.count() == 0


def test_the_older_question_is_given_up_and_its_answer_never_shown(scripted: Page, address: str) -> None:
    scripted.goto(f"{address}{DETAILS}fitted")
    held: list[Route] = []
    given_up: list[str] = []
    scripted.on("requestfailed", lambda request: given_up.append(request.post_data or ""))

    def answer(route: Route) -> None:
        if "+20&" in (route.request.post_data or ""):
            held.append(route)
        else:
            route.continue_()

    scripted.route(AS_TYPED, answer)
    with scripted.expect_request(AS_TYPED):
        scripted.get_by_label("The size that went in").fill("M8 x 20")
    with scripted.expect_event("requestfailed"):
        scripted.get_by_label("The size that went in").fill("M8 x 30")
    said(scripted, "label", "M8 x 30")
    assert len(held) == 1
    assert [("+20&" in body) for body in given_up] == [True]


@pytest.mark.parametrize("how", ["offline", "too many", "away"])
def test_without_an_answer_nothing_is_said_and_the_form_goes_on(scripted: Page, address: str, how: str) -> None:
    _, wrong = watched(scripted)
    scripted.goto(f"{address}{DETAILS}fitted")
    scripted.get_by_label("The size that went in").fill("M8 x 20")
    said(scripted, "label", "M8 x 20")
    if how == "offline":
        scripted.route(AS_TYPED, lambda route: route.abort("internetdisconnected"))
    elif how == "too many":
        scripted.route(AS_TYPED, lambda route: route.fulfill(status=429, body="<p data-said=label>too many</p>"))
    else:
        moved = {"Location": f"{address}/problems"}
        scripted.route(AS_TYPED, lambda route: route.fulfill(status=303, headers=moved))
    scripted.get_by_label("The size that went in").fill("M8 x 30")
    place(scripted, "label").and_(scripted.locator(":empty")).wait_for(state="attached")
    assert wrong == []
    press(scripted.get_by_role("button", name="See what it comes to"))
    assert scripted.locator(".size", has_text="M8 x 30").is_visible()


def test_even_a_hostile_answer_runs_nothing(scripted: Page, address: str) -> None:
    """The server escapes all text; were it to fail, the page's policy still holds."""
    _, wrong = watched(scripted)
    stopped: list[tuple[str, str | None]] = []
    scripted.on("requestfailed", lambda request: stopped.append((request.url, request.failure)))
    bad = (
        "<img src=https://elsewhere.example/x onerror='window.ran=1'><script>window.ran=1</script>"
        "<svg onload=window.ran=1>"
    )
    answer = f"<div data-said=label>{bad}seen</div><script>window.ran=1</script>"
    scripted.route(AS_TYPED, lambda route: route.fulfill(body=answer, content_type="text/html"))
    scripted.goto(f"{address}{DETAILS}fitted")
    scripted.get_by_label("The size that went in").fill("x")
    said(scripted, "label", "seen")
    assert scripted.evaluate("window.ran") is None
    assert wrong == []
    assert stopped == [("https://elsewhere.example/x", "csp")]  # by the policy, before anything is sent


def test_without_scripts_nothing_is_asked_or_shown(page: Page, address: str) -> None:
    asked, _ = watched(page)
    page.goto(f"{address}{DETAILS}fitted")
    page.get_by_label("The size that went in").fill("M8 x 30")
    assert page.locator("[data-said-here]:not(:empty)").count() == 0
    press(page.get_by_role("button", name="See what it comes to"))
    assert page.locator(".size", has_text="M8 x 30").is_visible()
    assert not [url for url in asked if "as-typed" in url or url.endswith(".js")]
