"""Edits of a frame's record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.conditional import frame_match
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import edit_requests, examples, write_answers
from boltspan.services.edit import edit_frame

resource = Resource("edits", __name__, description="Changes of a frame's record: years, names, merge, divide ...")


@resource.operation(
    "/v1/frames/<frame_id>/edits",
    method="POST",
    permission="edit_frame",
    counted="write",
    body=edit_requests.NewEdit,
    examples=examples.EDITS,
    answers=[
        Answer(201, write_answers.EditReceipt, "The frames that the edit touched.", examples.EDITED, ("Location",))
    ],
    problems=[404],
    once=True,
    match=True,
)
def edit(call: Call, body: Mapping[str, Any], frame_id: str) -> Response:
    """Edit a frame's record.

    If-Match is the ETag of the frame's answer (GET /v1/frames/{frame_id}), or of its history for a record that answers
    no more and is to be restored. The parts of a divided record start without
    claims, since none says which part it speaks of.
    """
    key, given = call.once_key(), call.if_match()
    with call.writing() as uow:
        if_match = frame_match(uow, call.actor, frame_id, given)
        receipt = edit_frame(call.actor, uow, call.clock, frame_id, body, if_match, key)
    return call.receipt(receipt)
