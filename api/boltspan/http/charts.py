"""Charts: what a shop keeps, taken in by a maintainer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import charts
from boltspan.services.sent_charts import bring_chart as bring

resource = Resource("charts", __name__, description="Shops' charts, taken in as they are.")


@resource.operation(
    "/v1/charts",
    method="POST",
    permission="import_chart",
    counted="write",
    body=charts.NewChart,
    examples=charts.CHARTS,
    answers=[
        Answer(201, charts.ChartReceipt, "What became of each row; all that is good was written.", charts.RECEIPT,
               ("Location",)),
        Answer(200, charts.ChartReceipt, "A preview: how each row is read. Nothing was written.",
               charts.RECEIPT | {"written": False}, ("Location",)),
    ],
    once=True,
)  # fmt: skip
def bring_chart(call: Call, body: Mapping[str, Any]) -> Response:
    """Take in a shop's chart: a claim for everything it clearly says of a known frame, all of it at once.

    What cannot be read or placed for sure is not taken and told with the reason: a refused label, an end of another
    pair, an unknown make with the nearest names, a row that the chart itself contradicts. With propose, the frames of
    makes and models that are not known are proposed, for another maintainer to accept. The same chart again adds
    nothing. Larger charts are taken in at the command line.
    """
    key = call.once_key()
    with call.writing() as uow:
        receipt = bring(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt)
