"""Wheel, source distribution, editable install and bare checkout: each finds the same dataset and schema files."""

from __future__ import annotations

import hashlib
import json
import tarfile
import zipfile
from pathlib import Path

import pytest

from tests.packaging.installs import ROOT, WAYS, Installed, build, install

FOUND = """
import json, hashlib, pathlib, boltspan
from boltspan.dataset.locate import dataset_folder, schema_folder

def files(folder):
    return {p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
            for p in sorted(folder.rglob("*")) if p.is_file()}

print(json.dumps({"package": str(pathlib.Path(boltspan.__file__).parent), "dataset": files(dataset_folder()),
                  "schema": files(schema_folder()), "roots": [str(dataset_folder()), str(schema_folder())]}))
"""


def _files(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return build(ROOT, tmp_path_factory.mktemp("built"))


@pytest.fixture(scope="module", params=WAYS)
def way(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def installed(way: str, built: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Installed:
    return install(way, ROOT, built, tmp_path_factory.mktemp(way) / "environment")


def test_every_install_finds_the_files_of_the_checkout(way: str, installed: Installed, tmp_path: Path) -> None:
    found = json.loads(installed.run("-c", FOUND, cwd=tmp_path))
    assert found["dataset"] == _files(ROOT / "dataset")
    assert found["schema"] == _files(ROOT / "schema")
    assert len(found["dataset"]) > 2
    in_checkout = way in ("editable", "checkout")
    assert Path(found["package"]).is_relative_to(ROOT) == in_checkout
    # An editable install also holds a copy of the files as they were when it was made; nobody may meet it.
    assert all(Path(r).is_relative_to(ROOT) == in_checkout for r in found["roots"])


def test_every_install_checks_the_dataset_it_finds(installed: Installed, tmp_path: Path) -> None:
    installed.run("-c", "import sys; from boltspan.cli import main; sys.exit(main(['dataset', 'check']))", cwd=tmp_path)


def test_the_command_is_installed(built: tuple[Path, Path], tmp_path: Path) -> None:
    environment = install("wheel", ROOT, built, tmp_path / "environment")
    shown = environment.run(str(environment.python.parent / "boltspan"), "--version", cwd=tmp_path)
    assert shown == f"boltspan {built[0].name.split('-')[1]}\n"


def test_the_wheel_holds_the_package_its_data_and_nothing_else(built: tuple[Path, Path]) -> None:
    with zipfile.ZipFile(built[0]) as wheel:
        names = wheel.namelist()
    tops = {n.split("/")[0] for n in names}
    assert {t.split("-")[0] for t in tops} == {"boltspan"}
    assert len(tops) == 2
    assert {"boltspan/py.typed", "boltspan/_data/dataset/LICENSE", "boltspan/evidence/parameters.toml"} <= set(names)
    assert any(n.endswith("/licenses/LICENSE") for n in names)
    sources = {
        f"boltspan/{p.relative_to(ROOT / 'api' / 'boltspan')}" for p in (ROOT / "api" / "boltspan").rglob("*.py")
    }
    assert sources <= set(names)


def test_the_source_distribution_can_be_tested(built: tuple[Path, Path]) -> None:
    with tarfile.open(built[1]) as sdist:
        names = {n.partition("/")[2] for n in sdist.getnames()}
    wanted = {"README.md", "DEVELOPERS.md", "docker-compose.yml", "api/requirements-test.lock", "tests/conftest.py"}
    assert wanted <= names
    assert not {n for n in names if n.startswith((".venv", ".git/", ".boltspan"))}


def test_the_same_tree_gives_the_same_bytes(tmp_path: Path) -> None:
    first, again = build(ROOT, tmp_path / "first"), build(ROOT, tmp_path / "again")
    assert [hashlib.sha256(p.read_bytes()).hexdigest() for p in again] == [
        hashlib.sha256(p.read_bytes()).hexdigest() for p in first
    ]
