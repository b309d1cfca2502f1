"""Why the evidence says what it says of an end, as JSON, text or picture; what it has learnt of a contributor."""

from __future__ import annotations

from typing import Final

from flask import Response

from boltspan.domain.drawings.number_line import number_line
from boltspan.http.call import Call
from boltspan.http.headers import JSON, LOOKUP_CACHE, PRIVATE_CACHE, VARY
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.published import Ready
from boltspan.http.schemas import explanations as shapes
from boltspan.http.schemas import explanations_examples as examples
from boltspan.services.answers import encode, etag
from boltspan.services.explaining import explain
from boltspan.services.explanation_answer import explanation_answer, explanation_text
from boltspan.services.lookup import frame_title
from boltspan.services.publishing import is_demo
from boltspan.services.records_of_people import contributor_record

TEXT: Final = "text/plain; charset=utf-8"
SVG: Final = "image/svg+xml"
_BY_TYPE: Final = {"application/json": "json", "text/plain": "text", SVG: "svg"}
_TYPES: Final = {"json": JSON, "text": TEXT, "svg": SVG}

resource = Resource("evidence", __name__, description="Why the evidence says what it says.")


@resource.operation(
    "/v1/frames/<frame_id>/explanations/<end>",
    query=shapes.ExplanationQuestion,
    answers=[
        Answer(
            200,
            shapes.Explanation,
            "The explanation.",
            examples.EXPLANATION,
            KEPT,
            also=("text/plain", "image/svg+xml"),
        ),
        NOT_MODIFIED,
    ],
    problems=[308, 404, 410],
)
def explain_end(call: Call, frame_id: str, end: str) -> Response:
    """Show why the evidence says what it says of one end of a frame.

    The likeliest value is set against the next: prior, other end and the weights of all claims add up to the logarithm
    of the odds. It says in plain words why, and what would settle it. As JSON, as text (form=text, or Accept:
    text/plain) or as a picture (form=svg, or Accept: image/svg+xml). Maintainers also get a summary of caliper widths.
    """
    with call.reading() as uow:
        stored, said = explain(call.actor, uow, frame_id, end)
        demo, title = is_demo(uow), frame_title(uow, stored.frame)
    form = call.query.get("form") or _wanted(call)
    if form == "json":
        raw = encode(explanation_answer(said, demo=demo))
    elif form == "text":
        raw = explanation_text(said, stored.frame, title, demo=demo).encode()
    else:
        raw = number_line(said).encode()
    private = call.actor.person is not None or not stored.listed
    response = call.raw(Ready(raw, etag(raw)), PRIVATE_CACHE if private else LOOKUP_CACHE, _TYPES[form])
    response.headers["Vary"] = f"Accept, {VARY}"
    return response


def _wanted(call: Call) -> str:
    """Return the form that the Accept header likes best; JSON when it likes none."""
    best = call.request.accept_mimetypes.best_match(list(_BY_TYPE), "application/json")
    return _BY_TYPE[best]


@resource.operation(
    "/v1/contributors/<contributor_id>/record",
    permission="see_reviews",
    answers=[Answer(200, shapes.ContributorRecord, "The record.", examples.RECORD, ("ETag",))],
    problems=[404],
)
def show_contributor_record(call: Call, contributor_id: str) -> Response:
    """Show how reliable a contributor's claims have been, with its uncertainty. For maintainers alone.

    It is learnt from agreement with others at the last full run, and no judgement of a person: few claims say little.
    """
    with call.reading() as uow:
        found = contributor_record(call.actor, uow, contributor_id)
    return call.shown(found, private=True)
