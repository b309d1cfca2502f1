"""Fault 3: the disk is full: writes are refused as such, reads go on, and all is well when there is room again."""

from __future__ import annotations

import contextlib
import pathlib
import resource
import subprocess
from collections.abc import Iterator
from typing import Any

from boltspan.http.app import create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.faults.service import Reply, Service
from tests.faults.soundness import unsound
from tests.faults.world import FRAMES, Person, claim, settle_in, spread
from tests.postgres import Server

KIB = 1024
FULL = {503, 507}


@contextlib.contextmanager
def small_disk(folder: pathlib.Path, room_kib: int = 3 * KIB) -> Iterator[bool]:
    """Mount a disk of little room at ``folder``; say whether that is allowed here."""
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={room_kib}k", "tmpfs", str(folder)]
    mounted = subprocess.run(command, capture_output=True, check=False).returncode == 0
    try:
        yield mounted
    finally:
        if mounted:
            subprocess.run(["umount", "--lazy", str(folder)], check=True)


class Room:
    """Takes the room on a small disk away and gives it back.

    Where no disk can be mounted, the service's files must not grow instead; to SQLite that is an error of writing, and
    to the service a database that cannot be reached.
    """

    def __init__(self, disk: pathlib.Path, service: Service, *, mounted: bool) -> None:
        self._filler, self._service, self._mounted = disk / "filler", service, mounted

    def take(self) -> None:
        """Leave none."""
        if self._mounted:
            with contextlib.suppress(OSError), self._filler.open("wb", buffering=0) as filler:
                while True:
                    filler.write(b"0" * KIB)
        else:
            self._limit(1)

    def give(self) -> None:
        """Leave enough."""
        if self._mounted:
            self._filler.unlink()
        else:
            self._limit(resource.RLIM_INFINITY)

    def _limit(self, size: int) -> None:
        for pid in self._service.worker_pids():
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


def test_a_full_disk_of_sqlite(tmp_path: pathlib.Path) -> None:
    """Fault 3: 507 (or 503) while the disk is full, look-ups go on, nothing acknowledged is lost, then it recovers."""
    disk = tmp_path / "disk"
    with small_disk(disk) as mounted:
        storage = SqlStorage(make_engine(f"sqlite:///{disk / 'boltspan.db'}"), SystemClock())
        migrate(storage.engine)
        people = settle_in(storage)
        service = Service(tmp_path / "data", f"sqlite:///{disk / 'boltspan.db'}")
        try:
            service.start(wait_for="/livez")  # with as little room it is never ready
            _fill_and_empty(service, people, Room(disk, service, mounted=mounted))
            assert unsound(storage) == []
        finally:
            service.clean_up()
            storage.engine.dispose()


def _fill_and_empty(service: Service, people: dict[str, Person], room: Room) -> None:
    acknowledged: dict[int, str] = {}

    def send(number: int) -> Reply:
        headers = {**people["ann"].authorization, "Idempotency-Key": f"key-{number}"}
        reply = service.ask("POST", "/v1/claims", claim(f"example.org/{number}", *spread(number)), headers)
        if reply.status == 201:
            acknowledged[number] = reply.body["claim"]["id"]
        return reply

    assert send(0).status == 201
    room.take()
    number, refused = 0, 0
    while refused < 10:
        number += 1
        assert number < 500, "the disk is never full"
        reply = send(number)
        if reply.status != 201:
            refused += 1
            assert reply.status in FULL, reply
            assert reply.body["code"] in ("storage_full", "unavailable")
            for path in (f"/v1/frames/{FRAMES[0]}", "/v1/frames?limit=3", "/v1/changes?since=0", "/v1/makes"):
                assert service.ask("GET", path).status == 200, path
    room.give()
    before = dict(acknowledged)
    for again in range(number + 1):
        assert send(again).status == 201
    assert before.items() <= acknowledged.items()
    assert len(set(acknowledged.values())) == number + 1


REFUSING = """
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = 'disk_full'; END $$;
CREATE TRIGGER refuse BEFORE INSERT ON claims FOR EACH ROW EXECUTE FUNCTION refuse()
"""


def test_a_full_disk_of_postgresql(postgres: Server, tmp_path: pathlib.Path) -> None:
    """Fault 3: PostgreSQL says that its disk is full: 507, look-ups go on, and the same key is free afterwards."""
    storage = SqlStorage(make_engine(postgres.create("filled_up")), SystemClock())
    migrate(storage.engine)
    people = settle_in(storage)
    app = create_app(storage, SystemClock(), HttpSettings(data=tmp_path, rate_limits=False, log=lambda _: None))
    browser = app.test_client()

    def send() -> Any:
        headers = {**people["ann"].authorization, "Idempotency-Key": "key"}
        return browser.post("/v1/claims", json=claim("example.org/1"), headers=headers)

    with storage.engine.begin() as connection:
        connection.exec_driver_sql(REFUSING)
    for _ in range(3):
        refused = send()
        assert (refused.status_code, refused.get_json(force=True)["code"]) == (507, "storage_full")
        assert "extend file" not in refused.text
        for path in (f"/v1/frames/{FRAMES[0]}", "/v1/frames?limit=3", "/v1/changes?since=0"):
            assert browser.get(path).status_code == 200
    assert unsound(storage) == []
    with storage.engine.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER refuse ON claims")
    assert send().status_code == 201
    assert unsound(storage) == []
    storage.engine.dispose()
    postgres.drop("filled_up")
