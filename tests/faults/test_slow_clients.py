"""Fault 16: clients that trickle: a head that never ends, a body that comes drop by drop."""

from __future__ import annotations

import contextlib
import pathlib
import socket
import threading
import time
from collections.abc import Iterator

from boltspan.http.strictjson import MOST_AT_ONCE
from boltspan.storage import migrate
from tests.faults.conftest import Running
from tests.faults.service import Service, eventually
from tests.faults.world import FRAMES, claim, settle_in
from tests.faults.writing import opened

HEAD = b"GET /livez HTTP/1.1\r\nHost: localhost\r\nX-Slow: "
BODY = (
    b"POST /v1/bench/labels HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
    b"Content-Length: 100000\r\n\r\n"
)


@contextlib.contextmanager
def trickling(service: Service, start: bytes, count: int) -> Iterator[list[socket.socket]]:
    """Hold ``count`` connections that began with ``start`` and send a byte each every tenth of a second."""
    connections = [socket.create_connection(("127.0.0.1", service.port), timeout=10) for _ in range(count)]
    over = threading.Event()

    def drip() -> None:
        for connection in connections:
            connection.sendall(start)
        while not over.wait(0.1):
            for connection in connections:
                with contextlib.suppress(OSError):  # answered and hung up on
                    connection.sendall(b"0")

    dripping = threading.Thread(target=drip)
    dripping.start()
    try:
        yield connections
    finally:
        over.set()
        dripping.join()
        for connection in connections:
            connection.close()


def served(running: Running, key: str) -> bool:
    """Return whether a look-up and a write are served now."""
    service = running.service
    headers = {**running.people["ann"].authorization, "Idempotency-Key": key}
    read = service.ask("GET", f"/v1/frames/{FRAMES[0]}")
    page = service.ask("GET", "/v1/frames?limit=1")
    wrote = service.ask("POST", "/v1/claims", claim(f"example.org/{key}"), headers)
    assert (read.status, page.status) == (200, 200)
    assert wrote.status in (201, 503)
    assert wrote.status == 201 or wrote.headers["retry-after"]
    return wrote.status == 201


def test_others_are_served_while_heads_and_some_bodies_trickle(shared: Running) -> None:
    """Fault 16: 100 heads and 100 bodies trickle for a few seconds: look-ups and writes go on."""
    with trickling(shared.service, HEAD, 100), trickling(shared.service, BODY, MOST_AT_ONCE - 1):
        deadline = time.monotonic() + 4
        number = 0
        while time.monotonic() < deadline:
            number += 1
            assert served(shared, f"slow-{shared.storage.engine.dialect.name}-{number}")
    assert number > 3


def test_look_ups_go_on_while_bodies_trickle_beyond_all_bounds(shared: Running) -> None:
    """Fault 16: more bodies than are read at once: further ones get 503, look-ups go on, and all is well after it."""
    count = MOST_AT_ONCE * shared.service.workers + 100
    with trickling(shared.service, BODY, count) as connections:
        for connection in connections:
            connection.setblocking(False)
        answers: dict[socket.socket, bytes] = {}

        def some_were_refused() -> bool:
            for connection in connections:
                with contextlib.suppress(OSError):  # nothing yet, or hung up on
                    if (got := connection.recv(65536)) and connection not in answers:
                        answers[connection] = got
            return len(answers) >= 100

        eventually(some_were_refused, 20, lambda: len(answers))
        assert {answer.split(b"\r\n", 1)[0] for answer in answers.values()} == {b"HTTP/1.1 503 Service Unavailable"}
        assert not served(shared, "beyond")
    eventually(lambda: served(shared, "beyond"), 20)


def test_the_service_ends_although_clients_trickle(tmp_path: pathlib.Path) -> None:
    """Faults 14 and 16: a body that never ends does not keep the service from ending when it is told to."""
    storage = opened(tmp_path)
    migrate(storage.engine)
    settle_in(storage)
    service = Service(tmp_path / "data", str(storage.engine.url), workers=1)
    try:
        service.start()
        with trickling(service, HEAD, 5), trickling(service, BODY, 5):
            assert service.ask("GET", f"/v1/frames/{FRAMES[0]}").status == 200
            assert service.end() == 0
    finally:
        service.clean_up()
        storage.engine.dispose()
