"""Claims: submitted, looked at, taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import examples, requests, shock_examples, shock_requests, write_answers
from boltspan.services import submit

resource = Resource("claims", __name__, description="What contributors say, and what became of it.")


@resource.operation(
    "/v1/claims",
    method="POST",
    permission="submit_claim",
    counted="write",
    body=shock_requests.NewClaim,
    examples={**examples.NEW_CLAIMS, **shock_examples.NEW_SHOCK_CLAIMS},
    answers=[Answer(201, write_answers.ClaimReceipt, "The claim.", examples.CLAIM, ("Location",))],
    once=True,
)
def submit_claim(call: Call, body: Mapping[str, Any]) -> Response:
    """Say what a source says about one end of a frame or its shock's size, or about a shock.

    The answer tells how readings were read, and the usual mistake they look like, if any. A review opens. The same
    statement by the same person counts once (409).
    """
    key = call.once_key()
    with call.writing() as uow:
        receipt = submit.submit_claim(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/claims/<claim_id>",
    permission="see_own",
    answers=[Answer(200, write_answers.ClaimReceipt, "The claim.", examples.CLAIM, ("ETag",))],
    problems=[404],
)
def show_claim(call: Call, claim_id: str) -> Response:
    """Show an own claim with its state and review; any claim to a maintainer."""
    with call.reading() as uow:
        return call.shown(submit.claim(call.actor, uow, claim_id), private=True)


@resource.operation(
    "/v1/claims/<claim_id>/withdrawal",
    method="POST",
    permission="withdraw_claim",
    counted="write",
    body=requests.Reason,
    examples={"reason": examples.REASON},
    answers=[Answer(200, write_answers.ClaimReceipt, "The claim as it stands now.", examples.CLAIM, ("Location",))],
    problems=[404],
    once=True,
)
def withdraw_claim(call: Call, body: Mapping[str, Any], claim_id: str) -> Response:
    """Take an own claim back, with a reason. It stays in the history and is evidence no more."""
    key = call.once_key()
    with call.writing() as uow:
        receipt = submit.withdraw_claim(call.actor, uow, call.clock, claim_id, body["why"], key)
    return call.receipt(receipt)
