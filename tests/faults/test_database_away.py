"""Faults 5 and 6: the database is not there when the service starts, or goes away under load and comes back."""

from __future__ import annotations

import pathlib
import signal
import threading
import time
from collections.abc import Iterator

import pytest
from sqlalchemy.engine import make_url

from boltspan.http.app import create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.faults.service import Reply, Service, eventually
from tests.faults.soundness import unsound
from tests.faults.traffic import Refusal, Traffic
from tests.faults.world import FRAMES, WRITERS, claim, settle_in
from tests.postgres import Server, pg_server

RESTARTS = 4
AGAIN_S = 2.0
QUIET_S = 1.0
LOOK_UPS = (f"/v1/frames/{FRAMES[0]}", "/v1/makes/tarnvale/skerry-1/2022", "/v1/frames?limit=1", "/v1/makes")


@pytest.fixture
def own_postgres() -> Iterator[Server]:
    """A PostgreSQL server that may be crashed: what it has committed outlives it."""
    with pg_server(synchronous_commit="on") as server:
        yield server


def told_to_come_back(reply: Reply) -> bool:
    """Return whether this is a 503 that says when to come back, and nothing of the database."""
    assert reply.status == 503, reply
    assert reply.headers["content-type"] == "application/problem+json"
    assert int(reply.headers["retry-after"]) <= 5
    return reply.body["code"] == "unavailable" and "postgres" not in reply.content.decode().lower()


class Reader:
    """Asks look-ups in turn until stopped, and keeps every answer with its moments."""

    def __init__(self, service: Service) -> None:
        self.replies: list[Refusal] = []
        self._service = service
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        number = 0
        while not self._stop.wait(0.02):
            asked_s = time.monotonic()
            reply = self._service.ask("GET", LOOK_UPS[number % len(LOOK_UPS)])
            self.replies.append((asked_s, time.monotonic(), reply))
            number += 1

    def end(self) -> list[Refusal]:
        """Return all answers."""
        self._stop.set()
        self._thread.join(30)
        assert not self._thread.is_alive()
        return self.replies


@pytest.mark.slow
def test_a_database_that_restarts_under_load_costs_two_seconds(own_postgres: Server, tmp_path: pathlib.Path) -> None:
    """Fault 5: PostgreSQL crashes and starts under load, four times: 503 with Retry-After, for 2 s at most; no loss."""
    url = own_postgres.create("restarted")
    engine = make_engine(url)
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    people = settle_in(storage)
    service = Service(tmp_path / "data", url)
    away: list[tuple[float, float]] = []
    try:
        service.start()
        reader = Reader(service)
        with Traffic(service, people, {who: who for who in WRITERS}) as traffic:
            for _ in range(RESTARTS):
                before = len(traffic.acknowledged())
                eventually(lambda: len(traffic.acknowledged()) > before + 8, 30)  # noqa: B023
                stopped_s = time.monotonic()
                own_postgres.stop(signal.SIGQUIT)
                own_postgres.start()
                away.append((stopped_s, time.monotonic()))
                time.sleep(AGAIN_S + QUIET_S)  # how long it is watched
            acknowledged = traffic.end()
        replies = reader.end()
        refused = [*traffic.others(), *(r for r in replies if r[2].status != 200)]
        assert all(told_to_come_back(reply) for *_, reply in refused)
        outside = [
            (asked_s, answered_s, away)
            for asked_s, answered_s, _ in refused
            if not any(answered_s >= down_s and asked_s <= up_s + AGAIN_S for down_s, up_s in away)
        ]
        assert outside == []
        assert [w.cut_offs for w in traffic.writers] == [[]] * len(WRITERS)  # the service itself never hung up
        assert any(reply.status == 503 for *_, reply in replies)
        assert len(set(acknowledged.values())) == len(acknowledged)
        assert unsound(storage) == []
        with storage.reading() as uow:
            assert uow.catalogue.count()["claims"] == len(acknowledged)
    finally:
        service.clean_up()
        engine.dispose()


def lives_but_answers_nothing(service: Service) -> None:
    """Check that the process is alive, says that it is not ready, and refuses look-ups and writes."""
    assert service.ask("GET", "/livez").status == 200
    ready = service.ask("GET", "/readyz")
    assert told_to_come_back(ready)
    assert "database: " in ready.body["detail"]
    for path in LOOK_UPS:
        assert told_to_come_back(service.ask("GET", path))
    assert told_to_come_back(service.ask("POST", "/v1/lookups", {"questions": [{"frame": FRAMES[0]}]}))
    token = {"Authorization": f"Bearer bs_aaaaaaaa_{'a' * 43}_000000", "Idempotency-Key": "k"}
    assert told_to_come_back(service.ask("POST", "/v1/claims", claim("example.org/a"), token))


def recovers_by_itself(service: Service) -> None:
    """Check that it becomes ready, and answers from the dataset that it filled the database with."""
    workers = service.meet_every_worker("/livez")
    eventually(lambda: service.ask("GET", "/readyz").status == 200, 30)
    eventually(lambda: service.ask("GET", "/v1/frames?limit=1").body.get("frames", []) != [], 30)
    found = service.ask("GET", "/v1/frames?limit=1").body["frames"][0]["id"]
    assert service.ask("GET", f"/v1/frames/{found}").status == 200
    assert service.meet_every_worker("/livez") == workers  # the same processes


def test_postgresql_that_is_down_at_the_start(own_postgres: Server, tmp_path: pathlib.Path) -> None:
    """Fault 6: the database is down at start: alive, not ready, 503 for look-ups; recovers when it is there."""
    url = own_postgres.create("late")
    own_postgres.stop()
    service = Service(tmp_path / "data", url)
    try:
        service.start(wait_for="/livez")
        lives_but_answers_nothing(service)
        own_postgres.start()
        recovers_by_itself(service)
        assert service.end() == 0
    finally:
        service.clean_up()


def test_a_file_that_cannot_be_opened_at_the_start(tmp_path: pathlib.Path) -> None:
    """Fault 6: the folder of the database file is not there at start: the same."""
    folder = tmp_path / "not mounted yet"
    service = Service(tmp_path / "data", f"sqlite:///{folder / 'boltspan.db'}")
    try:
        service.start(wait_for="/livez")
        lives_but_answers_nothing(service)
        folder.mkdir()
        recovers_by_itself(service)
    finally:
        service.clean_up()


def test_a_migration_that_is_pending(database_url: str, tmp_path: pathlib.Path) -> None:
    """Fault 6: the tables are not those of this version yet: alive, not ready, 503 for look-ups until they are."""
    storage = SqlStorage(make_engine(make_url(database_url).render_as_string(hide_password=False)), SystemClock())
    settings = HttpSettings(data=tmp_path, rate_limits=False, log=lambda _: None)
    browser = create_app(storage, SystemClock(), settings).test_client()
    assert browser.get("/livez").status_code == 200
    ready = browser.get("/readyz")
    assert ready.status_code == 503
    assert "migrations: 0001 is pending" in ready.get_json(force=True)["detail"]
    for path in LOOK_UPS:
        answer = browser.get(path)
        assert (answer.status_code, answer.headers["Retry-After"]) == (503, "2")
    migrate(storage.engine)
    settle_in(storage)
    assert browser.get("/readyz").status_code == 200
    for path in LOOK_UPS:
        assert browser.get(path).status_code == 200
    storage.engine.dispose()
