"""Fault 36: the process that migrates the database is killed half-way."""

from __future__ import annotations

import os
import pathlib
import signal
import subprocess
import sys

from sqlalchemy import inspect

from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine
from boltspan.storage.migrations import check

ROOT = pathlib.Path(__file__).parents[2]


def test_a_migration_killed_at_any_statement_leaves_the_old_tables_and_completes_on_rerun(database_url: str) -> None:
    """Fault 36: kill at each step; nothing half made is left, and the rerun completes."""
    command = [sys.executable, "-m", "tests.faults.migrating", database_url]
    environment = os.environ | {"PYTHONPATH": f"{ROOT / 'api'}{os.pathsep}{ROOT}"}
    engine = make_engine(database_url)
    storage = SqlStorage(engine, SystemClock())
    with subprocess.Popen(
        command, cwd=ROOT, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as killer:
        assert killer.stdin is not None
        assert killer.stdout is not None
        kills = 0
        assert storage.ready()[0].startswith("migrations: ")
        while True:
            print(kills + 1, file=killer.stdin, flush=True)
            status = int(killer.stdout.readline())
            if status == 0:
                break
            assert status == -signal.SIGKILL
            kills += 1
            assert inspect(engine).get_table_names() == []
        killer.stdin.close()
    assert kills > 30  # every table, index and the commit
    assert storage.ready() == []
    check(engine)  # raises when a table is not as it should be
    with storage.writing() as uow:
        assert uow.events.record(None, "x") == 1
    engine.dispose()
