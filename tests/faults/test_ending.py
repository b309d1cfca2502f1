"""Fault 14: the service is told to end under load; and one of its processes is lost."""

from __future__ import annotations

import http.client
import os
import pathlib
import signal
import threading
import uuid

from tests.faults.conftest import Running
from tests.faults.service import Connection, Reply, eventually
from tests.faults.soundness import unsound
from tests.faults.traffic import Traffic
from tests.faults.world import FRAMES, WRITERS, claim

IN_FLIGHT = 6


def unread_bytes(port: int) -> int:
    """Return how many bytes sent to ``port`` no process has read yet (Linux, proc(5), net/tcp)."""
    waiting = 0
    for line in pathlib.Path("/proc/net/tcp").read_text().splitlines()[1:]:
        _, local, _, state, queues, *_ = line.split()
        if int(local.rpartition(":")[2], 16) == port and state == "01":  # established
            waiting += int(queues.rpartition(":")[2], 16)
    return waiting


def test_requests_in_flight_finish_when_the_service_ends(stopped: Running) -> None:
    """Fault 14: SIGTERM while requests wait for their turn to write: each gets its answer, and the exit code is 0."""
    service = stopped.service
    service.start()
    service.meet_every_worker("/livez")
    replies: dict[int, Reply] = {}
    connections = [service.connect() for _ in range(IN_FLIGHT)]
    for connection in connections:
        assert connection.ask("GET", "/livez").status == 200  # accepted by a worker, kept alive
        connection.sent = False  # or a thread that has not begun yet would pass for one that has sent

    def send(number: int, connection: Connection) -> None:
        headers = {**stopped.people[WRITERS[number % 4]].authorization, "Idempotency-Key": str(uuid.uuid4())}
        replies[number] = connection.ask("POST", "/v1/claims", claim(f"example.org/{number}"), headers)

    threads = [threading.Thread(target=send, args=pair) for pair in enumerate(connections)]
    with stopped.storage.writing() as uow:  # it is our turn, so theirs does not come
        last = uow.events.last()
        for thread in threads:
            thread.start()
        eventually(lambda: all(c.sent for c in connections) and unread_bytes(service.port) == 0, 10)
        service.ask_to_end()
        eventually(lambda: b"Shutting down" in service.log.read_bytes(), 10)
        assert replies == {}
    for thread in threads:
        thread.join(30)
    assert [replies[n].status for n in range(IN_FLIGHT)] == [201] * IN_FLIGHT
    assert service.process.wait(20) == 0
    for connection in connections:
        connection.close()
    with stopped.storage.reading() as uow:
        assert uow.events.last() == last + IN_FLIGHT
        assert {c.id for c in uow.statements.claims(FRAMES[0])} == {r.body["claim"]["id"] for r in replies.values()}


def test_the_service_ends_while_it_starts(stopped: Running) -> None:
    """Fault 14: SIGTERM as soon as the first worker answers, the second one hardly begun: exit code 0."""
    stopped.service.start(wait_for="/livez")
    assert stopped.service.end() == 0


def test_ending_under_load_loses_nothing(stopped: Running) -> None:
    """Fault 14: SIGTERM under the load of four writers, three times: exit code 0, nothing acknowledged is lost."""
    service = stopped.service
    service.workers = 1
    service.start()
    with Traffic(service, stopped.people, {who: who for who in WRITERS}) as traffic:
        for _ in range(3):
            before = len(traffic.acknowledged())
            eventually(lambda: len(traffic.acknowledged()) > before + 8, 30)  # noqa: B023
            assert service.end() == 0
            assert unsound(stopped.storage) == []
            service.start(wait_for="/livez")
        acknowledged = traffic.end()
    assert traffic.others() == []
    with stopped.storage.reading() as uow:
        assert uow.catalogue.count()["claims"] == len(set(acknowledged.values())) == len(acknowledged)


def test_a_worker_that_is_killed_is_replaced_and_the_other_goes_on(stopped: Running) -> None:
    """Fault 1, by halves: one of two workers is killed (by the system when memory is short): the service goes on."""
    service = stopped.service
    service.start()
    before = service.meet_every_worker("/livez")

    def replaced() -> bool:
        try:
            return len(service.meet_every_worker("/livez") - before) == 1
        except (OSError, http.client.HTTPException):  # what the killed one had accepted
            return False

    with Traffic(service, stopped.people, {who: who for who in WRITERS}) as traffic:
        eventually(lambda: len(traffic.acknowledged()) > 8, 30)
        os.kill(service.worker_pids()[0], signal.SIGKILL)
        eventually(replaced, 30)
        acknowledged = traffic.end()
    assert unsound(stopped.storage) == []
    with stopped.storage.reading() as uow:
        assert uow.catalogue.count()["claims"] == len(acknowledged)
    assert service.end() == 0


def test_workers_do_not_outlive_the_main_process(stopped: Running) -> None:
    """Fault 1, by halves: the main process alone is killed: its workers end, so that no old one answers beside new."""
    service = stopped.service
    service.start()
    before = service.meet_every_worker("/livez")
    service.process.kill()
    service.process.wait(10)
    eventually(service.gone, 10)
    service.start()
    assert not service.meet_every_worker("/livez") & before
