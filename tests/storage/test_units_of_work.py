"""One transaction a unit: all or nothing, readers on a snapshot, no write while reading."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text

from boltspan.domain.frames import Make
from boltspan.services.clock import SystemClock
from boltspan.services.protocols import Account, Encoded, Storage, UnitOfWork
from boltspan.storage import SqlStorage, make_engine, migrate
from boltspan.storage.driver_errors import WrittenWhileReading
from boltspan.storage.unit_of_work import MANY_FRAMES
from tests.postgres import Server
from tests.storage.samples import PERSON, claim, decision, frame, hidden, put_frames

WRITES: dict[str, Any] = {
    "make": lambda u: u.catalogue.put_make(Make("ostmere", "Ostmere")),
    "claim": lambda u: u.statements.add_claims([claim(2, "f-0000000001")]),
    "state": lambda u: u.statements.set_state(claim(1, "f-0000000001")),
    "decision": lambda u: u.statements.add_decisions([decision(2, "f-0000000001")]),
    "findings": lambda u: u.findings.put("f-0000000001", []),
    "published": lambda u: u.published.put([Encoded("/a", b"", "", 1)]),
    "clear": lambda u: u.published.clear(),
    "event": lambda u: u.events.record(None, "x"),
    "account": lambda u: u.accounts.put_account(Account(PERSON, "contributor")),
    "hit": lambda u: u.keys.hit("a", 1.0, 60),
    "forget": lambda u: u.keys.forget_before("2026-05-01T00:00:00.000000Z"),
    "setting": lambda u: u.settings.put("title", "x"),
}


@pytest.fixture
def filled(storage: SqlStorage) -> Storage:
    """A storage with one frame; the annotation has the type checker compare it with the protocol."""
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
        unit.statements.add_claims([claim(1, "f-0000000001")])
    return storage


def state(storage: Storage) -> tuple[Any, ...]:
    with storage.reading() as u:
        return (u.catalogue.count(), u.events.last(), u.events.page(0, 9), list(u.published.since(0)),
                u.findings.count_by_standing(), u.accounts.accounts(), u.settings.get("title"))  # fmt: skip


@pytest.mark.parametrize("write", WRITES)
def test_a_reading_unit_refuses_writes(filled: Storage, write: str) -> None:
    before = state(filled)
    with pytest.raises(WrittenWhileReading), filled.reading() as unit:
        WRITES[write](unit)
    assert state(filled) == before
    with filled.writing() as unit:  # the connection it used writes again
        WRITES[write](unit)


def test_an_exception_leaves_nothing_of_a_unit(filled: Storage) -> None:
    before = state(filled)

    def write_and_fail() -> None:
        with filled.writing() as unit:
            for write in WRITES.values():
                write(unit)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_and_fail()
    assert state(filled) == before


def test_a_unit_sees_what_it_wrote_and_others_do_not_yet(filled: Storage) -> None:
    with filled.writing() as unit:
        unit.settings.put("title", "x")
        unit.events.record(None, "x")
        assert (unit.settings.get("title"), unit.events.last(), len(unit.events.page(0, 9))) == ("x", 1, 1)
        with filled.reading() as other:
            assert (other.settings.get("title"), other.events.last(), other.events.page(0, 9)) == (None, 0, [])
    with filled.reading() as other:
        assert (other.settings.get("title"), other.events.last()) == ("x", 1)


def test_a_reading_unit_stays_on_its_snapshot(filled: Storage) -> None:
    def seen(unit: UnitOfWork) -> tuple[Any, ...]:
        return (unit.catalogue.count()["makes"], unit.events.last(), unit.settings.get("title"))

    with filled.reading() as reader:
        before = seen(reader)
        for title in ("one", "two"):
            with filled.writing() as unit:
                unit.catalogue.put_make(Make(title, title))
                unit.events.record(None, "x")
                unit.settings.put("title", title)
            assert seen(reader) == before == (1, 0, None)
    with filled.reading() as reader:
        assert seen(reader) == (3, 2, "two")


def test_a_writing_unit_sees_what_was_committed_while_it_waited(migrated_url: str) -> None:
    first, second = (SqlStorage(make_engine(migrated_url), SystemClock()) for _ in range(2))
    with second.writing() as unit:  # so that both have a connection that has read before
        assert unit.events.last() == 0
    with first.writing() as unit:
        unit.events.record(None, "x")
    with second.writing() as unit:
        assert unit.events.record(None, "y") == 2
    first.engine.dispose()
    second.engine.dispose()


def test_a_unit_inside_another_is_refused_at_once(filled: Storage) -> None:
    with filled.writing() as unit:
        with pytest.raises(RuntimeError, match="open in this thread already"), filled.writing():
            pytest.fail("a writer inside a writer")
        unit.settings.put("title", "x")
    with filled.writing() as unit:
        assert unit.settings.get("title") == "x"


def test_a_unit_is_over_when_it_is_closed(filled: Storage) -> None:
    with filled.writing() as unit:
        pass
    with pytest.raises(Exception, match="closed"):
        unit.settings.put("title", "x")


def test_postgresql_counts_its_rows_anew_after_many(postgres: Server) -> None:
    url = postgres.create("counted")
    storage = SqlStorage(make_engine(url), SystemClock())
    migrate(storage.engine)
    for number, known in ((MANY_FRAMES - 1, False), (MANY_FRAMES, True)):
        with storage.writing() as unit:
            put_frames(unit, [frame(n) for n in range(number)])
            for n in range(number):
                unit.findings.put(f"f-{n:010d}", [hidden("upper", "unknown")])
        with storage.engine.connect() as connection:
            # -1 says that nobody has counted yet (PostgreSQL manual, pg_class)
            rows = connection.execute(text("SELECT reltuples FROM pg_class WHERE relname = 'findings'")).scalar_one()
        assert (rows == MANY_FRAMES) == known
        assert (rows == -1) != known
    storage.engine.dispose()
    postgres.drop("counted")
