"""The examples beside the schemas: each valid one, and each invalid one with where and why it fails."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.locate import schema_folder
from boltspan.domain.jsontext import loads

EXAMPLES = schema_folder() / "examples"
NAMES = ("dataset", "make", "frame", "shock", "hardware", "claim", "decision", "release")


def valid() -> list[Any]:
    """Return (schema name, file) of every valid example, as test parameters."""
    return [pytest.param(p.parts[-3], p, id=f"{p.parts[-3]}-{p.stem}") for p in sorted(EXAMPLES.glob("*/valid/*.json"))]


def invalid() -> list[Any]:
    """Return (schema name, file, expected pointer) of every invalid example, as test parameters."""
    files = sorted(EXAMPLES.glob("*/invalid/*.json"))
    return [pytest.param(p.parts[-3], p, expected(p)["pointer"], id=f"{p.parts[-3]}-{p.stem}") for p in files]


def expected(path: Path) -> dict[str, str]:
    """Return what is expected of an invalid example: its pointer, and why it is wrong."""
    found: dict[str, dict[str, str]] = json.loads((path.parents[1] / "expected.json").read_text("utf-8"))
    return found[path.name]


def exact(path: Path) -> Any:
    """Return an example as this program reads it, lengths exact."""
    return loads(path.read_bytes())


def plain(path: Path) -> Any:
    """Return an example as most programs read it, lengths as binary floats."""
    return json.loads(path.read_text("utf-8"))
