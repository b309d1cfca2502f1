"""Many questions at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import answers, examples, requests
from boltspan.services import lookup
from boltspan.services.wanted import unanswered

resource = Resource("lookups", __name__, description="Many questions at once.")


@resource.operation(
    "/v1/lookups",
    method="POST",
    body=requests.Lookups,
    examples={"questions": examples.LOOKUPS},
    answers=[Answer(200, answers.LookupAnswers, "One answer each.", examples.LOOKUP_ANSWERS)],
)
def look_up(call: Call, body: Mapping[str, Any]) -> Response:
    """Answer up to 200 questions at once.

    Each question is answered on its own, in order, with the caller's ref echoed: a frame by its id, a make and model
    with a year, a name as people write it, or a size. What is not found is answered as unknown, and counted
    by make, model and year, so that it can be found out; nothing about who asked is kept.
    """
    with call.reading() as uow:
        found = lookup.lookups(uow, call.parts.names.index(uow), body["questions"])
    for counted in unanswered(body["questions"], found["answers"]):
        call.parts.unanswered.note(counted)
    return call.worked_out(found)
