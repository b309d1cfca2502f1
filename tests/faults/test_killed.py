"""Faults 1 and 10: the service is killed while it writes, and between commit and answer."""

from __future__ import annotations

import random
import threading

from tests.faults.conftest import Running
from tests.faults.soundness import unsound
from tests.faults.traffic import Traffic
from tests.faults.world import WRITERS

ROUNDS = 12


def test_nothing_acknowledged_is_lost_when_the_service_is_killed_while_it_writes(stopped: Running) -> None:
    """Fault 1: kill -9 in the middle of four writers, 12 rounds; each key gives one row, no record is half there."""
    service, storage = stopped.service, stopped.storage
    moments = random.Random(1)
    names = dict(zip(WRITERS, WRITERS, strict=True))
    service.start()
    with Traffic(service, stopped.people, names) as traffic:
        for number in range(ROUNDS):
            before = len(traffic.acknowledged())
            deadline = threading.Event()
            while len(traffic.acknowledged()) < before + 4:
                deadline.wait(0.01)
            deadline.wait(moments.uniform(0.05, 0.4))
            service.kill()
            acknowledged = traffic.acknowledged()
            assert unsound(storage) == []
            with storage.reading() as uow:
                assert [c for c in acknowledged.values() if uow.statements.claim(c) is None] == []
            service.workers = 2 if number % 3 == 0 else 1  # one starts sooner, two write at once
            service.start(wait_for="/livez")
        acknowledged = traffic.end()
    assert len(set(acknowledged.values())) == len(acknowledged)
    with storage.reading() as uow:
        assert uow.catalogue.count()["claims"] == len(acknowledged)
    connection = service.connect()
    for writer in traffic.writers:  # every key once more
        for number in range(1, len(writer.acknowledged) + 1):
            reply = writer.send(connection, number)
            assert (reply.status, reply.body["claim"]["id"]) == (201, acknowledged[writer.key(number)])
    connection.close()
    with storage.reading() as uow:
        assert uow.catalogue.count()["claims"] == len(acknowledged)
    assert unsound(storage) == []
    assert sum(writer.cut_off for writer in traffic.writers) >= ROUNDS  # the kills met writers at work
    assert service.end() == 0
