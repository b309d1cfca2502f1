"""Whether the service lives and is ready, its counters, and its description."""

from __future__ import annotations

import json
from typing import Any, cast

from flask import Response, current_app

from boltspan.domain.errors import Unavailable
from boltspan.http.call import Call
from boltspan.http.headers import LOOKUP_CACHE
from boltspan.http.metrics import CONTENT_TYPE
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.published import Ready
from boltspan.http.schemas import answers
from boltspan.services.answers import etag

resource = Resource("operation", __name__, description="For those who run the service.")


@resource.operation(
    "/livez",
    counted=None,
    answers=[Answer(200, {"type": "string"}, "The process lives.", "live\n", content_type="text/plain")],
)
def show_life(call: Call) -> Response:
    """Say that the process lives. Nothing is touched."""
    del call
    return Response("live\n", content_type="text/plain; charset=utf-8")


@resource.operation(
    "/readyz",
    counted=None,
    answers=[Answer(200, answers.Readiness, "The service is ready.", {"status": "ready"})],
)
def show_readiness(call: Call) -> Response:
    """Say whether database, migrations and disk are in order; 503 says what is not."""
    if problems := call.parts.storage.ready():
        raise Unavailable("; ".join(problems))
    return call.worked_out({"status": "ready"})


@resource.operation(
    "/metrics",
    permission="see_metrics",
    counted=None,
    answers=[Answer(200, {"type": "string"}, "The counters.", None, content_type="text/plain")],
)
def show_metrics(call: Call) -> Response:
    """Show the counters of the worker that answers, by route template, never by id."""
    return Response(call.parts.metrics.text(), content_type=CONTENT_TYPE)


@resource.operation(
    "/openapi.json",
    answers=[Answer(200, {"type": "object"}, "The document.", None, KEPT), NOT_MODIFIED],
)
def show_description(call: Call) -> Response:
    """Show this description of the API: OpenAPI 3.1."""
    document = cast("Any", current_app).document
    body = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
    return call.raw(Ready(body, etag(body)), LOOKUP_CACHE)
