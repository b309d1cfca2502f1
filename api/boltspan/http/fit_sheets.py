"""The fit sheet: the whole answer for one frame and one shock."""

from __future__ import annotations

from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import fit_sheet_answers, fit_sheet_examples, fit_sheets
from boltspan.services import fitsheets

resource = Resource("fit sheets", __name__, description="What to do at both ends, for one frame and one shock.")


@resource.operation(
    "/v1/fit-sheets",
    method="POST",
    body=fit_sheets.FitQuestion,
    examples=fit_sheet_examples.QUESTIONS,
    answers=[Answer(200, fit_sheet_answers.FitSheetAnswer, "The sheets.", fit_sheet_examples.ANSWER)],
    problems=[410],
)
def make_fit_sheets(call: Call, question: Any) -> Response:
    """Work out the fit sheet of a frame and a shock.

    For each end: buy, move, keep, nothing, ask the frame's maker, incompatible, not known, or disputed; the size, the
    parts of the kit, what of the sizes at hand serves and what must never go in, the shop's own press tools, and the
    order of work. A shock whose ends differ is answered both ways up unless shock_up says which. Several frames of a
    name are each answered, with the question that tells them apart. Own readings stand beside the chart; where they
    disagree the sheet says which to trust. Nothing is stored.
    """
    with call.reading() as uow:
        names, made = call.parts.names.index(uow), call.parts.made.at(uow)
        return call.worked_out(fitsheets.fit_sheets(uow, names, question, made))
