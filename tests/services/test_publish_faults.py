"""What goes wrong while a release is built: it appears whole or not at all, and the older ones stay as they are."""

from __future__ import annotations

import errno
import fcntl
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.releasing.verifying import verify_files
from boltspan.domain.errors import Clash, NotFound, StorageFull, Unavailable
from boltspan.domain.jsontext import loads
from boltspan.services import publish
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import Storage
from boltspan.storage import SqlStorage, make_engine
from tests.services import release_world as world
from tests.services.conftest import StandingClock
from tests.services.release_world import built, change, files, path_in, shown

ROOT = Path(__file__).parents[2]


@pytest.fixture
def storage(migrated_url: str, clock: StandingClock) -> Iterator[SqlStorage]:
    """An empty storage of either kind whose events are dated by the standing clock."""
    engine = make_engine(migrated_url)
    yield SqlStorage(engine, clock)
    engine.dispose()


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """The data folder."""
    return tmp_path / "data"


@pytest.fixture
def filled(storage: SqlStorage) -> SqlStorage:
    """A storage with the sample in it."""
    world.fill(storage)
    return storage


def test_writers_do_not_wait_and_what_they_write_comes_with_the_next(
    filled: SqlStorage, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = publish.write_release

    def writing(*args: Any, **named: Any) -> dict[str, Any]:
        world.add_frames(filled, 500, 1)
        return real(*args, **named)

    with filled.reading() as uow:
        last = uow.events.last()
    monkeypatch.setattr(publish, "write_release", writing)
    release = built(filled, data)
    monkeypatch.undo()
    assert release.event == last
    assert "f-0000000500" not in path_in(data, release, "frames.csv").read_text("utf-8")
    following = built(filled, data)
    assert "f-0000000500" in path_in(data, following, "frames.csv").read_text("utf-8")


def test_two_builders_at_once_are_one_too_many(filled: SqlStorage, data: Path) -> None:
    (data / "releases").mkdir(parents=True)
    with (data / "releases" / ".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with pytest.raises(Clash, match="is being built"):
            built(filled, data)
    assert built(filled, data).version == "2026.06.1"


def test_a_release_recorded_meanwhile_from_another_folder_is_not_overwritten(
    filled: SqlStorage, data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = publish.write_release

    def overtaken(*args: Any, **named: Any) -> dict[str, Any]:
        monkeypatch.undo()
        built(filled, tmp_path / "other")
        return real(*args, **named)

    monkeypatch.setattr(publish, "write_release", overtaken)
    with pytest.raises(Clash, match=r"2026\.06\.1 was built meanwhile"):
        built(filled, data)
    assert shown(data) == set()


def test_no_room_leaves_nothing_and_is_told(filled: SqlStorage, data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with filled.reading() as uow:
        last = uow.events.last()
    monkeypatch.setattr("boltspan.dataset.releasing.folder.os.fsync", full)
    with pytest.raises(StorageFull):
        built(filled, data)
    monkeypatch.undo()
    assert shown(data) == set()
    with filled.reading() as uow:
        assert (uow.releases.releases(), uow.events.last()) == ([], last)
    assert built(filled, data).version == "2026.06.1"


def test_an_error_in_the_middle_leaves_nothing(filled: SqlStorage, data: Path) -> None:
    built(filled, data)
    change(filled)
    with filled.writing() as uow:
        uow.published.clear()
    with pytest.raises(Unavailable, match="is not encoded"):
        built(filled, data)
    assert shown(data) == {"2026.06.1"}


@pytest.mark.parametrize("damage", [Path.unlink, lambda p: (p.chmod(0o644), p.write_bytes(b""))])
def test_without_the_last_release_there_is_nothing_to_compare_with(
    filled: SqlStorage, data: Path, damage: Callable[[Path], object]
) -> None:
    first = built(filled, data)
    damage(path_in(data, first, "answers.jsonl"))
    change(filled)
    with pytest.raises(Clash, match="nothing to compare with"):
        built(filled, data)
    with filled.writing() as uow:
        publish.withdraw_release(COMMAND_LINE, uow, StandingClock(), first.version, "its files are lost")
    second = built(filled, data)
    assert "previous" not in loads(path_in(data, second, "CHANGES.json").read_bytes())


# killed builders


def run_builder(url: str, data: Path, hook: str = "none") -> subprocess.Popen[str]:
    """Start a process that builds a release, and return it when it is about to start."""
    environment = os.environ | {"PYTHONPATH": f"{ROOT / 'api'}:{ROOT}"}
    command = [sys.executable, "-m", "tests.services.release_world", url, str(data), hook]
    process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


def ended(process: subprocess.Popen[str]) -> int:
    with process:
        process.communicate()
    return process.returncode


def check_whole(storage: Storage, data: Path, kept: dict[str, dict[str, bytes]]) -> set[str]:
    """Check that every release in sight is whole, that older ones are as before, and return those recorded."""
    for name in shown(data):
        if not name.startswith(".building-"):
            assert verify_files(data / "releases" / name) == [], name
    for version, content in kept.items():
        assert files(data / "releases" / version) == content
    with storage.reading() as uow:
        recorded = {r.version for r in uow.releases.releases()}
    assert recorded <= shown(data)
    return recorded


@pytest.mark.parametrize("hook", ["before", "after"])
def test_a_builder_killed_where_the_release_appears_leaves_it_whole_or_not_at_all(
    filled: SqlStorage, migrated_url: str, data: Path, hook: str
) -> None:
    first = built(filled, data)
    kept = {first.version: files(data / "releases" / first.version)}
    change(filled)
    assert ended(run_builder(migrated_url, data, hook)) == -signal.SIGKILL
    assert check_whole(filled, data, kept) == {"2026.06.1"}
    left = shown(data) - {"2026.06.1"}
    assert len(left) == 1
    assert (left == {"2026.06.2"}) == (hook == "after")
    with filled.reading() as uow, pytest.raises(NotFound):
        publish.release_file(data, uow, "2026.06.2", "ends.csv")  # not recorded, so not a release
    placed = files(data / "releases" / "2026.06.2") if hook == "after" else None
    assert built(filled, data).version == "2026.06.2"
    assert shown(data) == {"2026.06.1", "2026.06.2"}
    assert placed is None or files(data / "releases" / "2026.06.2") == placed


def test_what_a_killed_builder_placed_keeps_its_number_when_the_state_went_on(
    filled: SqlStorage, migrated_url: str, data: Path
) -> None:
    assert ended(run_builder(migrated_url, data, "after")) == -signal.SIGKILL
    placed = {"2026.06.1": files(data / "releases" / "2026.06.1")}
    change(filled)
    assert built(filled, data).version == "2026.06.2"
    assert check_whole(filled, data, placed) == {"2026.06.2"}


@pytest.mark.slow
def test_builders_killed_at_random_leave_nothing_partial(filled: SqlStorage, migrated_url: str, data: Path) -> None:
    world.add_frames(filled, 1000, 400)  # so that there is a while to be killed in
    started = time.monotonic()
    release = built(filled, data)
    took = time.monotonic() - started
    kept = {release.version: files(data / "releases" / release.version)}
    chance = random.Random(20260601)
    outcomes = []
    for _ in range(10):
        change(filled)
        process = run_builder(migrated_url, data)
        time.sleep(chance.uniform(0, took * 1.5))
        process.kill()
        outcomes.append(ended(process))
        for version in check_whole(filled, data, kept) - kept.keys():
            kept[version] = files(data / "releases" / version)
    assert -signal.SIGKILL in outcomes, "no builder was killed in the middle"
    change(filled)
    last = built(filled, data)
    assert check_whole(filled, data, kept) == {*kept, last.version}
    assert not [name for name in shown(data) if name.startswith(".building-")]
