"""Fault 2: the power goes while SQLite writes. What was not synced may be lost or torn, in any order.

After each synced write the disk holds it for certain; each later one may have reached it whole, in part (by sectors
of 512 bytes) or not at all. Hundreds of such disks are made from one log of operations, and the database is opened on
each.
"""

from __future__ import annotations

import pathlib
import pickle
import random
import sqlite3
from collections.abc import Iterator

from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine
from tests.faults.processes import run
from tests.faults.soundness import unsound
from tests.faults.writing import Operation

CLAIMS = 120
SECTOR = 512


class Disk:
    """The files as they are for certain, and what has been written since the last sync of each."""

    def __init__(self) -> None:
        self.certain: dict[str, bytearray] = {}
        self.pending: dict[str, list[Operation]] = {}

    def do(self, operation: Operation) -> None:
        """Take one operation over."""
        kind, name, *_ = operation
        if kind == "sync":
            content = self.certain.setdefault(name, bytearray())
            for earlier in self.pending.pop(name, []):
                _apply(content, earlier)
        elif kind != "mark":
            self.pending.setdefault(name, []).append(operation)

    def after_a_cut(self, chance: random.Random) -> dict[str, bytes]:
        """Return files as they may be when the power goes now."""
        found = {name: bytearray(content) for name, content in self.certain.items()}
        for name, operations in self.pending.items():
            content = found.setdefault(name, bytearray())
            for operation in operations:
                fate = chance.choice(("lost", "torn", "whole"))
                if fate == "whole" or (fate == "torn" and operation[0] == "truncate"):
                    _apply(content, operation)
                elif fate == "torn":
                    _, _, offset, written = operation
                    for start in range(0, len(written), SECTOR):
                        if chance.random() < 0.5:
                            _apply(content, ("write", name, offset + start, written[start : start + SECTOR]))
        return {name: bytes(content) for name, content in found.items()}


def _apply(content: bytearray, operation: Operation) -> None:
    kind, _, number, written = operation
    if kind == "truncate":
        del content[number:]
        return
    if len(content) < number:
        content.extend(bytes(number - len(content)))
    content[number : number + len(written)] = written


def recorded(folder: pathlib.Path, synchronous: str) -> tuple[list[Operation], list[str]]:
    """Return the operations of a process that submitted claims, and the claims' ids in order."""
    run("tests.faults.writing", "record", folder, synchronous, CLAIMS)
    operations, ids = pickle.loads((folder / "log").read_bytes())
    return operations, ids


def cuts(operations: list[Operation], count: int, seed: int) -> Iterator[tuple[int, dict[str, bytes]]]:
    """Yield, for ``count`` moments, how many claims were acknowledged and the files after a power cut at it."""
    chance = random.Random(seed)
    start = next(i for i, operation in enumerate(operations) if operation[0] == "mark")
    moments = set(chance.sample(range(start, len(operations)), count))
    disk, acknowledged = Disk(), 0
    for i, operation in enumerate(operations):
        disk.do(operation)
        if operation[0] == "mark":
            acknowledged = operation[2]
        if i in moments:
            yield acknowledged, disk.after_a_cut(chance)


def opened_on(files: dict[str, bytes], folder: pathlib.Path) -> sqlite3.Connection:
    """Open the database on these files, so that SQLite recovers it."""
    for old in folder.iterdir():
        old.unlink()
    for name, content in files.items():
        if not name.endswith("-journal"):  # of the first moments, when there was no write-ahead log yet
            (folder / name).write_bytes(content)
    return sqlite3.connect(folder / "boltspan.db")


def stored(connection: sqlite3.Connection) -> set[str]:
    """Return the ids of the claims, after a look that nothing is corrupt or half there."""
    assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    numbers = [row[0] for row in connection.execute("SELECT sequence FROM events ORDER BY sequence")]
    assert numbers == list(range(1, len(numbers) + 1))
    assert connection.execute("SELECT last FROM event_counter").fetchall() == [(len(numbers),)]
    claims = {row[0] for row in connection.execute("SELECT id FROM claims")}
    for table in ("events WHERE kind = 'claim_submitted'", "saved_answers"):
        assert connection.execute(f"SELECT count(*) FROM {table}").fetchone() == (len(claims),)
    return claims


def test_a_power_cut_loses_nothing_that_was_acknowledged(tmp_path: pathlib.Path) -> None:
    """Fault 2: replay of the write log at 500 cut points; every acknowledged claim is there, nothing is corrupt."""
    operations, ids = recorded(tmp_path, "")
    folder = tmp_path / "after"
    folder.mkdir()
    for number, (acknowledged, files) in enumerate(cuts(operations, 500, seed=2)):
        connection = opened_on(files, folder)
        claims = stored(connection)
        connection.close()
        assert set(ids[:acknowledged]) <= claims <= set(ids[: acknowledged + 1])
        if number % 25 == 0:
            storage = SqlStorage(make_engine(f"sqlite:///{folder / 'boltspan.db'}"), SystemClock())
            assert unsound(storage) == []
            storage.engine.dispose()


def test_the_same_cuts_lose_claims_where_commits_are_not_synced(tmp_path: pathlib.Path) -> None:
    """Fault 2: the test above can fail: with ``synchronous=NORMAL`` it does, at many points."""
    operations, ids = recorded(tmp_path, "NORMAL")
    folder = tmp_path / "after"
    folder.mkdir()
    losses = 0
    for acknowledged, files in cuts(operations, 60, seed=2):
        connection = opened_on(files, folder)
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        losses += not tables or not set(ids[:acknowledged]) <= stored(connection)  # even the tables may be lost
        connection.close()
    assert losses > 10
