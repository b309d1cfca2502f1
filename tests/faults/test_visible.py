"""A change is seen in every worker within a second of its commit, and a withdrawn record leaves as soon."""

from __future__ import annotations

import time
import uuid
from collections.abc import Callable

import pytest

from tests.faults.conftest import Running
from tests.faults.service import Reply
from tests.faults.world import LEAVING, REVIEWERS, SPARE, claim

WITHIN_S = 1.0
FRAME = f"/v1/frames/{SPARE[1]}"
YEAR = "/v1/makes/tarnvale/skerry-5/2025"


def seen_everywhere(running: Running, path: str, new: Callable[[Reply], bool], since_s: float) -> float:
    """Ask on new connections until each worker was asked more than a second after ``since_s`` and shows what is new.

    Whoever is asked later than that must show it, and who has shown it once shows it ever after. Returns how long the
    last worker took.
    """
    first: dict[str, float] = {}
    late: set[str] = set()
    while len(late) < running.service.workers:
        asked_s = time.monotonic() - since_s
        reply = running.service.ask("GET", path)
        assert asked_s < 30, "a worker is never met"
        if new(reply):
            first.setdefault(reply.worker, asked_s)
        else:
            assert asked_s <= WITHIN_S, f"{path} was out of date {asked_s:.3f} s after the commit"
            assert reply.worker not in first, "a worker went back in time"
        if asked_s > WITHIN_S:
            late.add(reply.worker)
    return max(first.values())


@pytest.mark.parametrize("path", [FRAME, YEAR])
def test_a_claim_is_seen_in_every_worker(shared: Running, path: str) -> None:
    """Published answers: asked on fresh connections until both workers answered, none is more than 1 s behind."""
    took = []
    for number in range(3):
        shared.service.meet_every_worker(path)
        before = shared.service.ask("GET", path).body["event"]
        headers = {**shared.people["ann"].authorization, "Idempotency-Key": str(uuid.uuid4())}
        body = claim(f"example.org/visible/{uuid.uuid4()}", SPARE[1], width_mm=20 + number)
        assert shared.service.ask("POST", "/v1/claims", body, headers).status == 201
        took.append(seen_everywhere(shared, path, lambda r: r.body["event"] > before, time.monotonic()))  # noqa: B023
    print(f"{path}: the slowest worker of each round took", *(f"{seconds:.3f} s" for seconds in took))


def test_a_withdrawn_frame_leaves_every_worker(shared: Running) -> None:
    """Published answers: 410 from every worker at most 1 s after a frame was withdrawn, and the year says unknown."""
    frame, year = f"/v1/frames/{LEAVING}", "/v1/makes/tarnvale/skerry-6/2022"
    service = shared.service
    shared.service.meet_every_worker(frame)
    shared.service.meet_every_worker(year)
    headers = {
        **shared.people[REVIEWERS[0]].authorization,
        "Idempotency-Key": str(uuid.uuid4()),
        "If-Match": service.ask("GET", frame).headers["etag"],
    }
    assert service.ask("POST", f"{frame}/edits", {"edit": "withdraw", "why": "never made"}, headers).status == 201
    since = time.monotonic()
    seen_everywhere(shared, frame, lambda r: r.status == 410, since)
    seen_everywhere(shared, year, lambda r: r.body["outcome"] == "unknown", since)
