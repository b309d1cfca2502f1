"""Every kind of page and drawing is valid HTML or SVG by the Nu Html Checker (vnu), which holds the WHATWG's rules."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from boltspan.domain.drawings.caliper_places import PLACES, caliper_place
from boltspan.domain.drawings.check_bar import check_bar
from boltspan.domain.drawings.cross_section import cross_section
from boltspan.domain.drawings.number_line import number_line
from tests.browser.test_sheets import PATHS
from tests.domain.drawings.ends import CASES
from tests.domain.drawings.test_number_line import TWO

JAR = "BOLTSPAN_VNU_JAR"
MORE_PATHS = {
    "home": "/",
    "found": "/?q=tarnvale+skerry+2021",
    "not_found": "/?q=zzzz",
    "reference": "/docs",
    "problems": "/problems",
    "problem": "/problems/stale",
    "both_ways": PATHS["sheet"].replace("shock_up=body", "shock_up="),
    "gone": "/fit?frame=f-0000000004",
    "wrong": "/wrong?frame=f-0000000001&subject=upper",
    "measured": "/submit?frame=f-0000000001&subject=lower&kind=measured",
    "stated": "/submit?frame=f-0000000001&subject=lower&kind=spec_page",
    "submit_shock": "/submit?shock=s-0000000001",
    "submit_readings": "/submit?frame=f-0000000001&subject=upper&kind=measured",
    "submit_eyelet": "/submit?shock=s-0000000001&subject=body&kind=measured",
    "submit_eyelet_as_said": "/submit?shock=s-0000000001&subject=body&kind=spec_page",
    "propose_shock": "/submit/shock?q=Holm",
    "submit_sizes": "/submit?shock=s-0000000001&subject=sizes&kind=spec_page",
}


@pytest.fixture(scope="module")
def checker() -> list[str]:
    """The command that checks files."""
    jar, java = os.environ.get(JAR), shutil.which("java")
    if not jar or java is None:
        pytest.skip(f"the checker is not here: {JAR} names no vnu.jar, or Java is missing")
    return [java, "-Xss4m", "-jar", jar, "--also-check-svg", "--format", "json", "--exit-zero-always"]


def found(checker: list[str], *files: Path) -> list[str]:
    """Return what the checker finds wrong or doubtful, by file."""
    ran = subprocess.run([*checker, *map(str, files)], capture_output=True, text=True, check=True, timeout=300)
    messages = json.loads(ran.stderr)["messages"]
    return [f"{Path(m['url']).name}: {m['message']}" for m in messages]


def test_every_page_and_drawing_is_valid(checker: list[str], address: str, tmp_path: Path) -> None:
    drawings = {
        **{f"place_{name}": caliper_place(name) for name in PLACES},
        **{f"end_{name}": str(cross_section(end)) for name, end in CASES.items()},
        "evidence": number_line(TWO),
        "bar": check_bar(),
    }
    for name, text in drawings.items():
        (tmp_path / f"{name}.svg").write_text(text, "utf-8")
    for name, path in (PATHS | MORE_PATHS).items():
        (tmp_path / f"{name}.html").write_bytes(fetched(address + path))
    assert found(checker, *sorted(tmp_path.iterdir())) == []


def test_the_checker_finds_faults(checker: list[str], tmp_path: Path) -> None:
    """A check that cannot fail would prove nothing."""
    page, drawing = tmp_path / "faulty.html", tmp_path / "faulty.svg"
    page.write_text("<!doctype html><html lang=en><title>x</title><p id='a b'>x</p><p id=c>y<p id=c>z", "utf-8")
    drawing.write_text(check_bar().replace("viewBox", "viewbox").replace("<rect", "<rectangle"), "utf-8")
    told = found(checker, page, drawing)
    assert {text.partition(":")[0] for text in told} == {"faulty.html", "faulty.svg"}


def fetched(url: str) -> bytes:
    """Return the page at ``url``, also when it says what was wrong."""
    try:
        with urllib.request.urlopen(url, timeout=30) as answer:
            return bytes(answer.read())
    except urllib.error.HTTPError as refused:
        return refused.read()
