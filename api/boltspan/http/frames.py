"""Frames: found by name, year and size; one frame's answer, what it rests on, its history; proposals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from flask import Response

from boltspan.http.call import Call
from boltspan.http.headers import IMMUTABLE_CACHE, LOOKUP_CACHE
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.paging import next_link, question_of
from boltspan.http.published import Ready
from boltspan.http.schemas import answers, examples, requests, write_answers
from boltspan.services import lookup, publish
from boltspan.services.answers import etag
from boltspan.services.protocols import FrameQuery
from boltspan.services.publishing import frame_path
from boltspan.services.submit import propose_frame
from boltspan.services.wanted import not_found

READY_ROUTE: Final = "/v1/frames/{frame_id}"
READY_PREFIX: Final = "/v1/frames/"

resource = Resource("frames", __name__, description="Frames, the answers for them, and what these rest on.")


@resource.operation(
    "/v1/frames",
    query=requests.FrameSearch,
    answers=[Answer(200, answers.FrameList, "The frames found.", examples.FRAMES, (*KEPT, "Link")), NOT_MODIFIED],
    problems=[400],
)
def list_frames(call: Call) -> Response:
    """Find frames by name, make, model, year, size, mount or standing.

    Ordered by make, model and first year; with q the likest models come first, on one page. The Link header leads to
    the next page. A name, or a make and model, that no frame is found for is counted, so that it can be found out;
    nothing about who asked is kept, nor the text.
    """
    query = call.query
    asked = {k: v for k, v in query.items() if k not in ("q", "cursor")}
    path = call.request.path
    after = call.parts.cursors.read(question_of(path, query), query["cursor"]) if "cursor" in query else None
    with call.reading() as uow:
        index = call.parts.names.index(uow)
        page = lookup.frames(uow, FrameQuery(**asked, after=after), index, query.get("q"))
    if not page.frames and "cursor" not in query:
        call.parts.unanswered.note(not_found(query, page.meant))
    response = call.shown({"frames": page.frames})
    if page.after is not None:
        cursor = call.parts.cursors.make(question_of(path, query), page.after)
        response.headers["Link"] = next_link(path, query, cursor)
    return response


@resource.operation(
    "/v1/frames/<frame_id>",
    counted="ready",
    query=requests.FrameQuestion,
    answers=[Answer(200, answers.FrameAnswer, "The answer.", examples.FRAME, KEPT), NOT_MODIFIED],
    problems=[308, 404, 410],
)
def show_frame(call: Call, frame_id: str) -> Response:
    """Answer for one frame.

    A merged record leads to the one that answers (308); a withdrawn or divided one is gone (410) and says which ids to
    ask instead. A proposal is there for its author and for maintainers. With release the answer is the one of that
    release, byte for byte. Answers that are published are exempt from the quota.
    """
    if "release" in call.query:
        call.count_lookup()
        with call.reading() as uow:
            body = publish.release_answer(call.parts.settings.data, uow, call.query["release"], frame_id)
        return call.raw(Ready(body, etag(body)), IMMUTABLE_CACHE)
    if (ready := call.parts.published.answer(frame_path(frame_id))) is not None:
        return call.raw(ready, LOOKUP_CACHE)
    call.count_lookup()
    with call.reading() as uow:
        found = lookup.frame(uow, call.actor, frame_id)
    return call.shown(found, private="listed" in found)


@resource.operation(
    "/v1/frames/<frame_id>/claims",
    answers=[Answer(200, answers.FrameClaims, "The claims.", examples.CLAIMS, KEPT), NOT_MODIFIED],
    problems=[404],
)
def list_frame_claims(call: Call, frame_id: str) -> Response:
    """Show what a frame's answer rests on: every claim with its source and state, every decision, by subject."""
    with call.reading() as uow:
        found = lookup.claims(uow, call.actor, frame_id)
    return call.shown(found, private=call.actor.person is not None)


@resource.operation(
    "/v1/frames/<frame_id>/history",
    answers=[Answer(200, answers.History, "The events.", examples.HISTORY, KEPT), NOT_MODIFIED],
    problems=[404],
)
def show_frame_history(call: Call, frame_id: str) -> Response:
    """Show every change of a frame, oldest first."""
    with call.reading() as uow:
        found = lookup.history(uow, call.actor, frame_id)
    return call.shown(found, private=call.actor.person is not None)


@resource.operation(
    "/v1/frames",
    method="POST",
    permission="propose_frame",
    counted="write",
    body=requests.NewFrame,
    examples={"frame": examples.NEW_FRAME},
    answers=[Answer(201, write_answers.ProposalReceipt, "The proposal.", examples.PROPOSAL, ("Location",))],
    once=True,
)
def propose(call: Call, body: Mapping[str, Any]) -> Response:
    """Propose a frame that is not there yet.

    It is not listed until a maintainer accepts it; claims may name it at once. A known make or model is recognised by
    its slug. Years that overlap those of another frame of the model need a qualifier on both.
    """
    key = call.once_key()
    with call.writing() as uow:
        receipt = propose_frame(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt)
