"""Prints what a large dataset costs: the first start that fills the database, the second start, and a worker's memory.

    PYTHONPATH=api:. python tests/benchmarks/bench_load.py [frames] [--folder FOLDER] [--answers 100000]

An invented world of ``frames`` frames (20,000 by default) is written as a dataset, and `boltspan serve` with one worker
is started on it again and again, in processes of their own. Printed are, for each start, the time to the first answer,
and what the process that prepares the database took of processor time and memory; then what the worker holds after its
first answer, after a search by name (which makes the index of names), and after ``answers`` different published answers
(each is kept ready, up to BOLTSPAN_PUBLISHED_CAP). With ``--folder`` the world and the database are kept there and used
again; a database that is there already is not filled anew. Nothing is judged. Reach: second start to first answer at
most 3 s at 20,000 frames; one worker at most 600 MB at 100,000.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.worlds import World, write_world

SEED = 20260701
TICKS = os.sysconf("SC_CLK_TCK")
PATIENCE_S = 3600.0


@dataclass
class Service:
    """A running service: its port, its main process, and when it was started."""

    port: int
    process: subprocess.Popen[bytes]
    started: float

    def get(self, path: str) -> int:
        """Return the status of one GET; raises OSError while nobody listens."""
        with contextlib.closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)) as connection:
            connection.request("GET", path)
            answer = connection.getresponse()
            answer.read()
            return answer.status

    def first_answer(self, path: str) -> float:
        """Return the seconds from the start to the first 200."""
        while time.perf_counter() - self.started < PATIENCE_S:
            if self.process.poll() is not None:
                raise SystemExit(f"the service ended with {self.process.returncode}")
            with contextlib.suppress(OSError, http.client.HTTPException):
                if self.get(path) == 200:
                    return time.perf_counter() - self.started
            time.sleep(0.02)
        raise SystemExit("no answer")

    def worker(self) -> int:
        """Return the process id of the only worker."""
        mine = [pid for pid in _children(self.process.pid) if b"resource_tracker" not in _read(pid, "cmdline")]
        return max(mine, key=_memory_mb)


def _read(pid: int, name: str) -> bytes:
    with contextlib.suppress(OSError):
        return Path(f"/proc/{pid}/{name}").read_bytes()
    return b""


def _children(pid: int) -> list[int]:
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            fields = _read(int(entry.name), "stat").rpartition(b")")[2].split()
            if fields and int(fields[1]) == pid:
                found.append(int(entry.name))
    return found


def _memory_mb(pid: int, field: str = "VmRSS") -> float:
    for line in _read(pid, "status").decode().splitlines():
        if line.startswith(f"{field}:"):
            return int(line.split()[1]) / 1024
    return 0.0


def _processor_s(pid: int) -> float:
    fields = _read(pid, "stat").rpartition(b")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS if fields else 0.0


@contextlib.contextmanager
def _serving(data: Path, dataset: Path) -> Iterator[Service]:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = int(found.getsockname()[1])
    command = [
        sys.executable,
        "-m",
        "boltspan.cli",
        "serve",
        "--port",
        str(port),
        "--data",
        str(data),
        "--workers",
        "1",
    ]
    kept = {k: v for k, v in os.environ.items() if not k.startswith("BOLTSPAN_") and k != "PYTHONDONTWRITEBYTECODE"}
    settings = {
        "BOLTSPAN_DATASET": str(dataset),
        "BOLTSPAN_RATE_LIMITS": "off",
        "BOLTSPAN_LOG_LEVEL": "error",
        "PYTHONPYCACHEPREFIX": str(data.parent / "bytecode"),  # an installed package has its modules compiled
    }
    started = time.perf_counter()
    with subprocess.Popen(
        command, env=kept | settings, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        try:
            yield Service(port, process, started)
        finally:
            process.send_signal(signal.SIGTERM)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(20)
            if process.poll() is None:
                process.kill()


def _started(name: str, data: Path, dataset: Path, path: str) -> None:
    with _serving(data, dataset) as service:
        seconds = service.first_answer(path)
        main = service.process.pid
        peak, busy = _memory_mb(main, "VmHWM"), _processor_s(main)
        worker = service.worker()
        print(f"{name}: first answer after {seconds:.2f} s; preparing took {busy:.2f} s of processor time and "
              f"{peak:,.0f} MB at most, the worker {_processor_s(worker):.2f} s", flush=True)  # fmt: skip


def _worker_memory(data: Path, dataset: Path, published: list[str]) -> None:
    with _serving(data, dataset) as service:
        service.first_answer(published[0])
        worker = service.worker()
        print(f"worker: {_memory_mb(worker):,.0f} MB after its first answer", flush=True)
        started = time.perf_counter()
        status = service.get("/v1/frames?q=no+such+bike")
        seconds = time.perf_counter() - started
        print(
            f"worker: {_memory_mb(worker):,.0f} MB after a search by name ({status}, {seconds:.2f} s with making the "
            f"index), {_memory_mb(worker, 'VmHWM'):,.0f} MB at most",
            flush=True,
        )
        connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=60)
        size = 0
        for path in published:
            connection.request("GET", path)
            size += len(connection.getresponse().read())
        connection.close()
        print(
            f"worker: {_memory_mb(worker):,.0f} MB after {len(published):,} published answers of {size / 1e6:,.0f} MB "
            f"in all, {_memory_mb(worker, 'VmHWM'):,.0f} MB at most",
            flush=True,
        )


def _published(data: Path, most: int) -> tuple[list[str], int]:
    with contextlib.closing(sqlite3.connect(data / "boltspan.sqlite")) as database:
        where = "FROM published WHERE body IS NOT NULL"
        (count,) = database.execute(f"SELECT count(*) {where}").fetchone()
        rows = database.execute(f"SELECT path {where} ORDER BY path LIMIT ?", (most,))
        return [path for (path,) in rows], count


def main(frames: int, folder: Path, answers: int) -> None:
    """Measure and print."""
    dataset, data = folder / f"world-{frames}", folder / f"data-{frames}"
    print(f"{frames:,} frames, invented", flush=True)
    if not (dataset / "dataset.json").exists():
        started = time.perf_counter()
        write_world(World(SEED, frames), dataset)
        print(f"world: written in {time.perf_counter() - started:.1f} s", flush=True)
    if not (data / "boltspan.sqlite").exists():
        _started("first start, which fills the database", data, dataset, "/v1/frames?limit=1")
    paths, count = _published(data, answers)
    size = sum(file.stat().st_size for file in data.glob("boltspan.sqlite*")) / 1e6
    print(f"database: {size:,.0f} MB, {count:,} published answers", flush=True)
    for _ in range(3):
        _started("second start", data, dataset, paths[0])
    _worker_memory(data, dataset, paths)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="What a large dataset costs.")
    parser.add_argument("frames", type=int, nargs="?", default=20_000)
    parser.add_argument("--folder", type=Path, help="keep the world and the database here")
    parser.add_argument("--answers", type=int, default=100_000)
    given = parser.parse_args()
    if given.folder is not None:
        main(given.frames, given.folder, given.answers)
    else:
        with tempfile.TemporaryDirectory() as temporary:
            main(given.frames, Path(temporary), given.answers)
