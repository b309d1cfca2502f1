"""The feed of changes: complete, in order, with withdrawals."""

from __future__ import annotations

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.schemas import answers, examples, requests
from boltspan.services import lookup

resource = Resource("changes", __name__, description="What changed since.")


@resource.operation(
    "/v1/changes",
    query=requests.ChangesQuestion,
    answers=[Answer(200, answers.Changes, "The changes.", examples.CHANGES, KEPT), NOT_MODIFIED],
)
def list_changes(call: Call) -> Response:
    """List the changes after an event, in order.

    Numbers have no gaps. Ask again with next_since until it equals last; nothing is missed or told twice.
    """
    query = call.query
    with call.reading() as uow:
        return call.shown(lookup.changes(uow, query.get("since", 0), query.get("limit", 200)))
