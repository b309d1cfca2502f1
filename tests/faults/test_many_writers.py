"""Faults 38 and 42: many writers at once, and somebody who follows what they change."""

from __future__ import annotations

import time

import pytest

from tests.faults.conftest import Running
from tests.faults.soundness import unsound
from tests.faults.traffic import Traffic
from tests.faults.world import WRITERS

SECONDS = 8.0


@pytest.mark.slow
def test_no_writer_is_told_that_the_database_is_locked(shared: Running) -> None:
    """Fault 38: 16 writers for 8 s: every one is served; no "database is locked" reaches a client or the log."""
    names = {f"crowd-{number}": WRITERS[number % len(WRITERS)] for number in range(16)}
    before = shared.service.log.stat().st_size
    with Traffic(shared.service, shared.people, names) as traffic:
        time.sleep(SECONDS)
        acknowledged = traffic.end()
    assert [reply for *_, reply in traffic.others()] == []
    assert [w.name for w in traffic.writers if not w.acknowledged or w.cut_offs] == []
    assert len(set(acknowledged.values())) == len(acknowledged)
    assert b"locked" not in shared.service.log.read_bytes()[before:]
    assert unsound(shared.storage) == []


def test_a_reader_of_the_feed_misses_nothing_and_is_told_nothing_twice(shared: Running) -> None:
    """Fault 42: four writers, one reader of /v1/changes on changing workers: nothing lost, nothing doubled."""
    with shared.storage.reading() as uow:
        start = since = uow.events.last()
    told: list[dict[str, object]] = []
    pages = 0
    with Traffic(shared.service, shared.people, {f"feed-{who}": who for who in WRITERS}) as traffic:
        acknowledged: dict[str, str] | None = None
        deadline = time.monotonic() + 3
        while True:
            if acknowledged is None and time.monotonic() > deadline:
                acknowledged = traffic.end()
            page = shared.service.ask("GET", f"/v1/changes?since={since}&limit={1 + pages % 7}").body
            pages += 1
            told += page["changes"]
            since = page["next_since"]
            if acknowledged is not None and since == page["last"]:
                break
    assert [change["event"] for change in told] == list(range(start + 1, start + 1 + len(told)))
    submitted = [change["claim"] for change in told if change["kind"] == "claim_submitted"]
    assert sorted(map(str, submitted)) == sorted(acknowledged.values())
