"""The tools that read the source find nothing: ruff's rules and format, and mypy's strict types."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOOLS = {
    "rules": ["ruff", "check"],
    "format": ["ruff", "format", "--check"],
    "types": ["mypy"],
}
"""By what they look at; their settings stand in pyproject.toml."""


def _read(tool: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    environment = {name: value for name, value in os.environ.items() if name != "MYPYPATH"}  # a developer's own paths
    command = [sys.executable, "-m", *TOOLS[tool]]
    return subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)


@pytest.mark.slow
@pytest.mark.parametrize("tool", TOOLS)
def test_nothing_is_found(tool: str) -> None:
    ran = _read(tool, ROOT)
    assert ran.returncode == 0, ran.stdout + ran.stderr


@pytest.mark.parametrize(
    ("tool", "text", "found"),
    [
        ("rules", "import json\n", "F401"),
        ("format", "x = {  }\n", "would be reformatted"),
        ("types", "def f(x):\n    return x\n", "no-untyped-def"),
    ],
)
def test_a_fault_is_found(tmp_path: Path, tool: str, text: str, found: str) -> None:
    package = tmp_path / "api" / "boltspan"
    package.mkdir(parents=True)
    (package / "__init__.py").touch()
    (package / "faulty.py").write_text(text, "utf-8")
    (tmp_path / "pyproject.toml").write_text((ROOT / "pyproject.toml").read_text("utf-8"), "utf-8")
    ran = _read(tool, tmp_path)
    assert ran.returncode == 1, ran.stderr
    assert found in ran.stdout
