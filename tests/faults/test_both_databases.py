"""Fault 37: SQLite and PostgreSQL answer differently."""

from __future__ import annotations

import pathlib
import random
from typing import Any

import pytest

from boltspan.storage import SqlStorage, make_engine, migrate
from tests.faults.golden import Run, seed_secrets, seen, written
from tests.faults.soundness import unsound
from tests.postgres import Server
from tests.services.conftest import StandingClock

SEED = 37
EVERY = {"submit", "measure", "withdraw", "decide", "reverse", "open_review", "propose", "edit"}


def golden(url: str, folder: pathlib.Path) -> tuple[Run, dict[str, Any], dict[str, bytes]]:
    """Return the run on this database, what is seen after it, and the files written of it."""
    engine = make_engine(url)
    migrate(engine)
    clock = StandingClock()
    run = Run(SqlStorage(engine, clock), clock, random.Random(SEED))
    with pytest.MonkeyPatch.context() as patch:
        seed_secrets(patch, SEED)
        run.start()
        run.play()
    found = run, seen(run.storage), written(run.storage, folder)
    assert unsound(run.storage) == []
    engine.dispose()
    return found


def test_the_same_run_gives_the_same_answers_and_the_same_bytes(postgres: Server, tmp_path: pathlib.Path) -> None:
    """Fault 37: 240 seeded calls on both: same receipts and refusals, same answers, byte-equal export and release."""
    here, here_seen, here_files = golden(f"sqlite:///{tmp_path / 'boltspan.db'}", tmp_path / "sqlite")
    there, there_seen, there_files = golden(postgres.create("golden"), tmp_path / "postgresql")
    assert set(here.done) == EVERY  # each kind of call was done, not only refused
    assert min(here.done.values()) >= 2, here.done
    for one, other in zip(here.told, there.told, strict=True):
        assert one == other
    for noun, answered in here_seen.items():
        assert answered == there_seen[noun], noun
    assert here_files.keys() == there_files.keys()
    for name, content in here_files.items():
        assert content == there_files[name], name
    postgres.drop("golden")
