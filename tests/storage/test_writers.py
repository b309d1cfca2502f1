"""Many writers at once: events without a gap, no error, nothing lost, nothing of what was rolled back."""

from __future__ import annotations

import multiprocessing
import threading
from functools import partial

import pytest

from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine
from tests.storage.writing import THREADS, UNITS, run_together, write_in_process, write_units

PROCESSES = 4


def check(storage: SqlStorage, writers: int, units: int) -> None:
    """Check that every kept unit is there, in one piece and in its writer's order, and nothing else."""
    kept = [n for n in range(units) if n % 3 != 2]
    with storage.reading() as unit:
        events = unit.events.page(0, 100_000)
        assert unit.settings.get("units") == str(writers * len(kept))
        assert unit.events.last() == len(events)
    assert [e.sequence for e in events] == list(range(1, len(events) + 1))
    by_writer: dict[str, list[tuple[int, int]]] = {}
    for event in events:
        by_writer.setdefault(event.payload["writer"], []).append((event.payload["unit"], event.payload["part"]))
    assert len(by_writer) == writers
    assert all(seen == [(n, part) for n in kept for part in range(n % 3 + 1)] for seen in by_writer.values())
    runs = [(e.payload["writer"], e.payload["unit"]) for e in events if e.payload["part"] == 0]
    whole = [(e.payload["writer"], e.payload["unit"]) for e in events]
    assert [w for i, w in enumerate(whole) if i == 0 or whole[i - 1] != w] == runs  # no unit is torn by another


def test_eight_threads_of_one_storage(storage: SqlStorage) -> None:
    assert run_together([partial(write_units, storage, str(t), UNITS) for t in range(8)]) == []
    check(storage, 8, UNITS)


def test_four_processes_of_two_threads(storage: SqlStorage, migrated_url: str) -> None:
    spawning = multiprocessing.get_context("spawn")
    processes = [spawning.Process(target=write_in_process, args=(migrated_url, n)) for n in range(PROCESSES)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(120)
    assert [process.exitcode for process in processes] == [0] * PROCESSES
    check(storage, PROCESSES * THREADS, UNITS)


@pytest.mark.parametrize("busy_timeout_ms", [5000, 1])
def test_sixteen_writers_that_share_no_lock_but_the_databases(
    storage: SqlStorage, migrated_url: str, busy_timeout_ms: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("boltspan.storage.engine.BUSY_TIMEOUT_MS", busy_timeout_ms)  # 1: SQLite hardly waits itself
    others = [SqlStorage(make_engine(migrated_url), SystemClock()) for _ in range(16)]
    reading = threading.Event()

    def read() -> None:
        while not reading.is_set():
            with storage.reading() as unit:
                events = unit.events.page(0, 100_000)
                assert unit.events.last() == len(events)
                assert [e.sequence for e in events] == list(range(1, len(events) + 1))

    reader_failures: list[BaseException] = []
    reader = threading.Thread(target=lambda: reader_failures.extend(run_together([read])))
    reader.start()
    failures = run_together([partial(write_units, other, str(n), 12) for n, other in enumerate(others)])
    reading.set()
    reader.join()
    for other in others:
        other.engine.dispose()
    assert failures == reader_failures == []
    check(storage, 16, 12)
