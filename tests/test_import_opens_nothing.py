"""Importing any module of the package opens nothing: no file, socket, database, process or thread.

A child process imports them all under an audit hook (Python's own, PEP 578) and reports what it saw.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

WATCHER = r"""
import importlib, json, os, pkgutil, sys, threading

package, seen = sys.argv[1], []
OPENING = ("socket.", "sqlite3.connect", "subprocess.", "os.system", "os.exec", "os.fork", "os.posix_spawn", "os.mkdir",
           "os.remove", "os.rename", "os.truncate", "tempfile.", "shutil.", "signal.")
SOURCE = (".py", ".pyc", ".so", ".pyi")

def watch(event, args):
    if event == "open":
        path, mode, flags = args
        writes = isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        name = os.fsdecode(path) if isinstance(path, (str, bytes, os.PathLike)) else ""
        reads = name.startswith(folder) and not name.endswith(SOURCE)
        if writes or reads:
            seen.append(f"{module}: open {name} {mode}")
    elif event.startswith(OPENING) and owner():
        seen.append(f"{module}: {event} {args!r:.200}")

def owner():
    # Other people's packages may do at their import what they like; ours must not ask for it.
    frame = sys._getframe(2)
    while frame and not frame.f_code.co_filename.startswith(folder):
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return False
        frame = frame.f_back
    return frame is not None

def start(thread, start=threading.Thread.start):
    if owner():
        seen.append(f"{module}: thread {thread.name}")
    start(thread)

threading.Thread.start = start  # starting a thread is an audit event only from Python 3.12 on
module = "before"
root = importlib.import_module(package)
folder = os.path.dirname(root.__file__) + os.sep
sys.addaudithook(watch)
names = [package] + sorted(m.name for m in pkgutil.walk_packages(root.__path__, package + "."))
for module in names:
    if not module.endswith(".__main__") and ".alembic." not in module:
        importlib.import_module(module)
module = "after"
print(json.dumps({"names": names, "seen": seen}))
"""


def _watch(folder: Path, package: str, cwd: Path) -> dict[str, list[str]]:
    ran = subprocess.run(
        [sys.executable, "-B", "-c", WATCHER, package],
        cwd=cwd,
        env={"PATH": os.defpath, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    report: dict[str, list[str]] = json.loads(ran.stdout)
    return report


def test_importing_every_module_opens_nothing(tmp_path: Path) -> None:
    report = _watch(Path(__file__).parents[1] / "api", "boltspan", tmp_path)
    assert report["seen"] == []
    assert "boltspan.bootstrap" in report["names"]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("text", "event"),
    [
        ("open('left-behind', 'w').close()", "open left-behind w"),
        ("from pathlib import Path\nPath('left-behind').write_text('x')", "open left-behind w"),
        ("open(__file__.replace('opener.py', 'table.toml')).close()", "table.toml r"),
        ("import socket\nsocket.socket().close()", "socket."),
        ("import sqlite3\nsqlite3.connect(':memory:').close()", "sqlite3.connect"),
        ("import threading\nthreading.Thread(target=print).start()", "thread "),
        ("import subprocess\nsubprocess.run(['true'])", "subprocess.Popen"),
        ("import os\nos.mkdir('left-behind')", "os.mkdir"),
    ],
)
def test_the_watcher_sees_what_is_opened(tmp_path: Path, text: str, event: str) -> None:
    package = tmp_path / "sample"
    package.mkdir()
    (package / "__init__.py").touch()
    (package / "table.toml").touch()
    (package / "opener.py").write_text(text, "utf-8")
    seen = _watch(tmp_path, "sample", tmp_path)["seen"]
    assert any(event in line and line.startswith("sample.opener: ") for line in seen), seen
