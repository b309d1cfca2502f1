"""Every way to install the package, each into an environment of its own, without a network.

The environments borrow the dependencies and the builder of the environment that runs the tests, but not its boltspan:
a path line of a ``.pth`` file is not searched for further ``.pth`` files, and an environment's own packages come first.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
WAYS = ("wheel", "sdist", "editable", "checkout")


@dataclass(frozen=True)
class Installed:
    """An environment in which the package can be imported; ``path`` is set for a bare checkout."""

    python: Path
    path: Path | None = None

    def run(self, *arguments: str, cwd: Path) -> str:
        """Return what this environment's Python prints. Raises AssertionError with its errors when it fails."""
        environment = {"PATH": f"{self.python.parent}:{os.defpath}", "HOME": str(cwd)}
        if self.path:
            environment["PYTHONPATH"] = str(self.path)
        return _run([str(self.python), "-B", *arguments], cwd, environment)


def build(source: Path, into: Path) -> tuple[Path, Path]:
    """Return the wheel and the source distribution, built from ``source`` into the folder ``into``."""
    _run(
        [
            sys.executable,
            "-m",
            "hatchling",
            "build",
            "--target",
            "wheel",
            "--target",
            "sdist",
            "--directory",
            str(into),
        ],
        source,
    )
    return next(into.glob("*.whl")), next(into.glob("*.tar.gz"))


def install(way: str, source: Path, built: tuple[Path, Path], folder: Path) -> Installed:
    """Return a new environment in ``folder`` with the package installed in one of WAYS."""
    venv.EnvBuilder(with_pip=False, symlinks=True).create(folder)
    python = folder / "bin" / "python"
    purelib = "lib/python{}.{}/site-packages".format(*sys.version_info)
    (folder / purelib / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", "utf-8")
    if way == "checkout":
        return Installed(python, source / "api")
    target = {"wheel": [str(built[0])], "sdist": [str(built[1])], "editable": ["--editable", str(source)]}[way]
    _run(
        [sys.executable, "-m", "pip", "--isolated", "--python", str(python), "install", "--quiet", "--no-deps",
         "--no-index", "--no-cache-dir", "--no-build-isolation", "--disable-pip-version-check", "--ignore-installed",
         *target],
        folder,
    )  # fmt: skip
    return Installed(python)


def _run(command: list[str], cwd: Path, environment: dict[str, str] | None = None) -> str:
    ran = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, f"{' '.join(command)}\n{ran.stdout}{ran.stderr}"
    return ran.stdout
