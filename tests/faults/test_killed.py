"""Faults 1 and 10: the service is killed while it writes, and between commit and answer."""

from __future__ import annotations

import json
import pathlib
import random
import signal
import threading
from typing import Any

import pytest

from boltspan.http.app import create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage
from tests.faults.answering import AFTER, BEFORE
from tests.faults.conftest import Running
from tests.faults.processes import started
from tests.faults.soundness import unsound
from tests.faults.traffic import Traffic
from tests.faults.world import FRAMES, SPARE, WRITERS, Person, claim, proposal

ROUNDS = 12


@pytest.mark.slow
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
    assert sum(len(writer.cut_offs) for writer in traffic.writers) >= ROUNDS  # the kills met writers at work
    assert service.end() == 0


@pytest.mark.parametrize("hook", [BEFORE, AFTER])
def test_the_retry_after_a_crash_gets_the_original(
    storage: SqlStorage, people: dict[str, Person], migrated_url: str, tmp_path: pathlib.Path, hook: str
) -> None:
    """Fault 10: killed between commit and answer, the retry gets what was done; killed before, it is done then, once.

    That holds for decisions and edits too, although the ETag that they name is no longer the present one.
    """
    app = create_app(storage, SystemClock(), HttpSettings(data=tmp_path, rate_limits=False, log=lambda _: None))
    browser = app.test_client()

    def ask(method: str, path: str, body: Any = None, **headers: str) -> Any:
        content = None if body is None else json.dumps(body)
        return browser.open(path, method=method, data=content, headers={"Content-Type": "application/json"} | headers)

    case = ask("POST", "/v1/claims", claim("example.org/1"), **people["ann"].authorization, **{"Idempotency-Key": "1"})
    mia = people["mia"].authorization
    review = f"/v1/reviews/{case.json['review']['id']}"
    frame = f"/v1/frames/{SPARE[0]}"
    requests = {
        "/v1/claims": (people["ben"].authorization, claim("example.org/2", FRAMES[2])),
        "/v1/frames": (people["ben"].authorization, proposal()),
        f"{review}/decisions": (
            mia | {"If-Match": ask("GET", review, **mia).headers["ETag"]},
            {"ruling": "leave_open", "why": "cannot tell"},
        ),
        f"{frame}/edits": (
            mia | {"If-Match": ask("GET", frame).headers["ETag"]},
            {"edit": "years", "years": {"from": 2020, "to": 2023}, "why": "the maker's archive"},
        ),
    }
    with started("tests.faults.answering", migrated_url, tmp_path) as killer:
        assert killer.stdin is not None
        assert killer.stdout is not None
        for number, (path, (who, body)) in enumerate(requests.items()):
            headers = {**who, "Idempotency-Key": f"key-{number}"}
            with storage.reading() as uow:
                last = uow.events.last()
            asked = {"hook": hook, "path": path, "headers": headers, "body": body}
            print(json.dumps(asked), file=killer.stdin, flush=True)
            assert int(killer.stdout.readline()) == -signal.SIGKILL
            with storage.reading() as uow:
                killed = uow.events.last()
            assert (killed > last) == (hook == AFTER)
            assert unsound(storage) == []
            first = ask("POST", path, body, **headers)
            assert first.status_code == 201
            with storage.reading() as uow:
                done = uow.events.last()
            assert done == killed if hook == AFTER else done > killed
            again = ask("POST", path, body, **headers)
            assert (again.status_code, again.data) == (201, first.data)
            with storage.reading() as uow:
                assert uow.events.last() == done
            assert unsound(storage) == []
        killer.stdin.close()
