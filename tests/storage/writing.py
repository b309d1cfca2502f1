"""What the writers of the tests do, in a module that a new process loads quickly."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from functools import partial

from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine

THREADS, UNITS = 2, 24


class Abandoned(Exception):
    """A unit of work that is given up on purpose."""


def write_units(storage: SqlStorage, writer: str, units: int) -> None:
    """Write ``units`` units of one to three events; every third unit is abandoned after its events."""
    for number in range(units):
        try:
            with storage.writing() as unit:
                before = int(unit.settings.get("units") or 0)
                for part in range(number % 3 + 1):
                    unit.events.record(None, "kept", payload={"writer": writer, "unit": number, "part": part})
                if number % 3 == 2:
                    raise Abandoned
                unit.settings.put("units", str(before + 1))
        except Abandoned:
            continue


def run_together(works: Sequence[Callable[[], None]]) -> list[BaseException]:
    """Run ``works`` in threads and return what they raised."""
    failures: list[BaseException] = []

    def run(work: Callable[[], None]) -> None:
        try:
            work()
        except BaseException as e:  # noqa: BLE001 - told by the caller
            failures.append(e)

    threads = [threading.Thread(target=run, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return failures


def write_in_process(url: str, process: int) -> None:
    """Write from THREADS threads of this process; end with an exception when any failed."""
    storage = SqlStorage(make_engine(url), SystemClock())
    failures = run_together([partial(write_units, storage, f"{process}.{t}", UNITS) for t in range(THREADS)])
    storage.engine.dispose()
    if failures:
        raise failures[0]
