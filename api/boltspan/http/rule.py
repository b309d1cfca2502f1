"""The published rule: its limits, for everybody to read and for operators to set."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.schemas import rule as shapes
from boltspan.services import published_rule

resource = Resource("rule", __name__, description="The published rule, which settles values by itself.")


@resource.operation(
    "/v1/rule",
    answers=[Answer(200, shapes.PublishedRule, "The rule's limits.", shapes.RULE, KEPT), NOT_MODIFIED],
)
def show_rule(call: Call) -> Response:
    """Show the limits of the rule that settles a value without a maintainer.

    It does so only when two contributors who are not new agree by evidence of their own and nothing speaks against it;
    what holds it back stands under rule_held in /v1/vocabulary.
    """
    with call.reading() as uow:
        return call.shown(published_rule.published_rule(uow))


@resource.operation(
    "/v1/rule/limits",
    method="POST",
    permission="set_rule",
    counted="write",
    body=shapes.NewLimit,
    examples={"batch": shapes.NEW_LIMIT},
    answers=[Answer(201, shapes.PublishedRule, "The limits as they stand now.", shapes.RULE, ("Location",))],
    once=True,
    match=True,
)
def set_rule_limit(call: Call, body: Mapping[str, Any]) -> Response:
    """Set one of the rule's limits; If-Match is the ETag of /v1/rule. What the rule may settle now, it settles."""
    key, if_match = call.once_key(), call.if_match()
    with call.writing() as uow:
        receipt = published_rule.change_limit(call.actor, uow, call.clock, dict(body), if_match, key)
    return call.receipt(receipt)
