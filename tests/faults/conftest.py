"""A planted database of either kind, and the service over it."""

from __future__ import annotations

import itertools
import pathlib
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.faults.service import Service
from tests.faults.world import Person, settle_in
from tests.postgres import Server

_numbers = itertools.count(1)


@dataclass(frozen=True, slots=True)
class Running:
    """The service, the storage it works on (opened once more, by the test), and people by handle."""

    service: Service
    storage: SqlStorage
    people: dict[str, Person]


@pytest.fixture
def people(storage: SqlStorage) -> dict[str, Person]:
    """People of the planted catalogue, by handle."""
    return settle_in(storage)


@pytest.fixture
def stopped(
    storage: SqlStorage, people: dict[str, Person], migrated_url: str, tmp_path: pathlib.Path
) -> Iterator[Running]:
    """The service over a planted database, not started yet; the test may do to it what it wants."""
    service = Service(tmp_path / "data", migrated_url)
    yield Running(service, storage, people)
    service.clean_up()


@pytest.fixture(scope="session")
def shared(
    database_kind: str, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Running]:
    """The service over a planted database, two workers, for all tests that leave it as good as they found it."""
    folder = tmp_path_factory.mktemp("shared")
    name = f"shared_{next(_numbers)}"
    if database_kind == "sqlite":
        url = f"sqlite:///{folder / 'boltspan.db'}"
    else:
        server: Server = request.getfixturevalue("postgres")
        url = server.create(name)
    engine = make_engine(url)
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    service = Service(folder / "data", url)
    found = Running(service, storage, settle_in(storage))
    try:
        service.start()
        yield found
    finally:
        service.clean_up()
        engine.dispose()
        if database_kind == "postgresql":
            server.drop(name)
