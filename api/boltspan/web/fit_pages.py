"""The fit sheet as a page and on paper, the measuring sheet, and the table of symptoms."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any, Final

from flask import Response, make_response, render_template, request

from boltspan.domain.drawings.caliper_places import ADVICE as CALIPER_ADVICE
from boltspan.domain.drawings.caliper_places import MISTAKE, PLACES, caliper_place
from boltspan.domain.drawings.caliper_places import TITLES as CALIPER_TITLES
from boltspan.domain.drawings.check_bar import check_bar
from boltspan.domain.errors import FieldProblem, Gone, InvalidInput
from boltspan.domain.fitsheet.question import Variant
from boltspan.domain.fitsheet.work_order import only_end, steps, without_answer
from boltspan.domain.ids import is_id
from boltspan.domain.symptoms import PLACES as SYMPTOM_PLACES
from boltspan.domain.symptoms import SYMPTOMS
from boltspan.services import fitsheets, shocks
from boltspan.services.fit_frames import of_variant
from boltspan.services.protocols import ShockQuery, UnitOfWork
from boltspan.services.publishing import is_demo
from boltspan.services.query_text import year_in
from boltspan.web.built_ends import drawn_end
from boltspan.web.finding import MOST_SHOWN, Found, search
from boltspan.web.fit_form import BARE_ENDS, FitForm
from boltspan.web.given import Given
from boltspan.web.inlined import inlined

PAGE_CACHE: Final = "public, max-age=60"


@dataclass
class Shown:
    """What the fit sheet's page shows: the answer, or frames or shocks to choose from, or what was wrong.

    ``which`` is the field that the shocks to choose from answer.
    """

    answer: Mapping[str, Any] | None = None
    found: Found | None = None
    frame: str | None = None
    ends: tuple[str, str] | None = None
    shocks: Sequence[Mapping[str, Any]] | None = None
    which: str = "shock"
    problems: tuple[FieldProblem, ...] = ()


def fit_pages(given: Given) -> dict[str, Callable[[], Response]]:
    """Return the views by address. A request that searches or works something out counts as a look-up."""

    def fit() -> Response:
        form = FitForm(request.args)
        with given.storage.reading() as uow:
            demo = is_demo(uow)
            shown = Shown()
            if form.sent:
                given.count()
                shown = _worked_out(uow, given, form)
        page = _page(
            "fit.html", form=form, shown=shown, demo=demo, drawn_on=given.clock.today(), drawn_end=drawn_end,
            steps=steps, without_answer=without_answer, only_end=only_end, check_bar=inlined(check_bar()),
        )  # fmt: skip
        if shown.problems:
            page.status_code = 422
            page.headers["Cache-Control"] = "no-store"
        return page

    def measuring() -> Response:
        number = count(1)
        places = [
            (None if name == MISTAKE else next(number), CALIPER_TITLES[name], CALIPER_ADVICE[name],
             inlined(caliper_place(name)))
            for name in PLACES
        ]  # fmt: skip
        return _page("measuring.html", places=places, check_bar=inlined(check_bar()))

    def symptoms() -> Response:
        by_place = [(name, [s for s in SYMPTOMS if s.at == place]) for place, name in SYMPTOM_PLACES.items()]
        return _page("symptoms.html", by_place=by_place)

    return {"/fit": fit, "/measuring-sheet": measuring, "/symptoms": symptoms}


def _worked_out(uow: UnitOfWork, given: Given, form: FitForm) -> Shown:
    """Return the sheet that the form asks for, or what stands in its way."""
    shown = Shown()
    try:
        year = None
        if form.bare:
            shown.ends = BARE_ENDS
        elif form["frame"] or form["q"]:
            text = form["frame"] or form["q"]
            shown.found = _of_variant(uow, search(uow, given.names, text), form.variant())
            if len(shown.found.frames) != 1:
                return shown
            [frame] = shown.found.frames
            shown.frame = str(frame["id"])
            first, second = frame["ends"]
            shown.ends = (first, second)
            year = None if form["frame"] else year_in(text)[1]
        else:
            return shown
        ids = {}
        for shown.which in ("shock", "old_shock"):
            if form[shown.which]:
                shown.shocks = _shocks_like(uow, form[shown.which])
                if len(shown.shocks) != 1:
                    return shown
                ids[shown.which] = str(shown.shocks[0]["id"])
        question = form.question(shown.frame, shown.ends, year, **ids)
        shown.answer = fitsheets.fit_sheets(uow, given.names.index(uow), question, given.made.at(uow))
    except InvalidInput as refused:
        shown.problems = refused.problems
    except Gone as gone:
        shown.found = Found(gone=gone.why, instead=gone.ask_instead)
    return shown


def _of_variant(uow: UnitOfWork, found: Found, variant: Variant | None) -> Found:
    """Return what was found without the frames that the customer's variant rules out."""
    if variant is None or not found.frames:
        return found
    left = of_variant(uow.catalogue.frames([str(frame["id"]) for frame in found.frames]), variant)
    ids = {stored.frame.id for stored in left}
    return replace(found, frames=[frame for frame in found.frames if frame["id"] in ids])


def _shocks_like(uow: UnitOfWork, text: str) -> Sequence[Mapping[str, Any]]:
    """Return the shocks that a name or an id can mean; an id of no shock is for the service to refuse."""
    if is_id("shock", text):
        return ({"id": text},)
    return shocks.shocks(uow, ShockQuery(limit=MOST_SHOWN), shocks.shock_index(uow), text).shocks


def _page(template: str, **shown: Any) -> Response:
    response = make_response(render_template(template, **shown))
    response.headers["Cache-Control"] = PAGE_CACHE
    return response
