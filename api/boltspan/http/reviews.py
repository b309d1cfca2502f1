"""Review cases: the queue, one case, opening one, deciding."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.paging import next_link, question_of
from boltspan.http.schemas import decision_requests, examples, requests, shock_requests, write_answers
from boltspan.services import case_view, review

resource = Resource("reviews", __name__, description="What waits for a ruling, and the rulings.")
_PAGE = 50


def _document_path(name: str) -> str:
    return f"/v1/document-reviews?{urlencode({'document': name})}"


@resource.operation(
    "/v1/reviews",
    permission="see_reviews",
    query=requests.ReviewsQuestion,
    answers=[Answer(200, write_answers.ReviewList, "The cases.", examples.REVIEWS, ("ETag", "Link"))],
    problems=[400],
)
def list_reviews(call: Call) -> Response:
    """List review cases, the one with most at stake first. The Link header leads to the next page.

    What is at stake is told as points that add up; a day of waiting counts as one more. A document that many waiting
    claims name stands under documents, once, and the cases that wait for nothing else are not listed beside it: it is
    ruled on as one at /v1/document-reviews, whose lines lead to the cases.
    """
    query, path = call.query, call.request.path
    after: Any = call.parts.cursors.read(question_of(path, query), query["cursor"]) if "cursor" in query else None
    with call.reading() as uow:
        page = case_view.reviews(call.actor, uow, query.get("state"), after, query.get("limit", _PAGE))
    documents = [
        {"document": name, "claims": waiting, "path": _document_path(name)} for name, waiting in page.documents
    ]
    response = call.shown({"reviews": page.reviews, "documents": documents}, private=True)
    if page.after is not None:
        cursor = call.parts.cursors.make(question_of(path, query), page.after)
        response.headers["Link"] = next_link(path, query, cursor)
    return response


@resource.operation(
    "/v1/reviews",
    method="POST",
    permission="open_review",
    counted="write",
    body=shock_requests.NewReview,
    examples={"review": examples.NEW_REVIEW},
    answers=[Answer(201, write_answers.Review, "The case.", examples.REVIEW, ("Location",))],
    once=True,
)
def open_review(call: Call, body: Mapping[str, Any]) -> Response:
    """Open the case of a subject, to look at it, to withhold it or to reverse a ruling. An open one stays open."""
    key = call.once_key()
    with call.writing() as uow:
        receipt = review.open_review(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/reviews/<review_id>",
    permission="see_reviews",
    answers=[Answer(200, write_answers.Review, "The case.", examples.REVIEW, ("ETag",))],
    problems=[404],
)
def show_review(call: Call, review_id: str) -> Response:
    """Show all about one case: what is published now, every claim and decision. Its ETag is what a decision needs."""
    with call.reading() as uow:
        found, tag = case_view.review(call.actor, uow, call.clock, review_id)
    return call.shown(found, private=True, tag=tag)


@resource.operation(
    "/v1/reviews/<review_id>/decisions",
    method="POST",
    permission="settle_review",
    counted="write",
    body=decision_requests.NewDecision,
    examples=examples.DECISIONS,
    answers=[Answer(201, write_answers.DecisionReceipt, "The decision.", examples.DECIDED, ("Location",))],
    problems=[404],
    once=True,
    match=True,
)
def decide(call: Call, body: Mapping[str, Any], review_id: str) -> Response:
    """Decide a case. The published answer changes with it.

    Nobody decides on an own claim (403). Claims that speak against a settled value are written down as overruled.
    """
    key, if_match = call.once_key(), call.if_match()
    with call.writing() as uow:
        receipt = review.decide(call.actor, uow, call.clock, review_id, body, if_match, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/reviews/<review_id>/preview",
    method="POST",
    permission="settle_review",
    body=decision_requests.NewDecision,
    examples=examples.DECISIONS,
    answers=[Answer(200, write_answers.Preview, "What it would do.", examples.PREVIEW)],
    problems=[404, 409],
)
def preview_decision(call: Call, body: Mapping[str, Any], review_id: str) -> Response:
    """Show what a decision would do to the answer and to the claims. Nothing is changed."""
    with call.reading() as uow:
        return call.worked_out(review.preview(call.actor, uow, call.clock, review_id, body))
