"""Fault 11: two people rule on, or edit, the same thing at once."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from tests.faults.at_once import at_once
from tests.faults.conftest import Running
from tests.faults.service import Reply
from tests.faults.soundness import unsound
from tests.faults.world import FRAMES, REVIEWERS, SPARE, claim

ROUNDS = 6


def send(running: Running, who: str, path: str, body: Any, match: str | None = None) -> Reply:
    headers = {**running.people[who].authorization, "Idempotency-Key": str(uuid.uuid4())}
    if match is not None:
        headers["If-Match"] = match
    return running.service.ask("POST", path, body, headers)


def read(running: Running, who: str, path: str) -> str:
    """Return the ETag of what somebody reads."""
    reply = running.service.ask("GET", path, headers=running.people[who].authorization)
    assert reply.status == 200
    return reply.headers["etag"]


def both(running: Running, path: str, body: Callable[[str], Any], tags: dict[str, str]) -> tuple[str, Reply]:
    """Let both maintainers send at once; return who came first and that answer, after a look at the other's."""
    replies = at_once(
        [lambda who=who: (who, send(running, who, path, body(who), tags[who])) for who in REVIEWERS]  # type: ignore[misc]
    )
    (first, done), (second, refused) = sorted(replies, key=lambda r: r[1].status)
    assert (done.status, refused.status, refused.body["code"]) == (201, 412, "stale")
    again = send(running, second, path, body(second), tags[second])
    assert again.status == 412  # stale stays stale
    return first, done


def test_of_two_reviewers_at_once_the_second_has_to_read_again(shared: Running) -> None:
    """Fault 11: both decide with the ETag that they read: one decision stands, the other gets 412."""
    winners = []
    for number in range(ROUNDS):
        body = claim(f"example.org/reviewed/{number}", FRAMES[0], "lower", width_mm=20 + number)
        receipt = send(shared, "ann", "/v1/claims", body).body
        case = f"/v1/reviews/{receipt['review']['id']}"
        tags = {who: read(shared, who, case) for who in REVIEWERS}

        def ruling(who: str, claim_id: str = receipt["claim"]["id"]) -> dict[str, Any]:
            return {"ruling": "refuse_claims", "refuses": [claim_id], "reason": "cannot_tell", "why": f"for {who}"}

        first, done = both(shared, f"{case}/decisions", ruling, tags)
        winners.append(first)
        with shared.storage.reading() as uow:
            made = [d for d in uow.statements.decisions(FRAMES[0]) if receipt["claim"]["id"] in d.refuses]
        assert [(d.id, d.by, d.why) for d in made] == [
            (done.body["decision"]["id"], shared.people[first].id, f"for {first}")
        ]
    assert unsound(shared.storage) == []


def test_of_two_editors_at_once_the_second_has_to_read_again(shared: Running) -> None:
    """Fault 11: both edit a frame's years with the ETag that they read: one edit is done, the other gets 412."""
    path = f"/v1/frames/{SPARE[0]}"
    for number in range(ROUNDS):
        tags = {who: read(shared, who, path) for who in REVIEWERS}
        assert len(set(tags.values())) == 1

        def edit(who: str, start: int = 2016 + number) -> dict[str, Any]:
            return {"edit": "years", "years": {"from": start, "to": 2023}, "why": f"for {who}"}

        both(shared, f"{path}/edits", edit, tags)
        with shared.storage.reading() as uow:
            stored = uow.catalogue.frame(SPARE[0])
        assert stored is not None
        assert stored.frame.years.start == 2016 + number
    assert unsound(shared.storage) == []


def test_a_claim_that_came_meanwhile_makes_the_reading_stale(shared: Running) -> None:
    """Fault 11: a reviewer does not rule on what they have not seen."""
    receipt = send(shared, "ann", "/v1/claims", claim("example.org/meanwhile/1", FRAMES[1])).body
    case = f"/v1/reviews/{receipt['review']['id']}"
    tag = read(shared, "mia", case)
    assert send(shared, "ben", "/v1/claims", claim("example.org/meanwhile/2", FRAMES[1], width_mm=25)).status == 201
    ruling = {"ruling": "leave_open", "why": "cannot tell"}
    assert send(shared, "mia", f"{case}/decisions", ruling, tag).status == 412
    assert send(shared, "mia", f"{case}/decisions", ruling, read(shared, "mia", case)).status == 201
