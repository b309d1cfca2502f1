"""What one answer for a shock costs, which is worked out when asked for: in process, through the whole application.

Run: .venv-test/bin/python -m tests.benchmarks.bench_shocks
Every shock shipped that answers for itself is asked for in turn on SQLite, then again with the ETag it was answered
with, beside a frame's published answer through the same test client, whose own cost is most of that one.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from boltspan.bootstrap import open_storage, prepare
from boltspan.config import Config
from boltspan.http.app import create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.answers import encode
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import FrameQuery
from boltspan.services.shocks import shock

SECONDS = 5.0


def cost_ms(work: Callable[[int], object]) -> float:
    """Return the processor's time of one turn in ms; ``work`` gets the number of the turn."""
    work(0)
    done, started, busy = 0, time.perf_counter(), time.process_time()
    while time.perf_counter() - started < SECONDS:
        work(done)
        done += 1
    return (time.process_time() - busy) / done * 1000


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        config = Config(data=Path(folder))
        storage = open_storage(config)
        prepare(config, storage)
        settings = HttpSettings(data=Path(folder), rate_limits=False, log=lambda _: None)
        client = create_app(storage, SystemClock(), settings).test_client()
        with storage.reading() as uow:
            shocks = [s.shock.id for s in uow.shocks.every_shock() if s.shock.live]
            frames = [s.frame.id for s in uow.catalogue.find(FrameQuery(limit=50))]
            alone = cost_ms(lambda turn: encode(shock(uow, ANYBODY, shocks[turn % len(shocks)])))
        print(f"a shock's answer from stored rows to bytes: {alone:.2f} ms of processor")
        tags = {i: client.get(f"/v1/shocks/{i}").headers["ETag"] for i in shocks}

        def again(turn: int) -> None:
            asked = shocks[turn % len(shocks)]
            answered = client.get(f"/v1/shocks/{asked}", headers={"If-None-Match": tags[asked]})
            assert answered.status_code == 304

        def get(path: str, ids: list[str]) -> float:
            return cost_ms(lambda turn: client.get(f"{path}/{ids[turn % len(ids)]}"))

        print(f"GET /v1/shocks/{{id}}: {get('/v1/shocks', shocks):.2f} ms; with its ETag, 304: {cost_ms(again):.2f} ms")
        print(f"GET /v1/frames/{{id}}, published, the same way: {get('/v1/frames', frames):.2f} ms")


if __name__ == "__main__":
    main()
