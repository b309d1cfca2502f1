"""Faults 7, 8 and 9: the same request comes again: later, at the same moment, with another body, of somebody else."""

from __future__ import annotations

import itertools
import uuid
from typing import Any

from tests.faults.at_once import at_once
from tests.faults.conftest import Running
from tests.faults.service import Reply
from tests.faults.soundness import unsound
from tests.faults.world import Person, claim, proposal

_documents = (f"example.org/repeated/{number}" for number in itertools.count())


def post(running: Running, path: str, body: Any, key: str, who: Person) -> Reply:
    return running.service.ask("POST", path, body, {**who.authorization, "Idempotency-Key": key})


def counted(running: Running) -> tuple[dict[str, int], int]:
    """Return how many records of each kind there are, and the last event."""
    with running.storage.reading() as uow:
        return uow.catalogue.count(), uow.events.last()


def test_the_same_post_twenty_times_makes_one_row_and_gets_one_answer(shared: Running) -> None:
    """Fault 7: the same POST again, in turn: one row, the same answer from every worker."""
    before, last = counted(shared)
    body, key = claim(next(_documents)), str(uuid.uuid4())
    replies = [post(shared, "/v1/claims", body, key, shared.people["ann"]) for _ in range(20)]
    assert {(r.status, r.content, r.headers["location"]) for r in replies} == {
        (201, replies[0].content, replies[0].headers["location"])
    }
    assert len({r.worker for r in replies}) == 2
    after, now = counted(shared)
    assert after == before | {"claims": before["claims"] + 1}
    assert now == last + 1


def test_the_same_post_at_once_makes_one_row(shared: Running) -> None:
    """Fault 8: 32 threads send the same POST at once: one row; the others get the same answer or 409."""
    for path, body, grown in (
        ("/v1/claims", claim(next(_documents)), {"claims": 1}),
        ("/v1/frames", proposal(), {"models": 1, "frames": 1}),
    ):
        before, _ = counted(shared)
        before["makes"] = 0  # the first proposal brings its make too
        key = str(uuid.uuid4())
        replies = at_once([lambda: post(shared, path, body, key, shared.people["ann"])] * 32)  # noqa: B023
        done = [r for r in replies if r.status == 201]
        assert done
        assert {r.status for r in replies} <= {201, 409}
        assert {r.content for r in done} == {done[0].content}
        after, _ = counted(shared)
        assert after | {"makes": 0} == before | {noun: before[noun] + n for noun, n in grown.items()}
    assert unsound(shared.storage) == []


def test_a_key_with_another_body_is_refused(shared: Running) -> None:
    """Fault 9: the same key, another body: 422, and nothing is stored."""
    key, ann = str(uuid.uuid4()), shared.people["ann"]
    assert post(shared, "/v1/claims", claim(next(_documents)), key, ann).status == 201
    before = counted(shared)
    refused = post(shared, "/v1/claims", claim(next(_documents)), key, ann)
    assert (refused.status, refused.body["code"]) == (422, "key_reused")
    assert counted(shared) == before


def test_a_key_of_somebody_else_or_for_another_route_is_another_key(shared: Running) -> None:
    """Fault 9: the same key and body of another person, or the same key on another route: independent."""
    key, body = str(uuid.uuid4()), claim(next(_documents))
    first, second = (post(shared, "/v1/claims", body, key, shared.people[who]) for who in ("ann", "ben"))
    assert first.status == second.status == 201
    assert first.body["claim"]["id"] != second.body["claim"]["id"]
    assert post(shared, "/v1/frames", proposal(), key, shared.people["ann"]).status == 201


def test_a_refused_request_leaves_its_key_free(shared: Running) -> None:
    """Fault 9: what was refused stores nothing, so the corrected body may take the same key."""
    key, ann, document = str(uuid.uuid4()), shared.people["ann"], next(_documents)
    assert post(shared, "/v1/claims", claim(document, width_mm=500), key, ann).status == 422
    assert post(shared, "/v1/claims", claim(document), key, ann).status == 201
