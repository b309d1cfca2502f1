"""A process that writes to SQLite under watch; run by the tests of power cuts and of failing disks."""

from __future__ import annotations

import pathlib
import pickle
import random
import sqlite3
import sys
from collections.abc import Callable
from typing import Any

from sqlalchemy import event

from boltspan.domain import jsontext
from boltspan.domain.errors import StorageFull, Unavailable
from boltspan.services import submit
from boltspan.services.accounts import authenticate
from boltspan.services.clock import SystemClock
from boltspan.services.once import once_key
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.faults.sqlite_files import OK, watch
from tests.faults.world import claim, settle_in, spread

Operation = tuple[str, str, int, bytes]
"""``write``, ``truncate``, ``sync``, ``mark``; the file's name; offset, size or number of the mark; what is written."""


class Recorder:
    """Writes down every operation and does it."""

    def __init__(self) -> None:
        self.operations: list[Operation] = []

    def write(self, path: str, offset: int, content: bytes) -> int:
        self.operations.append(("write", pathlib.Path(path).name, offset, content))
        return OK

    def truncate(self, path: str, size: int) -> int:
        self.operations.append(("truncate", pathlib.Path(path).name, size, b""))
        return OK

    def sync(self, path: str) -> int:
        self.operations.append(("sync", pathlib.Path(path).name, 0, b""))
        return OK

    def mark(self, number: int) -> None:
        """Write down that ``number`` claims have been acknowledged."""
        self.operations.append(("mark", "", number, b""))


class FailingDisk:
    """Refuses some of the writes and syncs, as a disk does that is about to die."""

    def __init__(self, share: float, seed: int) -> None:
        self.share = share
        self.refused = 0
        self._random = random.Random(seed)

    def _code(self, refusal: int) -> int:
        if self._random.random() >= self.share:
            return OK
        self.refused += 1
        return refusal

    def write(self, path: str, offset: int, content: bytes) -> int:
        return self._code(sqlite3.SQLITE_IOERR_WRITE)

    def truncate(self, path: str, size: int) -> int:
        return self._code(sqlite3.SQLITE_IOERR_TRUNCATE)

    def sync(self, path: str) -> int:
        return self._code(sqlite3.SQLITE_IOERR_FSYNC)


def opened(folder: pathlib.Path) -> SqlStorage:
    """Return the storage in ``folder``."""
    return SqlStorage(make_engine(f"sqlite:///{folder / 'boltspan.db'}"), SystemClock())


def submitter(storage: SqlStorage, token: str) -> Callable[[int], str]:
    """Return what submits the n-th claim under the n-th key and returns its id."""
    with storage.reading() as uow:
        actor = authenticate(uow, SystemClock(), token)

    def send(number: int) -> str:
        body = claim(f"example.org/{number}", *spread(number))
        key = once_key(actor.must("submit_claim"), "/v1/claims", f"key-{number}", jsontext.dumps(body).encode())
        with storage.writing() as uow:
            return str(submit.submit_claim(actor, uow, SystemClock(), body, key).body["claim"]["id"])

    return send


def record(folder: pathlib.Path, synchronous: str, count: int) -> None:
    """Write claims one after the other and leave the log of operations and the ids of the claims in ``folder``."""
    recorder = Recorder()
    watch(recorder)
    storage = opened(folder)
    if synchronous:

        @event.listens_for(storage.engine, "connect")
        def weaken(connection: Any, _: Any) -> None:
            connection.execute(f"PRAGMA synchronous={synchronous}")

    migrate(storage.engine)
    send = submitter(storage, settle_in(storage)["ann"].token)
    recorder.mark(0)
    ids = []
    for number in range(1, count + 1):
        ids.append(send(number))
        recorder.mark(number)
    (folder / "log").write_bytes(pickle.dumps((recorder.operations, ids)))


def fail(folder: pathlib.Path, share: float, count: int) -> None:
    """Write claims on a disk that refuses some operations; leave what was acknowledged, refused and else raised."""
    disk = FailingDisk(0, seed=4)
    watch(disk)
    storage = opened(folder)
    migrate(storage.engine)
    token = settle_in(storage)["ann"].token
    send = submitter(storage, token)
    disk.share = share
    acknowledged, failed, strange = {}, [], []
    for number in range(count):
        try:
            acknowledged[number] = send(number)
        except (Unavailable, StorageFull):
            failed.append(number)
        except Exception as e:  # noqa: BLE001 - told by the test
            strange.append(repr(e))
    (folder / "log").write_bytes(pickle.dumps((acknowledged, failed, strange, disk.refused, token)))


if __name__ == "__main__":
    what, where, how, many = sys.argv[1:]
    if what == "record":
        record(pathlib.Path(where), how, int(many))
    else:
        fail(pathlib.Path(where), float(how), int(many))
