"""The tables come and go by steps, whole or not at all, whoever else is at it."""

from __future__ import annotations

import os
import pathlib
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator

import pytest
from alembic import command
from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Column, Engine, Text, event, inspect, text

from boltspan.domain.errors import Unavailable
from boltspan.services.clock import SystemClock
from boltspan.services.history import verify_events
from boltspan.services.permissions import COMMAND_LINE
from boltspan.storage import SqlStorage, downgrade, make_engine, migrate, migrations, tables
from boltspan.storage.key_text import KeyText
from tests.postgres import Server
from tests.storage.samples import claim, frame, put_frames

FRAME = "f-0000000001"


@pytest.fixture
def empty(database_url: str) -> Iterator[Engine]:
    engine = make_engine(database_url)
    yield engine
    engine.dispose()


def names(engine: Engine) -> set[str]:
    return set(inspect(engine).get_table_names())


def test_up_down_and_up_again(empty: Engine) -> None:
    wanted = set(tables.metadata.tables) | {"alembic_version"}
    for _ in range(2):
        migrate(empty)
        assert names(empty) == wanted
        migrations.check(empty)
        with SqlStorage(empty, SystemClock()).writing() as unit:
            put_frames(unit, [frame(1)])
            assert unit.events.record(None, "x") == 1
        downgrade(empty)
        assert names(empty) == {"alembic_version"}
    migrate(empty)
    migrate(empty)
    assert SqlStorage(empty, SystemClock()).ready() == []


def test_the_check_sees_a_difference(empty: Engine) -> None:
    migrate(empty)
    with migrations._changing_tables(empty) as connection:
        connection.exec_driver_sql("DROP INDEX ix_claims_frame_sequence_id")
    with pytest.raises(Exception, match="ix_claims_frame_sequence_id"):
        migrations.check(empty)


def test_key_text_is_compared_by_code_points_on_postgresql(postgres: Server) -> None:
    engine = make_engine(postgres.create("collated"))
    migrate(engine)
    asked = (
        "SELECT table_name, column_name, collation_name FROM information_schema.columns WHERE table_schema = 'public'"
    )
    with engine.connect() as connection:
        collations = {(r.table_name, r.column_name): r.collation_name for r in connection.execute(text(asked))}
    for table in tables.metadata.sorted_tables:
        for column in table.c:
            assert (collations[table.name, column.name] == "C") == (column.type is KeyText), f"{table}.{column.name}"
    engine.dispose()
    postgres.drop("collated")


def test_the_counter_has_one_row(empty: Engine) -> None:
    migrate(empty)
    with pytest.raises(Exception, match="ck_event_counter_one_row"), migrations._changing_tables(empty) as connection:
        connection.exec_driver_sql("INSERT INTO event_counter (id, last) VALUES (2, 0)")


def test_a_newer_versions_tables_are_left_alone(empty: Engine) -> None:
    migrate(empty)
    with migrations._changing_tables(empty) as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    assert SqlStorage(empty, SystemClock()).ready() == ["database: the database's tables are those of a newer version"]
    with pytest.raises(Unavailable, match="newer version"):
        migrate(empty)


def test_making_a_table_anew_keeps_the_rows_that_point_at_it(empty: Engine) -> None:
    migrate(empty)
    storage = SqlStorage(empty, SystemClock())
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
        unit.statements.add_claims([claim(1, "f-0000000001")])
    with migrations._changing_tables(empty) as connection:
        operations = Operations(MigrationContext.configure(connection))
        # anew even where the database could add the column by itself
        recreate = "always" if empty.dialect.name == "sqlite" else "auto"
        for table in ("makes", "models", "frames"):
            with operations.batch_alter_table(table, recreate=recreate) as batch:  # type: ignore[arg-type]
                batch.add_column(Column("note", Text))
    with storage.writing() as unit:
        assert unit.catalogue.count() == {"makes": 1, "models": 1, "frames": 1, "claims": 1, "decisions": 0}
    with empty.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(note) FROM frames").scalar_one() == 0
    if empty.dialect.name == "sqlite":  # and keys are still checked on every other connection
        with empty.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1


def test_a_migration_that_orphans_rows_is_rolled_back(tmp_path: pathlib.Path) -> None:
    engine = make_engine(f"sqlite:///{tmp_path / 'b.db'}")
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
    with pytest.raises(RuntimeError, match="a row of models"), migrations._changing_tables(engine) as connection:
        connection.exec_driver_sql("DELETE FROM makes")
    with storage.reading() as unit:
        assert len(unit.catalogue.makes()) == 1
    engine.dispose()


MIGRATE = """
import os, signal, sys
from sqlalchemy import event
from boltspan.storage import make_engine, migrate
engine, die_at, seen = make_engine(sys.argv[1]), int(sys.argv[2]), 0
@event.listens_for(engine, "after_cursor_execute")
def done(*_):
    global seen
    seen += 1
    if seen == die_at:
        os.kill(os.getpid(), signal.SIGKILL)
migrate(engine)
print(seen)
"""


def start(url: str, die_at: int = 0) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONPATH": str(pathlib.Path(tables.__file__).parents[2])}
    return subprocess.Popen(
        [sys.executable, "-c", MIGRATE, url, str(die_at)], env=environment, stdout=subprocess.PIPE, text=True
    )


def test_several_processes_start_at_once(empty: Engine) -> None:
    url = empty.url.render_as_string(hide_password=False)
    statements = []
    for process in [start(url) for _ in range(3)]:
        printed, _ = process.communicate(timeout=60)
        assert process.returncode == 0
        statements.append(int(printed))
    assert SqlStorage(empty, SystemClock()).ready() == []
    migrations.check(empty)
    assert max(statements) > len(tables.metadata.tables)  # one made the tables


@pytest.mark.parametrize("share", [0.5, 1.0])
def test_a_process_that_is_killed_half_way_leaves_nothing_and_the_next_completes(empty: Engine, share: float) -> None:
    migrate(empty)
    downgrade(empty)
    statements = []
    event.listen(empty, "after_cursor_execute", lambda *_: statements.append(1))
    migrate(empty)
    needed = len(statements)
    downgrade(empty)
    process = start(empty.url.render_as_string(hide_password=False), die_at=int(needed * share))
    process.communicate(timeout=60)
    assert process.returncode == -signal.SIGKILL
    assert names(empty) == {"alembic_version"}
    migrate(empty)
    migrations.check(empty)
    assert SqlStorage(empty, SystemClock()).ready() == []


def test_a_step_can_be_drafted(empty: Engine, tmp_path: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    scripts = tmp_path / "scripts"
    shutil.copytree(migrations.SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    migrate(empty)
    with migrations._changing_tables(empty) as connection:
        connection.exec_driver_sql("DROP INDEX ix_claims_frame_sequence_id")
    made = migrations.draft(empty, "claims are found by frame", scripts)
    newest = max(path.name[:4] for path in (migrations.SCRIPTS / "versions").glob("0*.py"))
    assert made == scripts / "versions" / f"{int(newest) + 1:04d}_claims_are_found_by_frame.py"
    written = made.read_text()
    assert "ix_claims_frame_sequence_id" in written
    assert f"down_revision = '{newest}'" in written
    compile(written, str(made), "exec")
    capsys.readouterr()


def test_events_that_stand_get_their_hash_and_claims_say_how_they_came_in(empty: Engine) -> None:
    with migrations._changing_tables(empty) as connection:
        config = migrations._config(connection)
        before = ScriptDirectory.from_config(config).get_revision("0005").down_revision
        assert isinstance(before, str)
        command.upgrade(config, before)
        connection.execute(
            text("INSERT INTO events (sequence, at, actor, kind, frame, subject, payload) VALUES (:n, :at, :by, :kind, "
                 ":frame, :subject, :payload)"),
            [
                {"n": 7, "at": "2026-01-01T00:00:00.000000Z", "by": None, "kind": "frame_added", "frame": FRAME,
                 "subject": None, "payload": '{"width_mm": 22.225}'},
                {"n": 8, "at": "2026-01-02T00:00:00.000000Z", "by": "p-8d1r6k3x0a", "kind": "claim_submitted",
                 "frame": FRAME, "subject": "upper", "payload": '{"claim": "c-0000000002"}'},
            ],
        )  # fmt: skip
        connection.execute(text("UPDATE event_counter SET last = 8"))
        connection.execute(text("INSERT INTO makes (slug, name, aliases) VALUES ('tarnvale', 'Tarnvale', '[]')"))
        connection.execute(
            text("INSERT INTO models (make, slug, name, aliases) VALUES ('tarnvale', 'skerry', 'Skerry', '[]')")
        )
        connection.execute(
            text("INSERT INTO frames (id, make, model, record, year_from, first_end, second_end, went_into, listed, "
                 "sequence) VALUES (:id, 'tarnvale', 'skerry', 'frame', 2021, 'upper', 'lower', '[]', :yes, 8)"),
            {"id": FRAME, "yes": True},
        )  # fmt: skip
        for number, sequence in ((1, 7), (2, 8)):
            connection.execute(
                text("INSERT INTO claims (id, frame, subject, source_kind, source_by, source_seen_on, source_document, "
                     "mount, bearing_compatible, state, sequence) VALUES (:id, :frame, 'upper', 'spec_page', "
                     "'p-8d1r6k3x0a', '2026-01-01', 'a', 'trunnion', :no, 'accepted', :n)"),
                {"id": f"c-{number:010d}", "frame": FRAME, "n": sequence, "no": False},
            )  # fmt: skip
    migrate(empty)
    storage = SqlStorage(empty, SystemClock())
    with storage.writing() as unit:
        unit.events.record(None, "x")
    with storage.reading() as unit:
        assert verify_events(COMMAND_LINE, unit).wrong is None
        assert verify_events(COMMAND_LINE, unit).read == 3
        assert [(c.id, c.unreviewed) for c in unit.statements.claims(FRAME)] == [
            ("c-0000000001", False), ("c-0000000002", True),
        ]  # fmt: skip


def test_people_of_before_keep_their_handles_and_no_two_share_one(empty: Engine) -> None:
    with migrations._changing_tables(empty) as connection:
        command.upgrade(migrations._config(connection), "0001")
        for person, name in (("p-0000000001", "'ann-1'"), ("p-0000000002", "NULL")):
            row = f"'{person}', 'contributor', {name}, '2026-01-01', false"
            connection.exec_driver_sql(f"INSERT INTO accounts (id, role, handle, created_on, blocked) VALUES ({row})")
    migrate(empty)
    with SqlStorage(empty, SystemClock()).reading() as unit:
        first, second = unit.accounts.accounts()
        found, alike = unit.accounts.by_handle("ANN-1"), unit.accounts.looking_like("ann-l")
    assert (found, alike) == (first, first)
    assert (first.handle, second.handle, second.left_on) == ("ann-1", None, None)
    with pytest.raises(Exception, match="handle_key"), migrations._changing_tables(empty) as connection:
        connection.exec_driver_sql("UPDATE accounts SET handle_key = 'ann-1' WHERE id = 'p-0000000002'")
