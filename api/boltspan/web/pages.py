"""The pages. ``pages`` makes them for one application; they read through the services like everybody else."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from flask import Blueprint, Response, make_response, render_template, request, send_from_directory

from boltspan.domain import vocabulary
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.errors import BoltspanError, NotFound, TooMany
from boltspan.services.name_cache import NameCache
from boltspan.services.permissions import PUBLIC
from boltspan.services.protocols import Storage
from boltspan.services.publishing import is_demo
from boltspan.web import bench_words, words
from boltspan.web.finding import search
from boltspan.web.fit_pages import fit_pages
from boltspan.web.reference import schemas, sections

MOST_TEXT: Final = 200
PAGE_CACHE: Final = "public, max-age=60"
STATIC_CACHE: Final = "public, max-age=3600"


def pages(
    storage: Storage,
    names: NameCache,
    document: Callable[[], Mapping[str, Any]],
    problems: Sequence[Mapping[str, Any]],
    count: Callable[[], None],
) -> Blueprint:
    """Return the pages over ``storage``.

    ``document`` returns the OpenAPI document, ``problems`` are the kinds with code, status, title and text, ``count``
    counts a request that searches.
    """
    by_code = {p["code"]: p for p in problems}
    blueprint = Blueprint("pages", __name__, template_folder="templates")

    def home() -> Response:
        text = request.args.get("q", "").strip()[:MOST_TEXT]
        found = None
        with storage.reading() as uow:
            demo = is_demo(uow)
            if text:
                count()
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
        kind = by_code.get(error.code, by_code["internal_error"])
        response = _page("failed.html", problem=kind, detail=str(error))
        response.status_code = kind["status"]
        response.headers["Cache-Control"] = "no-store"
        if kind["status"] in (429, 503):
            response.headers["Retry-After"] = str(error.retry_after_s if isinstance(error, TooMany) else 2)
        return response

    views: dict[str, Any] = {
        "/": home,
        "/docs": reference,
        "/problems": problem_list,
        "/problems/<code>": problem,
        "/static/<path:name>": static,
        **fit_pages(storage, names, count),
    }
    for rule, view in views.items():
        view.permission = PUBLIC
        blueprint.add_url_rule(rule, view_func=view)
    blueprint.register_error_handler(BoltspanError, failed)
    blueprint.context_processor(
        lambda: {"words": words, "bench": bench_words, "codes": vocabulary, "cautions": CAUTIONS}
    )
    return blueprint


def _page(template: str, **shown: Any) -> Response:
    response = make_response(render_template(template, **shown))
    response.headers["Cache-Control"] = PAGE_CACHE
    return response
