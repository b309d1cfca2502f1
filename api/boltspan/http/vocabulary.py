"""Every code that travels in an answer, with its text."""

from __future__ import annotations

from typing import Final

from flask import Response

from boltspan.domain.labels import REASONS as LABEL_REASONS
from boltspan.domain.labels import WARNINGS as LABEL_WARNINGS
from boltspan.domain.vocabulary import VOCABULARY
from boltspan.http.call import Call
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.schemas import answers, examples
from boltspan.services.cases import REASONS as REVIEW_REASONS

ALL_CODES: Final = {
    **VOCABULARY,
    "label_reasons": LABEL_REASONS,
    "label_warnings": LABEL_WARNINGS,
    "review_reasons": REVIEW_REASONS,
}
SERVICE_LINKS: Final = (
    '</openapi.json>; rel="service-desc"; type="application/json", </docs>; rel="service-doc"; type="text/html", '
    '<https://creativecommons.org/publicdomain/zero/1.0/>; rel="license"'
)
"""RFC 8631 relations: where the description of the API is."""

resource = Resource("vocabulary", __name__, description="Every code with its text.")


@resource.operation(
    "/v1/vocabulary",
    answers=[Answer(200, answers.Vocabulary, "The codes.", examples.VOCABULARY, (*KEPT, "Link")), NOT_MODIFIED],
)
def show_vocabulary(call: Call) -> Response:
    """Show every code that travels in an answer, with its text in plain words; the cautions too."""
    response = call.shown(ALL_CODES)
    response.headers["Link"] = SERVICE_LINKS
    return response
