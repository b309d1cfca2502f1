"""Faults 15 and 16: bodies that are too large or lie about their length, and clients that trickle."""

from __future__ import annotations

import http.client
import json
import pathlib
import socket
import threading
import time
from collections.abc import Iterable, Iterator

import pytest

from tests.faults.conftest import Running
from tests.faults.service import Service
from tests.faults.world import FRAMES, claim

LIMIT = 1024 * 1024
MIB = 1024 * 1024
ENOUGH_S = 20.0


def head(running: Running, path: str, *lines: str) -> bytes:
    """Return the head of a POST."""
    authorization = running.people["ann"].authorization["Authorization"]
    fixed = (f"POST {path} HTTP/1.1", "Host: localhost", f"Authorization: {authorization}", "Idempotency-Key: large",
             "Content-Type: application/json")  # fmt: skip
    return "\r\n".join((*fixed, *lines, "", "")).encode()


def exchange(service: Service, parts: Iterable[bytes]) -> tuple[int, bytes]:
    """Send ``parts`` until the other side answers or hangs up; return the answer's status, 0 for none, and all of it.

    The answer is read while sending, as by a client that stops when it is refused.
    """
    with socket.create_connection(("127.0.0.1", service.port), timeout=ENOUGH_S) as connection:
        connection.setblocking(True)
        answer = b""

        def listen() -> None:
            nonlocal answer
            try:
                while b"\r\n\r\n" not in answer and (more := connection.recv(65536)):
                    answer += more
            except OSError:
                return

        listener = threading.Thread(target=listen, daemon=True)
        listener.start()
        try:
            for part in parts:
                if not listener.is_alive():
                    break
                connection.sendall(part)
        except OSError:
            pass  # hung up on
        listener.join(ENOUGH_S)
        assert not listener.is_alive(), "neither answered nor hung up on"
    return (int(answer.split(b" ", 2)[1]) if answer.startswith(b"HTTP/1.1 ") else 0), answer


def zeros(total: int, size: int = 65536) -> Iterator[bytes]:
    """Yield ``total`` bytes."""
    for _ in range(total // size):
        yield b"0" * size


def chunked(total: int) -> Iterator[bytes]:
    """Yield ``total`` bytes in chunks (RFC 9112, section 7.1) and the last chunk."""
    for part in zeros(total):
        yield b"%x\r\n%s\r\n" % (len(part), part)
    yield b"0\r\n\r\n"


def peak_kib(service: Service) -> int:
    """Return the largest memory that any of the service's processes ever had."""
    peaks = []
    for status in pathlib.Path("/proc").glob("[0-9]*/status"):
        try:
            lines = dict(line.split(":\t", 1) for line in status.read_text().splitlines() if ":\t" in line)
            group = int((status.parent / "stat").read_text().rpartition(")")[2].split()[2])
        except OSError:  # gone meanwhile
            continue
        if group == service.process.pid and "VmHWM" in lines:
            peaks.append(int(lines["VmHWM"].split()[0]))
    assert len(peaks) > service.workers
    return max(peaks)


def alive(running: Running) -> None:
    """Check that look-ups and writes go on."""
    assert running.service.ask("GET", f"/v1/frames/{FRAMES[0]}").status == 200
    headers = {**running.people["ann"].authorization, "Idempotency-Key": "large"}  # what was refused left it free
    reply = running.service.ask("POST", "/v1/claims", claim("example.org/small"), headers)
    assert reply.status == 201


@pytest.mark.parametrize("path", ["/v1/claims", "/v1/lookups", "/v1/bench/labels"])
def test_a_body_over_the_limit_is_refused(shared: Running, path: str) -> None:
    """Fault 15: one byte over the limit, declared: 413; just within it is read."""
    for length, wanted in ((LIMIT + 1, 413), (LIMIT, 422)):
        body = json.dumps({"x": ""}).encode()
        body = body[:-2] + b"y" * (length - len(body)) + body[-2:]
        status, answer = exchange(shared.service, [head(shared, path, f"Content-Length: {length}"), body])
        assert status == wanted, answer
    alive(shared)


def test_a_declared_gigabyte_is_refused_before_it_is_sent(shared: Running) -> None:
    """Fault 15: the length alone is enough: 413 although no byte of the body came."""
    status, answer = exchange(shared.service, [head(shared, "/v1/claims", f"Content-Length: {1024 * MIB}")])
    assert status == 413
    assert b"application/problem+json" in answer


def test_memory_stays_flat_under_large_bodies(shared: Running) -> None:
    """Fault 15: 400 MiB declared, and 400 MiB in chunks: 413, and no process grows by more than a few bodies."""
    alive(shared)
    before = peak_kib(shared.service)
    for lines, parts in (((f"Content-Length: {400 * MIB}",), zeros(400 * MIB)),
                         (("Transfer-Encoding: chunked",), chunked(400 * MIB))):  # fmt: skip
        status, answer = exchange(
            shared.service, (p for some in ([head(shared, "/v1/claims", *lines)], parts) for p in some)
        )
        assert status == 413, answer
    assert peak_kib(shared.service) - before < 16 * 1024
    alive(shared)


def test_a_body_in_chunks_is_read_like_any_other(shared: Running) -> None:
    """Fault 15: chunks within the limit are a body."""
    body = json.dumps({"text": "M8 x 22.2"}).encode()
    parts = [
        head(shared, "/v1/bench/labels", "Transfer-Encoding: chunked"),
        b"%x\r\n%s\r\n0\r\n\r\n" % (len(body), body),
    ]
    status, answer = exchange(shared.service, parts)
    assert status == 200, answer


@pytest.mark.parametrize(
    ("lines", "sent"),
    [
        (("Content-Length: 10", "Content-Length: 20"), b"0" * 20),
        (("Content-Length: -1",), b""),
        (("Content-Length: ten",), b"0" * 10),
        (("Content-Length: 99999999999999999999999",), b""),
        (("Transfer-Encoding: chunked",), b"zz\r\n"),
        (("Transfer-Encoding: chunked",), b"ffffffffffffffffff\r\n"),
    ],
)
def test_a_length_that_is_none_is_refused(shared: Running, lines: tuple[str, ...], sent: bytes) -> None:
    """Fault 15: lengths that contradict each other or are no numbers: refused, never guessed."""
    with socket.create_connection(("127.0.0.1", shared.service.port), timeout=ENOUGH_S) as connection:
        connection.sendall(head(shared, "/v1/claims", *lines) + sent)
        connection.shutdown(socket.SHUT_WR)
        answer = b"".join(iter(lambda: connection.recv(65536), b""))
    assert answer == b"" or answer.split(b" ", 2)[1][:1] == b"4"
    alive(shared)


def test_a_length_that_promises_more_than_comes(shared: Running) -> None:
    """Fault 15: 100 bytes promised, ten sent, hung up: nothing is stored and the service goes on."""
    with socket.create_connection(("127.0.0.1", shared.service.port), timeout=ENOUGH_S) as connection:
        connection.sendall(head(shared, "/v1/claims", "Content-Length: 100") + b"0" * 10)
    alive(shared)


def test_a_length_that_promises_less_than_comes(shared: Running) -> None:
    """Fault 15: what comes behind the promised length is no part of the body, and no request of somebody else's."""
    body = json.dumps({"text": "M8 x 22.2"}).encode()
    smuggled = b"GET /v1/makes HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    with socket.create_connection(("127.0.0.1", shared.service.port), timeout=ENOUGH_S) as connection:
        connection.sendall(head(shared, "/v1/bench/labels", f"Content-Length: {len(body)}") + body + smuggled)
        answer = b"".join(iter(lambda: connection.recv(65536), b""))
    assert answer.count(b"HTTP/1.1 200 OK") == 2  # two requests on one connection, each with its own answer
    assert answer.index(b'"canonical"') < answer.index(b'"makes"')


@pytest.mark.parametrize(("length", "wanted"), [(LIMIT, 200), (LIMIT + 1, 413)])
def test_a_body_in_chunks_is_never_cut_off(shared: Running, length: int, wanted: int) -> None:
    """Fault 15: a question followed by blanks, and an x at the very end: without its end it would be another body."""
    body = json.dumps({"text": "M8 x 22.2"}).encode()
    body = body.ljust(length) if wanted == 200 else body.ljust(LIMIT) + b"x"
    parts = [head(shared, "/v1/bench/labels", "Transfer-Encoding: chunked")]
    parts += [b"%x\r\n%s\r\n0\r\n\r\n" % (len(body), body)]
    status, answer = exchange(shared.service, parts)
    assert status == wanted, answer


@pytest.mark.parametrize(
    ("line", "wanted"),
    [("Authorization: Bearer nonsense", 401), ("Content-Type: text/plain", 415), ("If-Match: x", 404)],
)
def test_a_refusal_reaches_a_client_that_still_sends(shared: Running, line: str, wanted: int) -> None:
    """Fault 15: the head is enough to refuse it; the answer comes all the same, and the connection goes on."""
    path = "/v1/nothing" if wanted == 404 else "/v1/claims"
    sent = [f"POST {path} HTTP/1.1", "Host: localhost", "Idempotency-Key: x", "Content-Length: 20000", line, "", ""]
    if wanted == 415:
        sent.insert(2, f"Authorization: {shared.people['ann'].authorization['Authorization']}")
    with socket.create_connection(("127.0.0.1", shared.service.port), timeout=ENOUGH_S) as connection:
        for _ in range(3):
            connection.sendall("\r\n".join(sent).encode())
            for _ in range(4):
                time.sleep(0.01)  # time enough for an answer that does not wait for the body
                connection.sendall(b"0" * 5000)
            with http.client.HTTPResponse(connection) as answer:
                answer.begin()
                answer.read()
                assert answer.status == wanted
                assert not answer.will_close
