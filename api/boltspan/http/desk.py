"""What goes to the review desk from anybody, and what a maintainer rules on as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import desk, examples, requests
from boltspan.services import document_reviews, flags, undoing, wanted
from boltspan.services.once import Receipt, once

resource = Resource("desk", __name__, description="Flags, wanted frames, whole documents, undone accounts.")
_MOST = 100


@resource.operation(
    "/v1/flags",
    method="POST",
    counted="report",
    body=desk.NewFlag,
    examples={"flag": desk.FLAG, "shock": desk.SHOCK_FLAG},
    answers=[Answer(201, desk.FlagReceipt, "The flag.", desk.FLAGGED, ("Location",))],
    once=True,
)
def set_flag(call: Call, body: Mapping[str, Any]) -> Response:
    """Say that the answer of a frame or a shock is wrong.

    Nobody needs a token; the Idempotency-Key is then a UUID of yours. What is answered stays until a
    maintainer has looked; while a flag is open, nothing is settled by the rule.
    """
    key = call.once_key()
    with call.writing() as uow:
        receipt = flags.set_flag(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/wanted-frames",
    method="POST",
    counted="report",
    body=desk.WantedFrame,
    examples={"frame": desk.WANTED},
    answers=[Answer(201, desk.WantedReceipt, "What was counted.", {"wanted": desk.WANTED}, ("Location",))],
    once=True,
)
def want_frame(call: Call, body: Mapping[str, Any]) -> Response:
    """Ask for a frame that is not known. It is counted by make, model and year; nothing about who asked is kept."""
    key = call.once_key()
    with call.writing() as uow:

        def work() -> Receipt:
            return Receipt(wanted.want_frame(uow, call.clock, body), "/v1/wanted-frames")

        receipt = once(uow, call.clock, key, work)
    return call.receipt(receipt)


@resource.operation(
    "/v1/wanted-frames",
    permission="see_reviews",
    query=desk.WantedQuestion,
    answers=[Answer(200, desk.WantedList, "What is wanted.", desk.WANTED_LIST, ("ETag",))],
)
def list_wanted_frames(call: Call) -> Response:
    """List what was asked for and not answered, the most asked first; look-ups that found nothing count too."""
    call.parts.unanswered.write()
    with call.reading() as uow:
        return call.shown(wanted.wanted_frames(call.actor, uow, call.query.get("limit", _MOST)), private=True)


@resource.operation(
    "/v1/document-reviews",
    permission="see_reviews",
    query=desk.DocumentQuestion,
    answers=[Answer(200, desk.DocumentReview, "The document.", desk.DOCUMENT, ("ETag",))],
    problems=[404],
)
def show_document_review(call: Call) -> Response:
    """Show what one document says of each subject, such as a whole chart. Its ETag is what a ruling on it needs."""
    with call.reading() as uow:
        found, tag = document_reviews.document_review(call.actor, uow, call.query["document"])
    return call.shown(found, private=True, tag=tag)


@resource.operation(
    "/v1/document-reviews",
    method="POST",
    permission="settle_review",
    counted="write",
    body=desk.NewDocumentDecision,
    examples=desk.DOCUMENT_DECISIONS,
    answers=[Answer(201, desk.DocumentReceipt, "What became of each line.", desk.DOCUMENT_DECIDED, ("Location",))],
    problems=[404],
    once=True,
    match=True,
)
def rule_on_document(call: Call, body: Mapping[str, Any]) -> Response:
    """Settle every line of a document that nothing contradicts, or refuse all of it, in one act.

    What another claim contradicts, what somebody has ruled on already and what is incomplete is left, and told.
    """
    key, if_match = call.once_key(), call.if_match()
    with call.writing() as uow:
        receipt = document_reviews.rule_on_document(call.actor, uow, call.clock, body, if_match, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/accounts/<person_id>/undoing",
    method="POST",
    permission="undo_account",
    counted="write",
    body=requests.Reason,
    examples={"reason": examples.REASON},
    answers=[Answer(201, desk.UndoneAccount, "What it came to.", desk.UNDONE, ("Location",))],
    problems=[404],
    once=True,
)
def undo_account(call: Call, body: Mapping[str, Any], person_id: str) -> Response:
    """Undo everything of one account in one act, by new events: its rulings, edits, claims and flags.

    Nothing is lost. What a maintainer did is undone by an operator.
    """
    key = call.once_key()
    with call.writing() as uow:

        def work() -> Receipt:
            found = undoing.undo_account(call.actor, uow, call.clock, person_id, body["why"])
            return Receipt(found, "/v1/changes")

        receipt = once(uow, call.clock, key, work)
    return call.receipt(receipt)
