"""Shocks: found by name and year; one shock's answer, what it rests on, its history, edits of its record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.conditional import shock_match
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.paging import next_link, question_of
from boltspan.http.schemas import shock_answers, shock_requests
from boltspan.http.schemas import shock_examples as examples
from boltspan.services import shocks
from boltspan.services.edit_shock import edit_shock
from boltspan.services.propose_shock import propose_shock
from boltspan.services.protocols import ShockQuery

resource = Resource("shocks", __name__, description="Shocks, what their ends are, and what that rests on.")


@resource.operation(
    "/v1/shocks",
    query=shock_requests.ShockSearch,
    answers=[Answer(200, shock_answers.ShockList, "The shocks found.", examples.SHOCKS, (*KEPT, "Link")), NOT_MODIFIED],
    problems=[400],
)
def list_shocks(call: Call) -> Response:
    """Find shocks by name, make, model or year.

    Ordered by make, model and first year; with q the likest models come first, on one page. The Link header leads to
    the next page.
    """
    query = call.query
    asked = {k: v for k, v in query.items() if k not in ("q", "cursor")}
    path = call.request.path
    after = call.parts.cursors.read(question_of(path, query), query["cursor"]) if "cursor" in query else None
    with call.reading() as uow:
        index = call.parts.shock_names.index(uow)
        page = shocks.shocks(uow, ShockQuery(**asked, after=after), index, query.get("q"))
    response = call.shown({"shocks": page.shocks})
    if page.after is not None:
        cursor = call.parts.cursors.make(question_of(path, query), page.after)
        response.headers["Link"] = next_link(path, query, cursor)
    return response


@resource.operation(
    "/v1/shocks",
    method="POST",
    permission="propose_shock",
    counted="write",
    body=shock_requests.NewShock,
    examples={"shock": examples.NEW_SHOCK},
    answers=[Answer(201, shock_answers.ShockProposalReceipt, "The proposal.", examples.SHOCK_PROPOSAL, ("Location",))],
    once=True,
)
def propose_new_shock(call: Call, body: Mapping[str, Any]) -> Response:
    """Propose a shock that is not there yet.

    It is not listed until a maintainer accepts it; claims may name it at once. A known make or model is recognised by
    its slug. Years that overlap those of another shock of the model need a qualifier on both.
    """
    key = call.once_key()
    with call.writing() as uow:
        receipt = propose_shock(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/shocks/<shock_id>",
    answers=[Answer(200, shock_answers.ShockAnswer, "The answer.", examples.SHOCK, KEPT), NOT_MODIFIED],
    problems=[308, 404, 410],
)
def show_shock(call: Call, shock_id: str) -> Response:
    """Answer for one shock: the sizes it is made in, what both ends are, for which frames it has hardware in its box.

    A merged record leads to the one that answers (308); a withdrawn or divided one is gone (410) and says which ids to
    ask instead. A proposal is there for its author and for maintainers.
    """
    with call.reading() as uow:
        found = shocks.shock(uow, call.actor, shock_id)
    return call.shown(found, private="listed" in found)


@resource.operation(
    "/v1/shocks/<shock_id>/claims",
    answers=[Answer(200, shock_answers.ShockClaims, "The claims.", examples.SHOCK_CLAIMS, KEPT), NOT_MODIFIED],
    problems=[404],
)
def list_shock_claims(call: Call, shock_id: str) -> Response:
    """Show what a shock's answer rests on: every claim with its source and state, every decision, by subject."""
    with call.reading() as uow:
        found = shocks.claims(uow, call.actor, shock_id)
    return call.shown(found, private=call.actor.person is not None)


@resource.operation(
    "/v1/shocks/<shock_id>/history",
    answers=[Answer(200, shock_answers.ShockHistory, "The events.", examples.SHOCK_HISTORY, KEPT), NOT_MODIFIED],
    problems=[404],
)
def show_shock_history(call: Call, shock_id: str) -> Response:
    """Show every change of a shock, oldest first."""
    with call.reading() as uow:
        found = shocks.history(uow, call.actor, shock_id)
    return call.shown(found, private=call.actor.person is not None)


@resource.operation(
    "/v1/shocks/<shock_id>/edits",
    method="POST",
    permission="edit_frame",
    counted="write",
    body=shock_requests.NewShockEdit,
    examples=examples.SHOCK_EDITS,
    answers=[
        Answer(
            201,
            shock_answers.ShockEditReceipt,
            "The shocks that the edit touched.",
            examples.SHOCK_EDITED,
            ("Location",),
        )
    ],
    problems=[404],
    once=True,
    match=True,
)
def change_shock(call: Call, body: Mapping[str, Any], shock_id: str) -> Response:
    """Edit a shock's record.

    If-Match is the ETag of the shock's answer (GET /v1/shocks/{shock_id}), or of its history for a record that answers
    no more and is to be restored. The parts of a divided record start without claims, since none says which part it
    speaks of.
    """
    key, given = call.once_key(), call.if_match()
    with call.writing() as uow:
        if_match = shock_match(uow, call.actor, shock_id, given)
        receipt = edit_shock(call.actor, uow, call.clock, shock_id, body, if_match, key)
    return call.receipt(receipt)
