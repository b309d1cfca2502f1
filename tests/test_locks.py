"""The locks hold every dependency, with hashes, and agree with pyproject.toml and with each other."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
LOCKS = ("requirements.lock", "requirements-build.lock", "requirements-test.lock", "requirements-evidence.lock")
RUNTIME = PROJECT["project"]["dependencies"]
TEST = PROJECT["project"]["optional-dependencies"]["test"]
PLOTS, EVIDENCE = (PROJECT["project"]["optional-dependencies"][extra] for extra in ("plots", "evidence-test"))
BUILD = PROJECT["build-system"]["requires"]


def _text(lock: str) -> str:
    return (ROOT / "api" / lock).read_text("utf-8")


def _pins(lock: str) -> dict[str, list[tuple[Requirement, int]]]:
    """Return by name every pin (one for each group of Pythons) with how many hashes it has."""
    found: dict[str, list[tuple[Requirement, int]]] = {}
    for entry in re.split(r"\n(?=[A-Za-z0-9])", _text(lock).replace("\\\n", " ")):
        pin, *hashes = entry.split("\n")[0].split("--hash=sha256:")
        if not pin.startswith("#"):
            requirement = Requirement(pin)
            found.setdefault(canonicalize_name(requirement.name), []).append((requirement, len(hashes)))
    return found


def _versions(lock: str) -> set[tuple[str, str]]:
    return {(name, str(pin.specifier)) for name, several in _pins(lock).items() for pin, _ in several}


@pytest.mark.parametrize("lock", LOCKS)
def test_every_pin_is_exact_and_hashed_and_names_no_index(lock: str) -> None:
    pins = [p for several in _pins(lock).values() for p in several]
    assert len(pins) >= 5
    assert all([s.operator for s in requirement.specifier] == ["=="] and hashes for requirement, hashes in pins)
    assert not re.search(r"https?:|file:|--(extra-)?index|--find-links|--trusted", _text(lock))


@pytest.mark.parametrize(
    ("lock", "wanted"),
    [
        (LOCKS[0], RUNTIME),
        (LOCKS[1], BUILD),
        (LOCKS[2], [*RUNTIME, *TEST, *BUILD]),
        (LOCKS[3], [*RUNTIME, *EVIDENCE, *PLOTS]),
    ],
    ids=LOCKS,
)
def test_a_lock_satisfies_what_the_project_asks_for(lock: str, wanted: list[str]) -> None:
    pins = _pins(lock)
    for text in wanted:
        asked = Requirement(text)
        for pin, _ in pins[canonicalize_name(asked.name)]:
            (exact,) = pin.specifier
            assert asked.specifier.contains(exact.version), f"{text} is locked as {pin}"


@pytest.mark.parametrize("lock", LOCKS[:2])
def test_what_is_tested_is_what_runs(lock: str) -> None:
    assert _versions(lock) <= _versions(LOCKS[2])


def test_outside_checks_run_with_what_the_other_tests_run_with() -> None:
    """Where both locks have a package they have the same versions of it."""
    tested, outside = _pins(LOCKS[2]), _pins(LOCKS[3])
    shared = tested.keys() & outside.keys()
    assert {canonicalize_name(Requirement(text).name) for text in RUNTIME} <= shared
    for name in shared:
        versions = [{str(pin.specifier) for pin, _ in lock[name]} for lock in (tested, outside)]
        assert versions[0] == versions[1], name


def test_the_builder_is_named_alike_in_all_three_places() -> None:
    assert PROJECT["dependency-groups"]["build"] == BUILD
    assert set(BUILD) <= set(TEST)


def test_every_dependency_is_explained() -> None:
    """DEVELOPERS.md says in a line of its own why each is there."""
    told = set(re.findall(r"^\| `([\w-]+)` \|", (ROOT / "DEVELOPERS.md").read_text("utf-8"), re.MULTILINE))
    assert {Requirement(text).name for text in [*RUNTIME, *TEST, *BUILD, *PLOTS, *EVIDENCE]} <= told
