"""Decisions are never taken away; a reversal is a new one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import examples, requests, write_answers
from boltspan.services import review

resource = Resource("decisions", __name__, description="Undoing a decision by a new one.")


@resource.operation(
    "/v1/decisions/<decision_id>/reversal",
    method="POST",
    permission="settle_review",
    counted="write",
    body=requests.Reason,
    examples={"reason": examples.REASON},
    answers=[Answer(201, write_answers.DecisionReceipt, "The reversal.", examples.DECIDED, ("Location",))],
    problems=[404],
    once=True,
    match=True,
)
def reverse_decision(call: Call, body: Mapping[str, Any], decision_id: str) -> Response:
    """Reverse a decision, with a reason. If-Match is the ETag of the subject's review case, which opens again."""
    key, if_match = call.once_key(), call.if_match()
    with call.writing() as uow:
        receipt = review.reverse(call.actor, uow, call.clock, decision_id, body["why"], if_match, key)
    return call.receipt(receipt)
