"""A real server on the loopback and a real browser; skipped where Chromium is not installed."""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Locator, Page

ROOT = Path(__file__).parents[2]
PATIENCE_MS = 120_000
QUOTE = (
    "<script>document.title='taken'</script><img src=\"https://elsewhere.example/x.png\" onerror=alert(1)> 22.2 x M8"
)


def fill(folder: Path) -> None:
    """Fill a database with one frame of every kind of record, a shock, and a quote that is a script."""
    from boltspan.services.bringing import Bringing
    from boltspan.services.clock import SystemClock
    from boltspan.storage import SqlStorage, make_engine, migrate
    from tests.dataset.sample import with_shock
    from tests.http.world import Site
    from tests.http.world import fill as fill_world
    from tests.services.conftest import StandingClock

    engine = make_engine(f"sqlite:///{folder / 'boltspan.db'}")
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    clock = StandingClock()
    clock.instant = max(clock.instant, SystemClock().now())  # what is issued by it ends a while from now
    site = Site(storage, clock, fill_world(storage, clock), folder)
    extra = with_shock()
    with storage.writing() as uow:
        bringing = Bringing(uow, clock, None)
        bringing.shock_models(extra.shock_models)
        bringing.records(extra.shocks)
    (folder / "tokens.json").write_text(json.dumps(site.tokens))
    source = {"kind": "spec_page", "url": "https://example.org/a?b", "seen_on": "2026-05-01", "quote": QUOTE}
    assert site.claim(source=source).status_code == 201
    case, tag = site.case()
    decision = {"ruling": "leave_open", "why": "looked at: <b>not bold</b>"}
    assert site.post(f"/v1/reviews/{case}/decisions", decision, who="mia", match=tag).status_code == 201
    engine.dispose()


@contextmanager
def own_port() -> Iterator[int]:
    """Keep a port of the loopback for one server of this test run.

    The server shares the port with this socket, which never listens; to anybody else, a server of tests that run
    beside these included, the port is taken.
    """
    with socket.socket() as kept:
        kept.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        kept.bind(("127.0.0.1", 0))
        yield int(kept.getsockname()[1])


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Run a server on a data folder that is filled; the address is given."""
    path = os.pathsep.join([str(ROOT), str(ROOT / "api")])
    environment = {**os.environ, "BROWSER_TEST_FOLDER": str(folder), "PYTHONPATH": path}
    with own_port() as port:
        command = [sys.executable, "-m", "granian", "--interface", "wsgi", "--workers", "1", "--host", "127.0.0.1",
                   "--port", str(port), "--no-log", "--workers-kill-timeout", "5",
                   "--factory", "tests.browser.served:make"]  # fmt: skip
        with subprocess.Popen(command, env=environment, cwd=folder) as server:
            try:
                _wait(f"http://127.0.0.1:{port}/livez", server)
                yield f"http://127.0.0.1:{port}"
            finally:
                server.terminate()
                try:
                    server.wait(20)
                except subprocess.TimeoutExpired:
                    server.kill()


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder that the server runs on."""
    folder = tmp_path_factory.mktemp("browser")
    fill(folder)
    return folder


@pytest.fixture(scope="session")
def tokens(filled: Path) -> dict[str, str]:
    """The tokens of the people in it, by name."""
    found: dict[str, str] = json.loads((filled / "tokens.json").read_text())
    return found


@pytest.fixture(scope="session")
def address(filled: Path) -> Iterator[str]:
    """The address of a running server."""
    with served(filled) as found:
        yield found


def _wait(url: str, server: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 180
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(url, timeout=5):
                return
        except OSError:
            time.sleep(0.1)
    pytest.fail("the server did not start")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A browser without its own downloads: the system's Chromium."""
    from playwright.sync_api import sync_playwright

    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("Debian's chromium is not installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()


def patient(context: BrowserContext) -> BrowserContext:
    """Give a busy machine time: what is waited for comes, however late."""
    context.set_default_timeout(PATIENCE_MS)
    return context


def press(button: Locator) -> None:
    """Press a button or follow a link, and wait until the page that it leads to is there.

    Without scripts every one leads to a page. A click by itself may return before the browser has begun to go there.
    """
    with button.page.expect_navigation():
        button.click()


def resized(page: Page, width: int, height: int) -> None:
    """Give a page another size, and wait until the browser has it: it answers before it has."""
    page.set_viewport_size({"width": width, "height": height})
    page.wait_for_function("size => innerWidth === size[0] && innerHeight === size[1]", arg=[width, height])


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page of a browser that runs no script, with a list of what went wrong on it."""
    context = patient(browser.new_context(java_script_enabled=False, reduced_motion="reduce"))
    yield context.new_page()
    context.close()


@pytest.fixture
def scripted(browser: Browser) -> Iterator[Page]:
    """A page of a browser that would run scripts."""
    context = patient(browser.new_context(reduced_motion="reduce"))
    yield context.new_page()
    context.close()
