"""Hardware sizes: which widths are produced for which bolt and eyelet bore."""

from __future__ import annotations

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.schemas import shock_answers, shock_examples, shock_requests
from boltspan.services.shocks import hardware_answer

resource = Resource("hardware", __name__, description="Which hardware is produced, and who says so.")


@resource.operation(
    "/v1/hardware-sizes",
    query=shock_requests.HardwareQuestion,
    answers=[
        Answer(200, shock_answers.HardwareAnswer, "What is produced.", shock_examples.HARDWARE, KEPT),
        NOT_MODIFIED,
    ],
)
def list_hardware_sizes(call: Call) -> Response:
    """List what sources say is produced: widths for a bolt and an eyelet bore.

    A row without an eyelet bore meets every bore, since its source does not say. Nothing found means not known.
    """
    query = call.query
    with call.reading() as uow:
        return call.shown(
            hardware_answer(uow, query.get("bolt_mm"), query.get("width_mm"), query.get("eyelet_bore_mm"))
        )
