"""The pages in a real browser: without scripts, from the keyboard, on a small screen, and asking nobody else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import press

if TYPE_CHECKING:
    from playwright.sync_api import Page

QUERY = "tarnvale skerry 2021"


def test_a_technician_finds_an_answer_without_scripts(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_label("Make, model and year of the frame").fill(QUERY)
    press(page.get_by_role("button", name="Look up"))
    assert page.get_by_role("heading", name="Tarnvale Skerry").count() == 1
    upper = page.locator("section.subject", has_text="Upper end")
    for text in ("M8 x 22.2", "Provisional", "Ask first", "stock", "independent source"):
        assert upper.get_by_text(text).count() >= 1, text
    lower = page.locator("section.subject", has_text="Lower end")
    for text in ("Not known", "Do not sell", "No size given"):
        assert lower.get_by_text(text).count() >= 1, text
    assert page.get_by_text("Demo data, invented.").is_visible()
    assert page.locator(".cautions li").count() == 7
    assert page.get_by_text("Never use a larger width.").is_visible()


def test_a_passer_by_says_that_an_end_is_wrong(page: Page, address: str) -> None:
    page.set_viewport_size({"width": 320, "height": 740})
    page.goto(f"{address}/?q={QUERY.replace(' ', '+')}")
    press(page.get_by_role("link", name="This is wrong: Upper end"))
    assert page.get_by_label("Upper end: M8 x 22.2").is_checked()
    press(page.get_by_role("button", name="Send it"))
    assert page.get_by_role("link", name="Choose what is wrong.").is_visible()
    page.get_by_label("did not go in").check()
    page.get_by_label("In your own words").fill("22.2 had to be hammered in")
    press(page.get_by_role("button", name="Send it"))
    assert page.get_by_role("heading", name="Thank you, it has arrived").is_visible()
    assert page.get_by_text("A maintainer looks at it.").is_visible()
    assert page.get_by_text("changes no answer by itself").is_visible()
    press(page.get_by_role("link", name="its answer"))
    assert page.locator("section.subject", has_text="Upper end").get_by_text("M8 x 22.2").count() == 1


def test_the_keyboard_is_enough(page: Page, address: str) -> None:
    page.goto(address)
    assert page.evaluate("document.activeElement.id") == "q"
    page.keyboard.type(QUERY)
    page.keyboard.press("Enter")
    page.wait_for_url("**/?q=*")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    seen: list[str] = []
    while len(seen) < 40:
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        seen.append(page.evaluate("document.activeElement.tagName + ' ' + document.activeElement.textContent.trim()"))
        visible = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert visible != "none", seen[-1]
    assert "SUMMARY What this rests on" in seen
    page.locator("summary").focus()
    page.keyboard.press("Enter")
    assert page.get_by_text("Specification page").first.is_visible()


def test_what_a_stranger_wrote_stays_text(scripted: Page, address: str) -> None:
    dialogs: list[str] = []
    asked: list[str] = []
    scripted.on("dialog", lambda dialog: dialogs.append(dialog.message))
    scripted.on("request", lambda request: asked.append(request.url))
    scripted.goto(f"{address}/?q={QUERY.replace(' ', '+')}")
    scripted.locator("summary").click()
    quote = scripted.locator("blockquote", has_text="document.title")
    assert quote.inner_text().startswith("<script>document.title='taken'</script><img src=")
    assert scripted.get_by_text("<b>not bold</b>").count() == 1
    assert scripted.locator("script, main img, iframe").count() == 0
    assert (dialogs, scripted.title()) == ([], f"{QUERY} – Boltspan")
    link = scripted.locator("a[href='https://example.org/a?b']")
    assert set((link.get_attribute("rel") or "").split()) == {"nofollow", "noopener", "noreferrer", "ugc"}
    assert asked
    assert all(url.startswith(address) for url in asked)


def test_a_script_in_the_question_stays_text(scripted: Page, address: str) -> None:
    scripted.goto(f"{address}/?q=%3Cscript%3Ealert(1)%3C/script%3E%22%3E%3Cimg%20src%3Dx%3E")
    assert scripted.get_by_role("heading", name="Not known").is_visible()
    assert scripted.locator("script, main img").count() == 0
    assert scripted.get_by_label("Make, model and year").input_value().startswith("<script>")


@pytest.mark.parametrize("path", ["/", "/?q=tarnvale+skerry", "/?q=zzzz", "/docs", "/problems", "/problems/stale"])
def test_no_page_asks_anybody_else_or_breaks_its_own_rules(scripted: Page, address: str, path: str) -> None:
    asked: list[str] = []
    told: list[str] = []
    scripted.on("request", lambda request: asked.append(request.url))
    scripted.on("console", lambda message: told.append(message.text))
    scripted.goto(address + path)
    assert all(url.startswith(address) for url in asked)
    assert told == []
    assert f"{address}/static/boltspan.css" in asked


@pytest.mark.parametrize("width", [320, 768, 1920])
@pytest.mark.parametrize("path", ["/", "/?q=tarnvale+skerry", "/docs", "/problems"])
def test_no_page_scrolls_sideways_and_no_target_is_small(page: Page, address: str, path: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(address + path)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.evaluate(
        """[...document.querySelectorAll('a, button, input, summary')]
           .filter(e => !e.closest('p, li p, td, dd, dt, .skip') && getComputedStyle(e).display !== 'inline')
           .map(e => [e.textContent.trim(), e.getBoundingClientRect()])
           .filter(([, r]) => r.width && (r.width < 24 || r.height < 24)).map(([t]) => t)"""
    )  # WCAG 2.2, success criterion 2.5.8: links inside a sentence are excepted
    assert small == []


@pytest.mark.parametrize("width", [320, 360, 412, 480, 600])
def test_the_question_and_its_button_keep_their_shape(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(f"{address}/?q=x")
    for name in ("button", "#q"):
        box = page.locator(f"form {name}").bounding_box()
        assert box is not None
        assert (box["height"] < 64, box["width"] > 80) == (True, True), name


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_all_text_stands_out(page: Page, address: str, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    for path in ("/", "/?q=tarnvale+skerry", "/docs"):
        page.goto(address + path)
        pairs = page.evaluate(
            """[...document.querySelectorAll('p, h1, h2, h3, h4, a, span, dt, dd, button, summary, b, label, td')]
               .filter(e => e.offsetParent && e.textContent.trim())
               .map(e => { let at = e, ground = 'rgba(0, 0, 0, 0)';
                           while (at && ground === 'rgba(0, 0, 0, 0)') { ground = getComputedStyle(at).backgroundColor;
                                                                        at = at.parentElement; }
                           return [getComputedStyle(e).color, ground]; })"""
        )
        weakest = min(({tuple(pair) for pair in pairs}), key=lambda pair: contrast(*pair))
        assert contrast(*weakest) >= 4.5, (path, weakest)  # WCAG 2.2, success criterion 1.4.3


def contrast(one: str, other: str) -> float:
    """Return the contrast of two CSS colours (WCAG 2.2, "contrast ratio")."""
    lights = sorted(luminance(c) + 0.05 for c in (one, other))
    return lights[1] / lights[0]


def luminance(colour: str) -> float:
    """Return the relative luminance of ``rgb(r, g, b)`` (WCAG 2.2, "relative luminance")."""
    parts = [int(n) / 255 for n in re.findall(r"\d+", colour)[:3]]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_contrast_of_black_and_white_is_21() -> None:
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)


def test_nothing_is_told_by_colour_alone(page: Page, address: str) -> None:
    page.goto(address)
    marks = page.locator(".standing")
    looks = {
        marks.nth(n).evaluate(
            "e => getComputedStyle(e).borderTopStyle + getComputedStyle(e).borderTopWidth + e.textContent"
        )
        for n in range(marks.count())
    }
    assert marks.count() == len(looks) == 5
    assert all(marks.nth(n).inner_text() for n in range(marks.count()))


def test_zoomed_to_200_percent_all_is_there(page: Page, address: str) -> None:
    page.set_viewport_size({"width": 640, "height": 480})  # 1280 x 960 at 200 %
    page.goto(f"{address}/?q={QUERY.replace(' ', '+')}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 640
    assert page.locator(".cautions li").last.is_visible()
