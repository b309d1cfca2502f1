"""The pages. ``pages`` makes them for one application; they read through the services like everybody else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final
from urllib.parse import urlencode

from flask import Blueprint, Response, make_response, redirect, render_template, request, send_from_directory
from markupsafe import Markup
from werkzeug.exceptions import RequestEntityTooLarge

from boltspan.domain import vocabulary
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.drawings.caliper_places import ADVICE, TITLES, caliper_place
from boltspan.domain.errors import BoltspanError, NotAuthenticated, NotFound, TooMany
from boltspan.services.publishing import is_demo
from boltspan.web import bench_words, words
from boltspan.web.account_pages import AccountPages
from boltspan.web.claim_pages import ClaimPages
from boltspan.web.desk_documents import DocumentPages
from boltspan.web.desk_pages import DeskPages
from boltspan.web.desk_people import PeoplePages
from boltspan.web.desk_records import RecordPages
from boltspan.web.finding import search
from boltspan.web.fit_pages import fit_pages
from boltspan.web.flag_pages import FlagPages
from boltspan.web.given import Given
from boltspan.web.reference import schemas, sections
from boltspan.web.routes import Route, register
from boltspan.web.submit_pages import SubmitPages
from boltspan.web.visitors import Visitors

MOST_TEXT: Final = 200
PAGE_CACHE: Final = "public, max-age=60"
STATIC_CACHE: Final = "public, max-age=3600"


def pages(given: Given) -> Blueprint:
    """Return the pages over what is ``given`` of the application."""
    storage, names, document, problems = given.storage, given.names, given.document, given.problems
    by_code = {p["code"]: p for p in problems}
    visitors = Visitors(given)
    blueprint = Blueprint("pages", __name__, template_folder="templates")

    def home() -> Response:
        text = request.args.get("q", "").strip()[:MOST_TEXT]
        found = None
        with storage.reading() as uow:
            demo = is_demo(uow)
            if text:
                given.count()
                found = search(uow, names, text)
        for counted in found.counted if found is not None else ():
            given.note_unanswered(counted)
        return _page("lookup.html", text=text, found=found, demo=demo)

    def reference() -> Response:
        return _page("reference.html", document=document(), sections=sections(document()), schemas=schemas(document()))

    def problem_list() -> Response:
        return _page("problems.html", problems=problems)

    def problem(code: str) -> Response:
        if code not in by_code:
            raise NotFound("kind of problem", code)
        return _page("problem.html", problem=by_code[code])

    def static(name: str) -> Response:
        response = send_from_directory(f"{blueprint.root_path}/static", name, max_age=3600)
        response.headers["Cache-Control"] = STATIC_CACHE
        return response

    def failed(error: BoltspanError) -> Response:
        if isinstance(error, NotAuthenticated) and request.method == "GET":
            return redirect(f"/sign-in?{urlencode({'next': request.path})}", 303)  # type: ignore[return-value]
        given.drain()
        kind = by_code.get(error.code, by_code["internal_error"])
        response = _failed_page(kind, str(error))
        if kind["status"] == 401:
            response.headers["WWW-Authenticate"] = 'Bearer realm="boltspan"'
        if kind["status"] in (429, 503):
            response.headers["Retry-After"] = str(error.retry_after_s if isinstance(error, TooMany) else 2)
        return response

    def too_large(error: RequestEntityTooLarge) -> Response:
        del error
        return _failed_page(by_code["too_large"], "what was sent is too large")

    register(blueprint, (
        Route("/", home),
        Route("/docs", reference),
        Route("/problems", problem_list),
        Route("/problems/<code>", problem),
        Route("/static/<path:name>", static),
        *(Route(rule, view) for rule, view in fit_pages(given).items()),
        *AccountPages(given, visitors).routes(),
        *SubmitPages(given, visitors, search).routes(),
        *FlagPages(given, visitors).routes(),
        *ClaimPages(given, visitors).routes(),
        *DeskPages(given, visitors).routes(),
        *DocumentPages(given, visitors).routes(),
        *RecordPages(given, visitors).routes(),
        *PeoplePages(given, visitors).routes(),
    ))  # fmt: skip
    blueprint.register_error_handler(BoltspanError, failed)
    blueprint.register_error_handler(RequestEntityTooLarge, too_large)
    blueprint.context_processor(lambda: {
        "words": words, "bench": bench_words, "codes": vocabulary, "cautions": CAUTIONS,
        "caliper_place": _drawn, "place_titles": TITLES,
        "place_advice": ADVICE,
    })  # fmt: skip
    return blueprint


def _drawn(place: str) -> Markup:
    return Markup(caliper_place(place))  # noqa: S704 - made by the domain from constants


def _failed_page(kind: Mapping[str, Any], detail: str) -> Response:
    response = _page("failed.html", problem=kind, detail=detail)
    response.status_code = kind["status"]
    response.headers["Cache-Control"] = "no-store"
    return response


def _page(template: str, **shown: Any) -> Response:
    response = make_response(render_template(template, **shown))
    response.headers["Cache-Control"] = PAGE_CACHE
    return response
