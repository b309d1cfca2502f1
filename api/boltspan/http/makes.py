"""Makes, their models, and the storefront's question: this make and model of that year."""

from __future__ import annotations

from typing import Final

from flask import Response

from boltspan.domain.errors import NotFound
from boltspan.domain.names import is_slug
from boltspan.http.call import Call
from boltspan.http.headers import LOOKUP_CACHE
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.path_parameters import year_from
from boltspan.http.published import NO_FRAME
from boltspan.http.schemas import answers, examples
from boltspan.services import lookup
from boltspan.services.publishing import year_path
from boltspan.services.wanted import of_model

READY_ROUTE: Final = "/v1/makes/{make}/{model}/{year}"

resource = Resource("makes", __name__, description="Makes, models and what a model of a year takes.")


@resource.operation(
    "/v1/makes", answers=[Answer(200, answers.MakeList, "All makes.", examples.MAKES, KEPT), NOT_MODIFIED]
)
def list_makes(call: Call) -> Response:
    """List the makes.

    Every make that has a listed frame or is known by name, ordered by slug.
    """
    with call.reading() as uow:
        return call.shown(lookup.makes(uow))


@resource.operation(
    "/v1/makes/<make>",
    answers=[Answer(200, answers.MakeAnswer, "The make.", examples.MAKE, KEPT), NOT_MODIFIED],
    problems=[404],
)
def show_make(call: Call, make: str) -> Response:
    """Show a make with its models and their years. For an unknown one the problem names the nearest."""
    with call.reading() as uow:
        try:
            return call.shown(lookup.make(uow, make))
        except NotFound as unknown:
            raise lookup.with_nearest(unknown, call.parts.names.index(uow), make) from None


@resource.operation(
    "/v1/makes/<make>/<model>/<year>",
    counted="ready",
    answers=[Answer(200, answers.YearAnswer, "The answer.", examples.YEAR, KEPT), NOT_MODIFIED],
    problems=[404],
)
def show_year(call: Call, make: str, model: str, year: str) -> Response:
    """Answer what a make and model of a year takes.

    All candidate frames, and the question for the customer that tells them apart. A year without a frame is an answer
    too: outcome unknown, never a guess from a neighbouring year. Beyond the last year of its evidence a settled value
    is at most provisional. For an unknown make or model the problem names the nearest. What no frame is known for is
    counted by make, model and year; nothing about who asked is kept. Answers that are published are exempt from the
    quota.
    """
    wanted = year_from(year)
    asked = {"make": make, "model": model, "year": wanted}
    if (ready := call.parts.published.answer(year_path(make, model, wanted))) is not None:
        if NO_FRAME in ready.body:
            call.parts.unanswered.note(of_model(asked))
        return call.raw(ready, LOOKUP_CACHE)
    call.count_lookup()
    with call.reading() as uow:
        try:
            found = lookup.year(uow, make, model, wanted)
            if not found["frames"]:
                call.parts.unanswered.note(of_model(asked))
            return call.shown(found)
        except NotFound as unknown:
            if is_slug(make) and is_slug(model):
                call.parts.unanswered.note(of_model(asked))
            raise lookup.with_nearest(unknown, call.parts.names.index(uow), make, model) from None
