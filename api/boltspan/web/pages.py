"""The pages. ``pages`` makes them for one application; they read through the services like everybody else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import urlencode

from flask import Blueprint, Response, make_response, redirect, render_template, request, send_from_directory
from markupsafe import Markup
from werkzeug.exceptions import RequestEntityTooLarge

from boltspan.domain import vocabulary
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.drawings.caliper_places import ADVICE, TITLES, caliper_place
from boltspan.domain.errors import BoltspanError, Gone, Moved, NotAuthenticated, NotFound, TooMany
from boltspan.domain.ids import is_id
from boltspan.services import lookup
from boltspan.services.name_cache import NameCache
from boltspan.services.names import year_in
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import UnitOfWork
from boltspan.services.publishing import is_demo
from boltspan.web import words
from boltspan.web.account_pages import AccountPages
from boltspan.web.claim_pages import ClaimPages
from boltspan.web.desk_documents import DocumentPages
from boltspan.web.desk_pages import DeskPages
from boltspan.web.desk_records import RecordPages
from boltspan.web.given import Given
from boltspan.web.reference import schemas, sections
from boltspan.web.routes import Route, register
from boltspan.web.submit_pages import SubmitPages
from boltspan.web.visitors import Visitors

MOST_SHOWN: Final = 12
MOST_TEXT: Final = 200
MOST_NEAR: Final = 5
PAGE_CACHE: Final = "public, max-age=60"
STATIC_CACHE: Final = "public, max-age=3600"


@dataclass
class Found:
    """What a search came to: frames with their claims, the question between them, or where to look instead."""

    frames: list[dict[str, Any]] = field(default_factory=list)
    claims: dict[str, Any] = field(default_factory=dict)
    ask: str | None = None
    more: bool = False
    gone: str | None = None
    instead: Sequence[str] = ()
    near: list[str] = field(default_factory=list)
    year: int | None = None


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
        *AccountPages(given, visitors).routes(),
        *SubmitPages(given, visitors, search).routes(),
        *ClaimPages(given, visitors).routes(),
        *DeskPages(given, visitors).routes(),
        *DocumentPages(given, visitors).routes(),
        *RecordPages(given, visitors).routes(),
    ))  # fmt: skip
    blueprint.register_error_handler(BoltspanError, failed)
    blueprint.register_error_handler(RequestEntityTooLarge, too_large)
    blueprint.context_processor(lambda: {
        "words": words, "codes": vocabulary, "cautions": CAUTIONS, "caliper_place": _drawn, "place_titles": TITLES,
        "place_advice": ADVICE,
    })  # fmt: skip
    return blueprint


def search(uow: UnitOfWork, names: NameCache, text: str) -> Found:
    """Return what ``text`` finds: a frame's id, or a make, model and year as people write them."""
    if is_id("frame", text):
        return _by_id(uow, text)
    index = names.index(uow)
    name, year = year_in(text)
    [answer] = lookup.lookups(uow, index, [{"q": text}])["answers"]
    if not answer["frames"]:
        return Found(near=[_name(uow, hit.make, hit.model) for hit in index.find(name, MOST_NEAR)], year=year)
    more, frames = len(answer["frames"]) > MOST_SHOWN, answer["frames"][:MOST_SHOWN]
    claims = {f["id"]: lookup.claims(uow, ANYBODY, f["id"])["subjects"] for f in frames}
    return Found(frames, claims, answer.get("ask"), more, year=year)


def _name(uow: UnitOfWork, make_slug: str, model_slug: str) -> str:
    make, model = uow.catalogue.make(make_slug), uow.catalogue.model(make_slug, model_slug)
    return f"{make.name if make else make_slug} {model.name if model else model_slug}"


def _by_id(uow: UnitOfWork, frame_id: str) -> Found:
    try:
        found = lookup.frame(uow, ANYBODY, frame_id)
    except Moved as moved:
        return _by_id(uow, moved.into)
    except Gone as gone:
        return Found(gone=gone.why, instead=gone.ask_instead)
    except NotFound:
        return Found()
    return Found([found], {found["id"]: lookup.claims(uow, ANYBODY, found["id"])["subjects"]})


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
