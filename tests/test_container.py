"""The image's recipe and the composition are in order. No container engine runs here: they are read, not started."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
import yaml

from boltspan.config import Config
from tests.packaging.installs import build

ROOT = Path(__file__).parents[1]
SETTINGS = {f.metadata["env"] for f in fields(Config)}


def _instructions() -> list[tuple[str, str]]:
    """Return (instruction, its text with continued lines joined) for every line of the recipe."""
    text = (ROOT / "api" / "Dockerfile").read_text("utf-8").replace("\\\n", " ")
    lines = [line.strip() for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return [(line.split(None, 1)[0], line.split(None, 1)[1]) for line in lines]


def _environment() -> dict[str, str]:
    return dict(word.split("=", 1) for name, rest in _instructions() if name == "ENV" for word in shlex.split(rest))


def test_what_the_recipe_copies_is_enough_to_build_the_wheel(tmp_path: Path) -> None:
    copied = [shlex.split(rest) for name, rest in _instructions() if name == "COPY" and "--from" not in rest]
    for *sources, target in copied:
        for source in sources:
            into = tmp_path / "src" / target
            if (ROOT / source).is_dir():
                shutil.copytree(ROOT / source, into)
            else:
                into.mkdir(parents=True, exist_ok=True)
                shutil.copy(ROOT / source, into)
    wheel, _ = build(tmp_path / "src", tmp_path / "built")
    straight, _ = build(ROOT, tmp_path / "straight")
    assert wheel.read_bytes() == straight.read_bytes()


def test_what_the_recipe_copies_is_sent_to_the_builder() -> None:
    ignored = (ROOT / "api" / "Dockerfile.dockerignore").read_text("utf-8").split()
    sent = {line.removeprefix("!") for line in ignored if line.startswith("!")}
    copied = [shlex.split(rest)[:-1] for name, rest in _instructions() if name == "COPY" and "--from" not in rest]
    assert {source.split("/")[0] for sources in copied for source in sources} == sent


def test_the_image_installs_from_the_locks_and_drops_root() -> None:
    steps = _instructions()
    installs = [part for name, rest in steps if name == "RUN" for part in rest.split("&&") if "pip install" in part]
    assert installs
    assert all("--require-hashes" in i or ("--no-index" in i and "--no-deps" in i) for i in installs)
    users = [rest for name, rest in steps if name == "USER"]
    assert users
    assert users[-1].isdecimal()
    assert int(users[-1]) > 0
    assert [name for name, _ in steps].index("USER") < [name for name, _ in steps].index("CMD")


def test_the_image_serves_with_settings_that_exist() -> None:
    commands = [json.loads(rest) for name, rest in _instructions() if name == "CMD"]
    assert commands == [["boltspan", "serve"]]
    own = {name for name in _environment() if name.startswith("BOLTSPAN_")}
    assert own <= SETTINGS
    config = Config.from_environment({name: _environment()[name] for name in own})
    assert config.bind == "0.0.0.0"  # inside the container only; the composition publishes it on the loopback
    volumes = [rest for name, rest in _instructions() if name == "VOLUME"]
    assert volumes == [str(config.data)]
    assert [rest for name, rest in _instructions() if name == "EXPOSE"] == [str(config.port)]


def test_the_image_has_a_python_that_the_package_supports() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    images = {rest.split()[0] for name, rest in _instructions() if name == "FROM"}
    versions = {image.removeprefix("python:").removesuffix("-slim") for image in images}
    assert versions
    assert all(f"Programming Language :: Python :: {v}" in project["classifiers"] for v in versions)


@pytest.fixture(scope="module")
def compose() -> str:
    if not (program := shutil.which("docker-compose")):
        pytest.skip("docker-compose is not installed (Debian: apt-get install docker-compose)")
    return program


def _config(compose: str, environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [compose, "--file", str(ROOT / "docker-compose.yml"), "config"],
        env={"PATH": os.defpath, **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_composition_is_accepted_with_a_password(compose: str) -> None:
    ran = _config(compose, {"POSTGRES_PASSWORD": "chosen for this test"})
    assert ran.returncode == 0, ran.stderr
    services: dict[str, Any] = yaml.safe_load(ran.stdout)["services"]
    assert services["api"]["environment"]["PGPASSWORD"] == "chosen for this test"
    assert services["database"]["environment"]["POSTGRES_PASSWORD"] == "chosen for this test"


@pytest.mark.parametrize("environment", [{}, {"POSTGRES_PASSWORD": ""}], ids=["none", "empty"])
def test_the_composition_has_no_password_of_its_own(compose: str, environment: dict[str, str]) -> None:
    ran = _config(compose, environment)
    assert ran.returncode != 0
    assert "choose a password" in ran.stderr


def test_the_composition_fits_the_image_and_the_settings() -> None:
    services: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text("utf-8"))["services"]
    api, database = services["api"], services["database"]
    own = {name for name in api["environment"] if name.startswith("BOLTSPAN_")}
    assert own <= SETTINGS
    config = Config.from_environment({name: api["environment"][name] for name in own})
    assert config.url.startswith("postgresql+psycopg://")
    assert api["depends_on"]["database"]["condition"] == "service_healthy"
    assert "pg_isready" in database["healthcheck"]["test"]
    assert database["image"] == "postgres:17"
    assert "ports" not in database
    assert api["ports"] == [f"127.0.0.1:{config.port}:{config.port}"]
    image_data = _environment()["BOLTSPAN_DATA"]
    assert any(volume.endswith(f":{image_data}") for volume in api["volumes"])
