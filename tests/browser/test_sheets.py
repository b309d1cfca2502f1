"""Fit sheet, measuring sheet and symptoms in a real browser: filled in from the keyboard, small, dark, and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal
from urllib.parse import urlencode

import numpy as np
import pytest

from tests.browser.conftest import press
from tests.browser.paper import PAPERS, Pixels, mm, printed
from tests.browser.test_pages import contrast
from tests.web.fit_questions import FULL
from tests.web.fit_questions import address as sheet_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

SHEET = sheet_of(FULL)
PATHS = {
    "form": "/fit",
    "sheet": SHEET,
    "refused": "/fit?stroke=abc&first_size=M8+x+30",
    "choice": "/fit?q=skerry+2016",
    "measuring": "/measuring-sheet",
    "symptoms": "/symptoms",
}


def test_a_technician_gets_a_sheet_without_scripts(page: Page, address: str) -> None:
    page.goto(address)
    press(page.get_by_role("navigation").get_by_role("link", name="Fit sheet"))
    page.get_by_label("Make, model and year of the frame").fill("tarnvale skerry 2022")
    page.get_by_label("Eye-to-eye length, mm", exact=True).fill("210")
    page.get_by_label("Stroke, mm", exact=True).fill("55")
    body = page.get_by_role("group", name="Body end, or both ends when they are alike")
    body.get_by_label("Kind of end").select_option("eyelet")
    body.get_by_label("Eyelet bore").fill("15")
    body.get_by_label("Eyelet width").fill("12.7")
    page.get_by_text("What lies on the bench").click()
    page.get_by_label("Sizes at hand").fill("M8 x 21.8\nM8 x 24")
    press(page.get_by_role("button", name="Make the fit sheet"))
    upper = page.locator("section.end", has_text="Upper end")
    assert upper.get_by_text("M8 x 22.2").first.is_visible()
    assert upper.get_by_role("img", name="Upper end as it will sit").is_visible()
    assert upper.get_by_text("M8 x 24").is_visible()
    assert page.get_by_label("Sizes at hand").input_value() == "M8 x 21.8\nM8 x 24"


def test_the_keyboard_walks_the_form_in_its_order(page: Page, address: str) -> None:
    page.goto(f"{address}/fit")
    seen: list[str] = []
    while len(seen) < 60:
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        seen.append(page.evaluate("document.activeElement.id || document.activeElement.textContent.trim()"))
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none", seen[-1]
    walked = [name for name in seen if name in ("q", "eye_to_eye", "stroke", "body_mount", "shaft_mount", "shock_up")]
    assert walked == ["q", "eye_to_eye", "stroke", "body_mount", "shaft_mount", "shock_up"]
    assert seen.index("Make the fit sheet") > seen.index("What lies on the bench") > seen.index("shock_up")


@pytest.mark.parametrize("name", PATHS)
def test_the_strict_policy_stands_and_nobody_else_is_asked(scripted: Page, address: str, name: str) -> None:
    asked: list[str] = []
    told: list[str] = []
    scripted.on("request", lambda request: asked.append(request.url))
    scripted.on("console", lambda message: told.append(message.text))
    answer = scripted.goto(address + PATHS[name])
    assert answer is not None
    assert "style-src 'self'" in answer.headers["content-security-policy"]
    assert all(url.startswith(address) for url in asked)
    refused = "status of 422" if name == "refused" else "nothing"
    assert [text for text in told if refused not in text] == []


@pytest.mark.parametrize("width", [320, 640, 1280])
@pytest.mark.parametrize("name", PATHS)
def test_no_page_scrolls_sideways_and_no_target_is_small(page: Page, address: str, name: str, width: int) -> None:
    """640 is also 1280 at 200 %."""
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(address + PATHS[name])
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.evaluate(
        """[...document.querySelectorAll('a, button, input, select, textarea, summary')]
           .filter(e => !e.closest('p:not(.entry), td, dd, dt, .skip') && getComputedStyle(e).display !== 'inline')
           .map(e => [e.id || e.textContent.trim(), e.getBoundingClientRect()])
           .filter(([, r]) => r.width && (r.width < 24 || r.height < 24)).map(([t]) => t)"""
    )  # WCAG 2.2, success criterion 2.5.8
    assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", PATHS)
def test_text_and_drawings_stand_out(page: Page, address: str, name: str, scheme: Literal["light", "dark"]) -> None:
    page.emulate_media(color_scheme=scheme)
    page.goto(address + PATHS[name])
    pairs = page.evaluate(
        """[...document.querySelectorAll('p, h1, h2, h3, a, b, span, dt, dd, li, th, label, legend, summary, svg')]
           .filter(e => e.getClientRects().length && e.textContent.trim())
           .map(e => { let at = e, ground = 'rgba(0, 0, 0, 0)';
                       while (at && ground === 'rgba(0, 0, 0, 0)') { ground = getComputedStyle(at).backgroundColor;
                                                                    at = at.parentElement; }
                       return [getComputedStyle(e).color, ground]; })"""
    )
    weakest = min(({tuple(pair) for pair in pairs}), key=lambda pair: contrast(*pair))
    assert contrast(*weakest) >= 4.5, weakest  # WCAG 2.2, success criterion 1.4.3


@pytest.mark.parametrize(
    ("asked", "looks"),
    [
        ({"first_size": "M8 x 22.2", "body_mount": "eyelet", "body_bore": "15"}, ["solid Buy", "double Not known"]),
        ({"first_size": "trunnion", "second_size": "proprietary", "body_mount": "eyelet", "body_bore": "15"},
         ["double Does not go in", "dashed Ask the frame’s maker"]),
        ({"first_size": "trunnion", "second_size": "M8 x 22.2", "body_mount": "trunnion", "shaft_mount": "eyelet",
          "shaft_bore": "15", "shock_up": "body", "second_width_feature": "tab_gap", "second_width": "26"},
         ["solid None needed", "double Disputed"]),
    ],
)  # fmt: skip
def test_verdicts_differ_in_more_than_colour(page: Page, address: str, asked: dict[str, str], looks: list[str]) -> None:
    """Frames are written out: what is known of stored ones hangs on what other tests have ruled before."""
    page.goto(f"{address}/fit?{urlencode(asked)}")
    found = page.locator("section.end").evaluate_all(
        "ends => ends.map(e => getComputedStyle(e).borderTopStyle + ' ' + e.querySelector('.verdict b').textContent)"
    )
    assert found == looks


@pytest.mark.parametrize("paper", PAPERS)
def test_the_symptoms_go_on_one_page(page: Page, address: str, paper: str) -> None:
    page.goto(f"{address}/symptoms")
    [pixels] = printed(page, paper)
    _, high = PAPERS[paper]
    inked = np.flatnonzero((pixels < 200).any(axis=1))
    assert high - mm(inked[-1]) > 5, "something may be cut off"


def test_both_ways_up_print_on_a_page_each(page: Page, address: str) -> None:
    page.goto(address + sheet_of({name: text for name, text in FULL.items() if name != "shock_up"}))
    page.emulate_media(media="print")
    assert page.get_by_text("Sheet 1 of 2, with the body at the upper end.").is_visible()
    assert page.get_by_text("Sheet 2 of 2, with the shaft at the upper end.").is_visible()
    assert [len(printed(page, paper)) for paper in PAPERS] == [2, 2]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["sheet", "measuring"])
def test_a_sheet_goes_on_one_page_and_its_bar_is_50_mm(page: Page, address: str, name: str, paper: str) -> None:
    page.goto(address + PATHS[name])
    [pixels] = printed(page, paper)
    wide, high = PAPERS[paper]
    assert (mm(pixels.shape[1]), mm(pixels.shape[0])) == (pytest.approx(wide, abs=0.5), pytest.approx(high, abs=0.5))
    assert bar_mm(pixels) == pytest.approx(50, abs=0.5)
    inked = np.flatnonzero((pixels < 200).any(axis=1))
    assert mm(inked[0]) > 5
    assert high - mm(inked[-1]) > 5, "something may be cut off"


def bar_mm(pixels: Pixels) -> float:
    """Return how long the check bar is: found by its three black fields of 10 mm, which nothing else has."""
    for row in (pixels < 128)[::6]:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.view(np.int8), [0])))).reshape(-1, 2)
        fields = [(start, end) for start, end in edges.tolist() if abs(mm(end - start) - 10) < 0.5]
        if len(fields) == 3:
            return mm(fields[-1][1] - fields[0][0])
    raise AssertionError("there is no check bar on the paper")


def test_what_is_for_the_screen_alone_is_not_printed(page: Page, address: str) -> None:
    page.goto(address + SHEET)
    page.emulate_media(media="print")
    assert not page.locator("form").is_visible()
    assert not page.locator(".top").is_visible()
    assert page.locator(".sheet .cautions li").last.is_visible()
    assert page.get_by_text("up to event").is_visible()
    assert page.get_by_text("Demo data, invented: fit nothing by it").is_visible()
