"""The README's tour, run as a reader would: every command, and the output it promises."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.docs.markdown import ROOT, blocks

README = (ROOT / "README.md").read_text("utf-8")
TOUR = "".join(b.text for b in blocks(README) if b.language == "console")
MARK = "=====next====="
# What differs from run to run: ids, tokens, hashes, and today's date; the tour's own dates stay.
CHANGING = (
    (r"\b([fcdpq])-[0-9a-hjkmnp-z]{10}\b", r"\1-ID"),
    (r"bs_[0-9a-z]{8}_[\w-]{43}_[0-9a-f]{6}", "TOKEN"),
    (r"\b[0-9a-f]{64}\b", "HASH"),
    (r"\b\d+\.\d+\.\d+\+[0-9a-f]{12}\b", "MODEL"),
    (r"\b202\d\.\d\d\.\d+\b", "RELEASE"),
    (r'"(on|came_on|opened_on|checked_on|built_on)": "202\d-\d\d-\d\d"', r'"\1": "DAY"'),
)


def _steps(tour: str) -> list[tuple[str, str]]:
    """Return commands with the output shown below each; a command goes on while its lines start with ``> ``."""
    steps: list[tuple[str, str]] = []
    for line in tour.splitlines():
        if line.startswith("$ "):
            steps.append((line[2:], ""))
        elif line.startswith("> ") and not steps[-1][1]:
            steps[-1] = (steps[-1][0] + "\n" + line[2:], "")
        else:
            steps[-1] = (steps[-1][0], steps[-1][1] + line + "\n")
    return steps


STEPS = _steps(TOUR)


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[str]]:
    """Run the whole tour in one shell against a fresh service, and return what each command printed."""
    folder = tmp_path_factory.mktemp("tour")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {k: v for k, v in os.environ.items() if not k.startswith("BOLTSPAN_")} | {
        "BOLTSPAN_DATA": str(folder / ".boltspan"),
        "PYTHONPATH": str(ROOT / "api"),
    }
    command = [sys.executable, "-m", "boltspan.cli", "serve", "--port", str(port)]
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(command, env=environment, stdout=log, stderr=log, start_new_session=True)
    try:
        _wait(port, server, folder / "log")
        script = "".join(f"{text}\necho {MARK}\n" for text, _ in STEPS)
        script = script.replace(".venv/bin/boltspan", "boltspan").replace("127.0.0.1:8000", f"127.0.0.1:{port}")
        script = f'boltspan() {{ "{sys.executable}" -m boltspan.cli "$@"; }}\nset -u\n{script}'
        ran = subprocess.run(
            ["bash", "-c", script],
            cwd=folder,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        yield (ran.stdout + ran.stderr).split(f"{MARK}\n")[: len(STEPS)]
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        server.wait(20)


def _wait(port: int, server: subprocess.Popen[bytes], log: Path) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=5):
                return
        except OSError:
            time.sleep(0.05)
    raise AssertionError(log.read_text("utf-8"))


def _plain(text: str) -> str:
    for pattern, stands_for in CHANGING:
        text = re.sub(pattern, stands_for, text)
    return text.strip()


def test_the_tour_has_commands_for_all_three_users() -> None:
    assert len(STEPS) >= 12


@pytest.mark.parametrize("number", range(len(STEPS)), ids=lambda n: STEPS[n][0].splitlines()[0][:50])
def test_a_command_prints_what_the_readme_shows(outputs: list[str], number: int) -> None:
    assert _plain(outputs[number]) == _plain(STEPS[number][1])
