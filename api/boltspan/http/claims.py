"""Claims: submitted, looked at, taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.paging import next_link, question_of
from boltspan.http.schemas import (
    decision_requests,
    examples,
    requests,
    shock_examples,
    shock_requests,
    write_answers,
)
from boltspan.services import asking, claim_receipts, submit

resource = Resource("claims", __name__, description="What contributors say, and what became of it.")
_PAGE = 50


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
    statement by the same person counts once (409). A newer claim from the same source (one's own caliper, or the same
    document) takes the place of the older one, which then says so.
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
        return call.shown(claim_receipts.claim(call.actor, uow, call.clock, claim_id), private=True)


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


@resource.operation(
    "/v1/account/claims",
    permission="see_own",
    query=requests.OwnClaimsQuestion,
    answers=[Answer(200, write_answers.OwnClaims, "Own claims.", {"claims": [examples.CLAIM]}, ("ETag", "Link"))],
    problems=[400],
)
def list_own_claims(call: Call) -> Response:
    """List one's own claims, newest first: the state of each, why it was refused, how long it has waited."""
    query, path = call.query, call.request.path
    after: Any = call.parts.cursors.read(question_of(path, query), query["cursor"]) if "cursor" in query else None
    with call.reading() as uow:
        found, last = claim_receipts.own_claims(call.actor, uow, call.clock, after, query.get("limit", _PAGE))
    response = call.shown({"claims": found}, private=True)
    if last is not None:
        response.headers["Link"] = next_link(path, query, call.parts.cursors.make(question_of(path, query), last))
    return response


@resource.operation(
    "/v1/claims/<claim_id>/questions",
    method="POST",
    permission="ask_for_more",
    counted="write",
    body=decision_requests.NewQuestion,
    examples={"question": examples.QUESTION},
    answers=[Answer(201, write_answers.ClaimReceipt, "The claim.", examples.CLAIM, ("Location",))],
    problems=[404],
    once=True,
)
def ask_for_more(call: Call, body: Mapping[str, Any], claim_id: str) -> Response:
    """Ask a claim's contributor something. Only they and the maintainers see it."""
    key = call.once_key()
    with call.writing() as uow:
        receipt = asking.ask_for_more(call.actor, uow, call.clock, claim_id, body["question"], key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/claims/<claim_id>/answers",
    method="POST",
    permission="answer_question",
    counted="write",
    body=decision_requests.NewAnswer,
    examples={"words": examples.ANSWER},
    answers=[Answer(201, write_answers.ClaimReceipt, "The claim.", examples.CLAIM, ("Location",))],
    problems=[404],
    once=True,
)
def answer_question(call: Call, body: Mapping[str, Any], claim_id: str) -> Response:
    """Answer what was asked about an own claim: in words, by naming a newer own claim, or both."""
    key = call.once_key()
    with call.writing() as uow:
        receipt = asking.answer_question(call.actor, uow, call.clock, claim_id, body, key)
    return call.receipt(receipt)
