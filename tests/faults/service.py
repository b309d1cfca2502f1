"""The service as it runs in a shop: ``boltspan serve`` in processes of its own, asked over sockets."""

from __future__ import annotations

import http.client
import json
import os
import pathlib
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from tests.faults.processes import ROOT, environment

START_S = 60.0
ANSWER_S = 30.0


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer: its status, its headers by lower-case name, its bytes."""

    status: int
    headers: Mapping[str, str]
    content: bytes

    @property
    def body(self) -> Any:
        """Return what the bytes say as JSON."""
        return json.loads(self.content)

    @property
    def worker(self) -> str:
        """Return what tells the process that answered: the start of the request ids that it mints."""
        return self.headers["x-request-id"].rpartition("-")[0]


class Service:
    """One ``boltspan serve``: started, asked, ended or killed, and started again on the same port and data."""

    def __init__(self, data: pathlib.Path, url: str, *, workers: int = 2) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.data, self.url, self.workers = data, url, workers
        self.log = data / "service.log"
        data.mkdir(exist_ok=True)
        self._process: subprocess.Popen[bytes] | None = None

    def start(self, *, wait_for: str = "/readyz") -> None:
        """Start it, in a group of processes of its own, and wait until ``wait_for`` answers 200."""
        command = [sys.executable, "-m", "boltspan.cli", "serve", "--port", str(self.port), "--data", str(self.data)]
        settings = environment(BOLTSPAN_DATABASE_URL=self.url, BOLTSPAN_RATE_LIMITS="off",
                               BOLTSPAN_WORKERS=str(self.workers))  # fmt: skip
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(
                command, cwd=ROOT, env=settings, stdout=log, stderr=log, stdin=subprocess.DEVNULL,
                start_new_session=True,
            )  # fmt: skip
        eventually(lambda: self._answers(wait_for), START_S, lambda: self.log.read_text()[-3000:])

    def _answers(self, path: str) -> bool:
        assert self.process.poll() is None, self.log.read_text()[-3000:]
        try:
            return self.ask("GET", path).status == 200
        except (OSError, http.client.HTTPException):
            return False

    @property
    def process(self) -> subprocess.Popen[bytes]:
        """The main process; its workers are in its group."""
        assert self._process is not None, "not started"
        return self._process

    def kill(self) -> None:
        """Kill all its processes at once (SIGKILL)."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(10)
        eventually(self.gone, 10)

    def gone(self) -> bool:
        """Return whether none of its processes is left."""
        try:
            os.killpg(self.process.pid, 0)
        except ProcessLookupError:
            return True
        return False

    def ask_to_end(self) -> None:
        """Send SIGTERM to the main process, as a service manager does."""
        self.process.send_signal(signal.SIGTERM)

    def end(self) -> int:
        """Ask it to end, wait, and return the exit code."""
        self.ask_to_end()
        return self.process.wait(30)

    def worker_pids(self) -> list[int]:
        """Return the process ids of its workers (Linux, proc(5)): the main process's children."""
        listed = pathlib.Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()
        return [int(pid) for pid in listed]

    def clean_up(self) -> None:
        """Leave no process behind."""
        if self._process is not None and not self.gone():
            os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait(10)

    def connect(self, timeout_s: float = ANSWER_S) -> Connection:
        """Return a new connection; it opens with its first request and is kept alive."""
        return Connection(self.port, timeout_s)

    def ask(self, method: str, path: str, body: Any = None, headers: Mapping[str, str] | None = None) -> Reply:
        """Send a request on a connection of its own."""
        connection = self.connect()
        try:
            return connection.ask(method, path, body, {"Connection": "close", **(headers or {})})
        finally:
            connection.close()

    def meet_every_worker(self, path: str) -> set[str]:
        """Ask for ``path`` until each worker has answered, so that each has the answer ready; return the workers."""
        met: set[str] = set()

        def met_all() -> bool:
            met.add(self.ask("GET", path).worker)
            return len(met) == self.workers

        eventually(met_all, 30)
        return met


class Connection:
    """One connection. Raises OSError or HTTPException when the other side goes away."""

    def __init__(self, port: int, timeout_s: float) -> None:
        self._http = http.client.HTTPConnection("127.0.0.1", port, timeout=timeout_s)
        self.sent = False
        """Whether the last request is on its way whole."""

    def ask(self, method: str, path: str, body: Any = None, headers: Mapping[str, str] | None = None) -> Reply:
        """Send a request; a body is sent as JSON."""
        sent = dict(headers or {})
        content = None
        if body is not None:
            content = json.dumps(body).encode()
            sent.setdefault("Content-Type", "application/json")
        self.sent = False
        self._http.request(method, path, content, sent)
        self.sent = True
        answer = self._http.getresponse()
        return Reply(answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read())

    def close(self) -> None:
        """Close it; the next request opens a new one."""
        self._http.close()


def eventually(holds: Callable[[], bool], within_s: float, told: Callable[[], object] = str) -> float:
    """Ask until ``holds`` is true and return how long it took; fail with what ``told`` says when it takes longer."""
    started = time.monotonic()
    while not holds():
        if time.monotonic() - started > within_s:
            raise AssertionError(f"not within {within_s} s: {told()}")
        time.sleep(0.01)
    return time.monotonic() - started
