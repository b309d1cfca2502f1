"""The arrows between the layers hold, and the reader that says so finds those that do not."""

from __future__ import annotations

import ast
import textwrap
from pathlib import Path

import pytest

from tests.import_arrows import LAYERS, arrows, violations

PACKAGE = Path(__file__).parents[1] / "api" / "boltspan"


def test_every_import_follows_an_arrow_of_the_table() -> None:
    found = violations(PACKAGE)
    assert not found, "\n" + "\n".join(found)


def test_every_layer_of_the_table_stands() -> None:
    below = {p.stem if p.is_file() else p.name for p in PACKAGE.iterdir()}
    assert {name for name in LAYERS if name} <= below


def test_the_reader_sees_the_imports_of_the_package() -> None:
    seen = {(a.module, a.target) for a in arrows(PACKAGE)}
    assert ("boltspan.domain.values", "boltspan.domain.errors") in seen
    assert len(seen) > 100


def test_the_domain_opens_and_prints_nothing() -> None:
    calls = [
        f"{path}:{node.lineno}: {node.func.id}()"
        for path in sorted((PACKAGE / "domain").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in ("open", "print", "input", "exec", "eval")
    ]
    assert not calls, "\n" + "\n".join(calls)


def _package(folder: Path, files: dict[str, str]) -> Path:
    root = folder / "boltspan"
    for name in ("", *{str(Path(f).parent) for f in files}):
        (root / name).mkdir(parents=True, exist_ok=True)
        (root / name / "__init__.py").touch()
    for name, text in files.items():
        (root / name).write_text(textwrap.dedent(text), "utf-8")
    return root


FORBIDDEN = {
    "at the top": ("domain/a.py", "import numpy", 1),
    "in a function": ("services/a.py", "def f():\n    from boltspan.storage import tables", 2),
    "for types only": (
        "services/a.py",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import sqlalchemy",
        3,
    ),
    "relative": ("domain/a.py", "from ..services import lookup", 1),
    "relative, by the package": ("domain/a.py", "from .. import storage", 1),
    "from the package itself": ("http/a.py", "from boltspan import storage", 1),
    "behind a comma": ("web/a.py", "import json, boltspan.evidence", 1),
    "by a call": ("http/a.py", "import importlib\nimportlib.import_module('boltspan.storage.tables')", 2),
    "by a call that hides its target": (
        "cli/a.py",
        "import importlib\nimportlib.import_module('boltspan.' + 'web')",
        2,
    ),
    "by a call, into a package": (
        "http/a.py",
        "from importlib import import_module\nimport_module(f'boltspan.web.{x}')",
        2,
    ),
    "by a call that begins anywhere": (
        "cli/a.py",
        "from importlib import import_module\nimport_module(f'boltspan{x}')",
        2,
    ),
    "with another name": ("cli/a.py", "import flask as f", 1),
    "a sibling of the one module allowed": ("storage/a.py", "from boltspan.services import lookup", 1),
    "a name that only begins alike": ("storage/a.py", "from boltspan.services.protocols_of_old import x", 1),
    "I/O in the domain": ("domain/a.py", "from pathlib import Path", 1),
    "I/O in the domain, below a package": ("domain/a.py", "import urllib.request", 1),
    "the database in a command": ("cli/a.py", "from sqlalchemy import text", 1),
    "storage beside services": ("config.py", "from boltspan.storage.engine import x", 1),
    "a module of no layer": ("helpers.py", "import json", 1),
}


@pytest.mark.parametrize(("file", "text", "line"), FORBIDDEN.values(), ids=FORBIDDEN)
def test_a_forbidden_import_is_found_with_its_line(tmp_path: Path, file: str, text: str, line: int) -> None:
    root = _package(tmp_path, {file: text, "storage/tables.py": "", "services/lookup.py": ""})
    found = violations(root)
    assert len(found) == 1
    assert found[0].startswith(f"{root / file}:{line}: ")


def test_allowed_imports_are_let_through(tmp_path: Path) -> None:
    root = _package(
        tmp_path,
        {
            "domain/a.py": "import decimal, urllib.parse\nfrom . import b\nfrom boltspan import __version__",
            "domain/b.py": "from boltspan.domain.a import decimal",
            "evidence/a.py": "import numpy.typing as npt\nfrom boltspan.domain import b",
            "storage/a.py": "from boltspan.services.protocols import Event\nfrom boltspan.services import protocols",
            "services/protocols.py": "",
            "http/a.py": "from flask.views import View\nfrom ..services import protocols",
            "cli/a.py": "from importlib import import_module\nimport_module(f'boltspan.cli.{x}')",
            "bootstrap.py": "from boltspan import storage, services, web\nimport boltspan.http.a, flask",
        },
    )
    assert violations(root) == []
