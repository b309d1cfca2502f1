"""Starting the tests' own programs as processes of their own."""

from __future__ import annotations

import os
import pathlib
import subprocess
import sys
from typing import Any, Final

ROOT: Final = pathlib.Path(__file__).parents[2]


def environment(**more: str) -> dict[str, str]:
    """Return an environment in which the service and the tests can be imported, without the caller's settings."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith("BOLTSPAN_")}
    return plain | {"PYTHONPATH": f"{ROOT / 'api'}{os.pathsep}{ROOT}", "PYTHONUNBUFFERED": "1"} | more


def run(module: str, *arguments: object) -> None:
    """Run a module of the tests to its end; fail with what it said when it fails."""
    command = [sys.executable, "-m", module, *map(str, arguments)]
    done = subprocess.run(
        command, cwd=ROOT, env=environment(), capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr


def started(module: str, *arguments: object, **more: Any) -> subprocess.Popen[str]:
    """Start a module of the tests with pipes to it."""
    command = [sys.executable, "-m", module, *map(str, arguments)]
    return subprocess.Popen(
        command, cwd=ROOT, env=environment(), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, **more
    )
