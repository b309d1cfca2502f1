"""What strangers write stays text on every page there is, for contributors and maintainers, on a phone.

A real browser that runs scripts opens every page over a database full of hostile texts. No script runs, nothing is
asked of anybody else, nothing breaks the page's own policy, no page is hidden, sent elsewhere or wider than the phone.
An address in a claim is never fetched by the server either: it points at a listener that would see it.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlsplit

import pytest

from tests.browser.conftest import patient, press, served
from tests.browser.hostile import SHOCK, fill, texts
from tests.browser.test_reviewing import sign_in
from tests.browser.test_wcag import FRAME, NO_PAGES, OWN, PUBLIC, looked_at
from tests.contract.test_document import without_database

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ACTIVE = """() => {
  document.querySelectorAll('details').forEach(e => e.open = true);
  const bad = [...document.querySelectorAll('script, iframe, object, embed, base, meta[http-equiv], style')]
    .filter(e => !(e.matches('script[src="/static/as_typed.js"]') && e.text === ''));
  for (const e of document.querySelectorAll('*')) {
    const named = [...e.attributes].some(a => a.name.startsWith('on') || (a.name === 'style'));
    const runs = ['href', 'src', 'action', 'formaction', 'xlink:href'].some(
      a => /^\\s*(javascript|data|vbscript):/i.test(e.getAttribute(a) ?? ''));
    const fetched = e.matches('img, source, video, audio, link, image, use') && [e.src, e.href?.baseVal ?? e.href].some(
      a => a && new URL(a, location).origin !== location.origin);
    if (named || runs || fetched) bad.push(e);
  }
  for (const e of document.querySelectorAll('main a[href^="http"]')) {
    if (new URL(e.href).origin !== location.origin && !e.relList.contains('noreferrer')) bad.push(e);
  }
  return {
    bad: bad.map(e => e.outerHTML.slice(0, 200)), ran: window.ran ?? 0, shown: document.body.checkVisibility(),
    width: document.documentElement.scrollWidth,
  };
}"""
"""What a page holds that is more than text, after everything that is folded away is opened."""


@dataclass
class Watched:
    """A page of a browser with everything that happened in it and should not have."""

    page: Page
    address: str
    wrong: list[str] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.page.on("dialog", lambda dialog: self.wrong.append(f"dialog: {dialog.message}"))
        self.page.on("pageerror", lambda error: self.wrong.append(f"script: {error}"))
        self.page.on("console", lambda said: self._told(said.type, said.text))
        self.page.on("request", lambda request: self._asked(request.url))

    def _told(self, kind: str, text: str) -> None:
        """Take up what the browser says of errors; a breach of the page's policy is one."""
        if (
            kind == "error" and "Failed to load resource: the server responded with a status of 4" not in text
        ):  # a page of ours about it
            self.wrong.append(f"console: {text}")

    def _asked(self, url: str) -> None:
        if not url.startswith(self.address + "/"):
            self.wrong.append(f"request: {url}")

    def open(self, path: str) -> None:
        """Open a page and look at it."""
        self.page.goto(self.address + path)
        assert urlsplit(self.page.url).path == urlsplit(path).path or "/record" in self.page.url, path
        self.seen.add(path)
        self.look(path)

    def look(self, where: str) -> None:
        """Look at the page at hand."""
        found: dict[str, Any] = self.page.evaluate(ACTIVE)
        assert (found["bad"], found["ran"], found["shown"]) == ([], 0, True), where
        assert found["width"] <= 320, (where, found["width"])
        assert self.wrong == [], where


@pytest.fixture(scope="module")
def listener() -> Iterator[tuple[str, list[str]]]:
    """An address elsewhere, and whoever has asked for it."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.setblocking(False)
        asked: list[str] = []
        yield f"http://127.0.0.1:{server.getsockname()[1]}/x", asked
        with pytest.raises(BlockingIOError):
            asked.append(str(server.accept()[1]))
        assert asked == [], "somebody fetched an address out of a claim"


@pytest.fixture(scope="module")
def planted(tmp_path_factory: pytest.TempPathFactory, listener: tuple[str, list[str]]) -> dict[str, Any]:
    """What is in the database, with its folder."""
    folder = tmp_path_factory.mktemp("hostile")
    return fill(folder, listener[0]) | {"folder": folder, "elsewhere": listener[0]}


@pytest.fixture(scope="module")
def hostile(planted: dict[str, Any]) -> Iterator[str]:
    """The address of a server over it."""
    with served(Path(planted["folder"])) as found:
        yield found


@pytest.fixture
def watched(browser: Browser, hostile: str) -> Iterator[Watched]:
    """A phone that runs whatever it is given to run."""
    context = patient(browser.new_context(viewport={"width": 320, "height": 700}, reduced_motion="reduce"))
    yield Watched(context.new_page(), hostile)
    context.close()


def in_addresses(elsewhere: str) -> list[str]:
    """Return pages whose address holds hostile text."""
    found = []
    for text in (*texts(elsewhere), "\x00", "\ufffe"):
        said = quote(text, safe="")
        found += [
            f"{page}{said}"
            for page in (
                "/?q=",
                "/submit?q=",
                "/submit/frame?q=",
                "/submit/shock?q=",
                "/sign-in?next=",
                "/fit?q=",
                "/wrong?frame=",
            )
        ]
    said = quote(texts(elsewhere)[0].replace("/", ""), safe="")
    return [*found, f"/problems/{said}", f"/submit?frame={said}", f"/fit?frame={FRAME}&shock={said}&first_size={said}",
            "/problems/%ED%A0%80", "/?q=%ED%A0%80"]  # fmt: skip


def test_to_anybody(watched: Watched, planted: dict[str, Any]) -> None:
    for path in (*PUBLIC, "/?q=f-0000000001", "/?q=tarnvale", "/?q=quillhope", f"/fit?frame={FRAME}&shock={SHOCK}"):
        watched.open(path)
    for steps in ("", "&subject=body&kind=measured", "&subject=shaft&kind=spec_page", "&subject=sizes&kind=spec_page"):
        watched.open(f"/submit?shock={SHOCK}{steps}")
        assert looked_at(watched.page) == [], steps
    for text in texts(planted["elsewhere"]):
        watched.open(f"/wrong?frame={FRAME}&subject=upper")
        watched.page.get_by_label("Something else is wrong").check()
        watched.page.get_by_label("In your own words").fill(text)
        press(watched.page.get_by_role("button", name="Send it"))
        refused = watched.page.get_by_role("heading", name="Something needs another look")
        assert refused.or_(watched.page.get_by_role("heading", name="it has arrived")).is_visible()
        watched.look(f"flagged: {text}")
    for path in in_addresses(planted["elsewhere"]):
        watched.page.goto(watched.address + path)
        watched.look(path)


def test_to_contributors(watched: Watched, planted: dict[str, Any]) -> None:
    page, nasty = watched.page, texts(planted["elsewhere"])
    sign_in(page, watched.address, planted["tokens"]["ann"])
    for path in (*OWN, f"/claims/{planted['claim']}"):
        watched.open(path)
    for text in nasty:
        watched.open(f"/submit?frame={FRAME}&subject=upper&kind=manual")
        page.get_by_label("The size, just as it is written").fill("M8 x 30" if text is nasty[0] else text[:200])
        page.locator("[data-said-here=label] p").first.wait_for()
        watched.look(f"said back while typed: {text}")
        page.get_by_label("Or the name of the document").fill(text)
        page.get_by_label("What it says, word for word").fill(text)
        press(page.get_by_role("button", name="See what it comes to"))
        watched.look(f"submit {text}")
    page.goto(f"{watched.address}/claims/{planted['claim']}")
    page.get_by_label("Your answer").fill(nasty[1])
    press(page.get_by_role("button", name="Answer"))
    watched.look("answered")


def test_to_maintainers_and_no_page_is_left_out(watched: Watched, planted: dict[str, Any]) -> None:
    page, nasty = watched.page, texts(planted["elsewhere"])
    sign_in(page, watched.address, planted["tokens"]["max"])
    for path in ("/desk", "/desk?state=closed", *(f"/desk/people/{p}" for p in planted["people"])):
        watched.open(path)
    for document in planted["documents"]:
        watched.open(f"/desk/documents?document={quote(document, safe='')}")
    for case, subject in planted["cases"]:
        watched.open(f"/desk/{case}/record")
        if subject != "record":
            watched.open(f"/desk/{case}")
    for text in nasty[:3]:
        case = next(case for case, subject in planted["cases"] if subject == "upper")
        watched.open(f"/desk/{case}")
        page.locator("#settle-label").fill(text[:80])
        page.locator("#settle-claims input").first.check()
        page.locator("#settle-why").fill(text)
        press(page.get_by_role("button", name="See what it does").first)
        watched.look("a ruling that is refused")
        page.locator("#withhold-why").fill(text)
        press(page.locator("form", has=page.locator("#withhold-why")).get_by_role("button"))
        assert page.get_by_role("button", name="Carry it out").is_visible()
        watched.look("a ruling before it is carried out")
        watched.open(f"/desk/{case}/record")
        page.locator("#names-name").fill(text[:80])
        page.locator("#names-why").fill(text)
        press(page.locator("form", has=page.locator("#names-why")).get_by_role("button"))
        watched.look("an edit")
        watched.open(f"/desk/people/{planted['people'][0]}")
        page.locator("#why").fill(text)
        press(page.get_by_role("button", name="See what it does"))
        assert page.get_by_role("button", name="Carry it out").is_visible()
        watched.look("an undoing")
    watched.open(f"/claims/{planted['claim']}")
    rules = without_database().url_map
    pages = {r.rule for r in rules.iter_rules() if r.endpoint.startswith("pages.") and "GET" in (r.methods or ())}
    bound = rules.bind("localhost")
    paths = {urlsplit(path).path for path in (*watched.seen, *PUBLIC, *OWN)}
    opened = {bound.match(path, "GET", return_rule=True)[0].rule for path in paths}
    assert pages - NO_PAGES == opened


def test_a_breach_would_be_seen(watched: Watched, planted: dict[str, Any]) -> None:
    watched.page.goto(f"{watched.address}/sign-in")
    watched.page.evaluate("text => { document.querySelector('main').innerHTML = text }", texts(planted["elsewhere"])[0])
    with pytest.raises(AssertionError):
        watched.look("a breach")
    assert any(line.startswith("console:") for line in watched.wrong)
