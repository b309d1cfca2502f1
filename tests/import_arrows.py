"""Who may import whom, and a reader of imports that finds every arrow that is not allowed.

The table is the arrangement of the package; DEVELOPERS.md explains it. Imports are read from the source text
(``ast``), so that those inside functions and under ``TYPE_CHECKING`` count like any other.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final


@dataclass(frozen=True, slots=True)
class Layer:
    """What the modules of one layer may import: parts of the package by prefix, and other distributions by name.

    ``inside`` None means everything. The standard library is free, but for the modules named in ``not_even``.
    """

    inside: frozenset[str] | None
    outside: frozenset[str] = frozenset()
    not_even: frozenset[str] = frozenset()


def _of(*names: str) -> frozenset[str]:
    return frozenset(names)


IO_MODULES: Final = _of(
    "asyncio", "fcntl", "ftplib", "glob", "http", "io", "logging", "mmap", "multiprocessing", "os", "pathlib", "select",
    "selectors", "shutil", "signal", "smtplib", "socket", "socketserver", "sqlite3", "ssl", "subprocess", "tempfile",
    "threading", "time", "urllib.request",
)  # fmt: skip
"""Standard modules that reach files, sockets, processes or clocks."""

LAYERS: Final[dict[str, Layer]] = {
    "domain": Layer(_of("domain"), not_even=IO_MODULES),
    "evidence": Layer(_of("evidence", "domain"), _of("numpy")),
    "dataset": Layer(_of("dataset", "domain"), _of("jsonschema_rs")),
    "storage": Layer(_of("storage", "domain", "services.protocols"), _of("sqlalchemy", "alembic", "psycopg")),
    "services": Layer(_of("services", "domain", "evidence", "dataset"), _of("numpy", "rapidfuzz", "PIL")),
    "http": Layer(
        _of("http", "services", "domain"),
        _of("flask", "flask_smorest", "marshmallow", "webargs", "apispec", "werkzeug"),
    ),
    "web": Layer(_of("web", "services", "domain"), _of("flask", "markupsafe", "werkzeug")),
    "cli": Layer(_of("cli", "services", "dataset", "domain", "config", "bootstrap"), _of("granian", "matplotlib")),
    "config": Layer(_of("domain")),
    "bootstrap": Layer(None, _of("flask", "sqlalchemy", "werkzeug")),
    "": Layer(_of()),
}
"""By name below the package; "" is the package's own ``__init__``."""


@dataclass(frozen=True, slots=True)
class Arrow:
    """One import: ``module`` of the package at ``path``:``line`` imports ``target``."""

    path: Path
    line: int
    module: str
    target: str


def arrows(root: Path) -> list[Arrow]:
    """Return every import of every module of the package whose folder is ``root``, by file and line.

    A module imported by a call (``import_module``, ``__import__``) counts too: its target is the text written there,
    the package an f-string begins with (``f"boltspan.cli.{name}"``), or else "?".
    """
    package = root.name
    files = {_module_name(package, root, path): path for path in sorted(root.rglob("*.py"))}
    found = []
    for module, path in files.items():
        tree = ast.parse(path.read_text("utf-8"), str(path))
        here = module if path.name == "__init__.py" else module.rpartition(".")[0]
        for line, target in _targets(tree, here, files):
            found.append(Arrow(path, line, module, target))
    return found


def violations(root: Path, layers: dict[str, Layer] = LAYERS) -> list[str]:
    """Return one message for every import of the package at ``root`` that ``layers`` does not allow; [] when all are.

    A module that stands in no layer is a violation of its own.
    """
    package, found = root.name, []
    for path in sorted(root.rglob("*.py")):
        name = _below(package, _module_name(package, root, path))
        if _layer_of(name, layers) is None:
            found.append(f"{path}:1: {name} stands in no layer; add it to the table, or move it into one")
    for arrow in arrows(root):
        layer = _layer_of(_below(package, arrow.module), layers)
        if layer is not None and (why := _refusal(package, arrow.target, layers[layer])):
            found.append(f"{arrow.path}:{arrow.line}: {layer or package} imports {arrow.target}: {why}")
    return found


def _module_name(package: str, root: Path, path: Path) -> str:
    parts = path.relative_to(root).with_suffix("").parts
    return ".".join((package, *(parts[:-1] if parts[-1] == "__init__" else parts)))


def _below(package: str, module: str) -> str:
    return "" if module == package else module.removeprefix(package + ".")


def _layer_of(name: str, layers: dict[str, Layer]) -> str | None:
    first = name.partition(".")[0]
    return first if first in layers else None


def _refusal(package: str, target: str, layer: Layer) -> str | None:
    """Return why the layer may not import ``target``, or None when it may."""
    top = target.partition(".")[0]
    if top == package:
        name = _below(package, target)
        allowed = layer.inside
        if not name or allowed is None or any(name == a or name.startswith(a + ".") for a in allowed):
            return None
        return f"of the package it may import {', '.join(sorted(allowed)) or 'nothing'}"
    if any(target == m or target.startswith(m + ".") for m in layer.not_even):
        return "it does no I/O"
    if top in sys.stdlib_module_names or top in layer.outside:
        return None
    return f"beside the standard library it may import {', '.join(sorted(layer.outside)) or 'nothing'}"


def _targets(tree: ast.Module, here: str, modules: dict[str, Path]) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            base = _from_base(node, here)
            for alias in node.names:
                whole = f"{base}.{alias.name}"
                yield node.lineno, whole if whole in modules else base  # only the files tell a module from a name
        elif isinstance(node, ast.Call) and _called(node.func) in ("import_module", "__import__"):
            yield node.lineno, _written(node.args[0]) if node.args else "?"


def _from_base(node: ast.ImportFrom, here: str) -> str:
    if not node.level:
        return node.module or ""
    parts = here.split(".")
    above = parts[: len(parts) - (node.level - 1)]
    return ".".join((*above, node.module)) if node.module else ".".join(above)


def _written(name: ast.expr) -> str:
    whole = isinstance(name, ast.Constant)
    first = name.values[0] if isinstance(name, ast.JoinedStr) and name.values else name
    if not (isinstance(first, ast.Constant) and isinstance(first.value, str)):
        return "?"
    return first.value if whole else first.value[:-1] if first.value.endswith(".") else "?"


def _called(func: ast.expr) -> str:
    return func.attr if isinstance(func, ast.Attribute) else func.id if isinstance(func, ast.Name) else ""
