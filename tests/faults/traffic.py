"""Writers that send claims over HTTP and never give a claim up: a key is sent again until it is acknowledged."""

from __future__ import annotations

import http.client
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.faults.service import Connection, Reply, Service
from tests.faults.world import Person, claim, spread

PAUSE_S = 0.02
Refusal = tuple[float, float, Reply]
"""When something was asked for, when it was answered (monotonic seconds), and the answer."""


@dataclass
class Writer:
    """One writer's work: what was acknowledged by key, every answer that was none, and how it was cut off."""

    name: str
    person: Person
    service: Service
    stop: threading.Event
    acknowledged: dict[str, str] = field(default_factory=dict)
    others: list[Refusal] = field(default_factory=list)
    cut_offs: list[str] = field(default_factory=list)
    broken: list[BaseException] = field(default_factory=list)

    def body(self, number: int) -> dict[str, Any]:
        """Return the n-th claim."""
        return claim(f"example.org/{self.name}/{number}", *spread(number))

    def send(self, connection: Connection, number: int) -> Reply:
        """Send the n-th claim under its key."""
        headers = {**self.person.authorization, "Idempotency-Key": self.key(number)}
        return connection.ask("POST", "/v1/claims", self.body(number), headers)

    def key(self, number: int) -> str:
        """Return the key of the n-th claim."""
        return f"{self.name}-{number}"

    def run(self) -> None:
        """Send one claim after the other until told to stop, each until it is acknowledged."""
        try:
            self._run()
        except BaseException as e:  # noqa: BLE001 - told by ``Traffic.end``
            self.broken.append(e)

    def _run(self) -> None:
        connection = self.service.connect()
        number = 0
        while not self.stop.is_set():
            number += 1
            while self.key(number) not in self.acknowledged:
                sent_s = time.monotonic()
                try:
                    reply = self.send(connection, number)
                except (OSError, http.client.HTTPException) as e:
                    self.cut_offs.append(repr(e))
                    connection.close()
                    time.sleep(PAUSE_S)
                    continue
                if reply.status == 201:
                    self.acknowledged[self.key(number)] = reply.body["claim"]["id"]
                else:
                    self.others.append((sent_s, time.monotonic(), reply))
                    assert reply.status == 503, reply  # anything else would be the same for ever
                    time.sleep(PAUSE_S)
        connection.close()


class Traffic:
    """Writers at work, from ``with`` to ``end``."""

    def __init__(self, service: Service, people: Mapping[str, Person], names: Mapping[str, str]) -> None:
        self._stop = threading.Event()
        self.writers = [Writer(name, people[handle], service, self._stop) for name, handle in names.items()]
        self._threads = [threading.Thread(target=w.run, daemon=True) for w in self.writers]

    def __enter__(self) -> Traffic:
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()

    def end(self) -> dict[str, str]:
        """Stop when every claim begun is acknowledged; return the claims' ids by key."""
        self._stop.set()
        for thread in self._threads:
            thread.join(60)
            assert not thread.is_alive(), "a writer hangs"
        for writer in self.writers:
            assert writer.broken == []
        return self.acknowledged()

    def acknowledged(self) -> dict[str, str]:
        """Return the ids of all claims acknowledged so far, by key."""
        return {key: claim_id for w in self.writers for key, claim_id in list(w.acknowledged.items())}

    def others(self) -> list[Refusal]:
        """Return every answer that was no acknowledgement."""
        return [other for writer in self.writers for other in writer.others]
