"""What goes wrong below comes out in the job's words, without the driver's, and reading goes on."""

from __future__ import annotations

import pathlib
from collections.abc import Callable, Iterator

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import DBAPIError

from boltspan.domain.errors import BoltspanError, StorageFull, Unavailable
from boltspan.services.clock import SystemClock
from boltspan.services.protocols import UnitOfWork
from boltspan.storage import SqlStorage, make_engine, migrate, migrations, unit_of_work
from tests.postgres import Server

UNREACHABLE = "the database cannot be reached at the moment"


def opened(url: str) -> SqlStorage:
    return SqlStorage(make_engine(url), SystemClock())


@pytest.fixture
def on_postgres(postgres: Server) -> Iterator[SqlStorage]:
    """A storage on a database of its own, whose connections and tables may be harmed."""
    storage = opened(postgres.create("harmed"))
    migrate(storage.engine)
    yield storage
    storage.engine.dispose()
    postgres.drop("harmed")


def told(error: BaseException) -> str:
    """Return the message, after a look that the cause is kept for the log."""
    assert isinstance(error.__cause__, DBAPIError)
    return str(error)


@pytest.mark.parametrize("kind", ["reading", "writing"])
def test_a_database_that_is_not_there(kind: str, tmp_path: pathlib.Path) -> None:
    for url in (f"sqlite:///{tmp_path / 'none' / 'b.db'}", f"postgresql://x@/b?host={tmp_path}"):
        storage = opened(url)
        with pytest.raises(Unavailable) as raised, getattr(storage, kind)():
            pytest.fail("opened")
        assert told(raised.value) == UNREACHABLE
        assert storage.ready()[0] == f"database: {UNREACHABLE}"
        with pytest.raises(Unavailable):
            migrate(storage.engine)
        storage.engine.dispose()


def test_a_file_that_is_no_database(tmp_path: pathlib.Path) -> None:
    (tmp_path / "b.db").write_bytes(b"no database at all " * 300)
    storage = opened(f"sqlite:///{tmp_path / 'b.db'}")
    with pytest.raises(Unavailable) as raised, storage.reading():
        pytest.fail("opened")
    assert told(raised.value) == UNREACHABLE
    storage.engine.dispose()


def test_a_database_that_does_not_exist(postgres: Server) -> None:
    storage = opened(postgres.url("no_such_database"))
    with pytest.raises(Unavailable) as raised, storage.reading():
        pytest.fail("opened")
    assert told(raised.value) == UNREACHABLE


def test_a_database_without_tables(database_url: str) -> None:
    storage = opened(database_url)
    steps = sorted(step.name[:4] for step in (migrations.SCRIPTS / "versions").glob("0*.py"))
    assert storage.ready() == [f"migrations: {step} is pending" for step in steps]
    reads: list[Callable[[UnitOfWork], object]] = [
        lambda u: u.settings.get("title"),
        lambda u: u.events.last(),
        lambda u: u.catalogue.makes(),
    ]
    for read in reads:
        with pytest.raises(Unavailable, match=r"^the database is not ready") as raised, storage.reading() as unit:
            read(unit)
        told(raised.value)
    with pytest.raises(Unavailable, match=r"^the database is not ready"), storage.writing():
        pytest.fail("opened")
    migrate(storage.engine)
    assert storage.ready() == []
    with storage.writing() as unit:
        assert unit.events.record(None, "x") == 1
    storage.engine.dispose()


def test_a_full_disk_of_sqlite(tmp_path: pathlib.Path) -> None:
    url = f"sqlite:///{tmp_path / 'b.db'}"
    roomy, tight = opened(url), opened(url)
    migrate(roomy.engine)

    @event.listens_for(tight.engine, "connect")
    def limit(connection: object, _: object) -> None:
        connection.execute("PRAGMA max_page_count=1")  # type: ignore[attr-defined]  # raised to what is used already

    with tight.writing() as unit:
        unit.settings.put("title", "x")  # fits into what is there

    def fill() -> None:
        with tight.writing() as unit:
            for _ in range(200):
                unit.events.record(None, "x", payload={"text": "x" * 1000})

    with pytest.raises(StorageFull) as raised:
        fill()
    assert told(raised.value) == "the database has no room to grow"
    with tight.reading() as unit:
        assert (unit.settings.get("title"), unit.events.last(), unit.events.page(0, 9)) == ("x", 0, [])
    with roomy.writing() as unit:  # room again: goes on without a gap
        assert unit.events.record(None, "x", payload={"text": "x" * 100_000}) == 1
    tight.engine.dispose()
    roomy.engine.dispose()


RAISING = """
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'could not extend file "base/1/2": No space left on device' USING ERRCODE = '{code}'; END $$;
CREATE TRIGGER refuse BEFORE INSERT ON settings FOR EACH ROW EXECUTE FUNCTION refuse()
"""


@pytest.mark.parametrize(
    ("code", "error", "message"),  # codes of the PostgreSQL manual, appendix A
    [
        ("53100", StorageFull, "the database has no room to grow"),  # disk_full
        ("53300", Unavailable, UNREACHABLE),  # too_many_connections
        ("58030", Unavailable, UNREACHABLE),  # io_error
        ("57P01", Unavailable, UNREACHABLE),  # admin_shutdown
        ("40001", Unavailable, "the database is busy; try again"),  # serialization_failure
        ("40P01", Unavailable, "the database is busy; try again"),  # deadlock_detected
    ],
)
def test_what_postgresql_reports(on_postgres: SqlStorage, code: str, error: type[BoltspanError], message: str) -> None:
    with on_postgres.engine.begin() as connection:
        connection.exec_driver_sql(RAISING.format(code=code))

    def write() -> None:
        with on_postgres.writing() as unit:
            unit.events.record(None, "x")
            unit.settings.put("title", "x")

    with pytest.raises(error) as raised:
        write()
    assert told(raised.value) == message
    with on_postgres.reading() as unit:
        assert (unit.settings.get("title"), unit.events.last()) == (None, 0)


def test_a_statement_of_ours_that_is_wrong_stays_what_it_is(storage: SqlStorage) -> None:
    with pytest.raises(DBAPIError), storage.reading() as unit:
        unit.settings._connection.exec_driver_sql("SELEC 1")  # type: ignore[attr-defined]


CUT = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = 'harmed' AND pid <> pg_backend_pid()"


def cut(postgres: Server) -> None:
    other = make_engine(postgres.url("postgres"))
    with other.connect() as connection:
        assert connection.execute(text(CUT)).all()
    other.dispose()


def test_connections_that_were_cut_while_they_rested(on_postgres: SqlStorage, postgres: Server) -> None:
    with on_postgres.writing() as unit, on_postgres.reading() as reader:
        unit.settings.put("title", "x")
        assert reader.settings.get("title") is None
    cut(postgres)
    for _ in range(2):
        with on_postgres.reading() as unit:
            assert unit.settings.get("title") == "x"
    with on_postgres.writing() as unit:
        unit.settings.put("title", "y")


def test_a_connection_that_is_cut_in_the_middle(on_postgres: SqlStorage, postgres: Server) -> None:
    def write() -> None:
        with on_postgres.writing() as unit:
            unit.settings.put("title", "lost")
            unit.events.record(None, "x")
            cut(postgres)
            unit.settings.get("title")

    with pytest.raises(Unavailable) as raised:
        write()
    assert told(raised.value) == UNREACHABLE
    with on_postgres.writing() as unit:
        assert (unit.settings.get("title"), unit.events.last()) == (None, 0)
        assert unit.events.record(None, "x") == 1


def test_a_connection_that_is_cut_before_the_commit(on_postgres: SqlStorage, postgres: Server) -> None:
    with pytest.raises(Unavailable) as raised, on_postgres.writing() as unit:  # noqa: PT012 - the exit is what raises
        unit.settings.put("title", "lost")
        cut(postgres)
    assert told(raised.value) == UNREACHABLE
    with on_postgres.reading() as unit:
        assert unit.settings.get("title") is None


def test_a_disk_that_is_nearly_full_is_not_ready(
    storage: SqlStorage, database_kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unit_of_work, "LEAST_FREE_BYTES", 2**70)
    problems = storage.ready()
    if database_kind == "sqlite":
        assert len(problems) == 1
        assert problems[0].startswith("disk: ")
    else:
        assert problems == []  # the database's disk is elsewhere
