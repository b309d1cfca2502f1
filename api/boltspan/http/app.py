"""The application: ready answers in front of Flask, every error a problem, every request counted and logged."""

from __future__ import annotations

import re
import time
import traceback
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final, cast

from flask import Blueprint, Flask, Response, current_app, g, request
from werkzeug.exceptions import HTTPException
from werkzeug.middleware.proxy_fix import ProxyFix

from boltspan.domain.errors import BoltspanError
from boltspan.http import (
    accounts,
    bench,
    changes,
    charts,
    claims,
    decisions,
    desk,
    edits,
    explanations,
    fit_sheets,
    frames,
    hardware,
    health,
    lookups,
    makes,
    photos,
    releases,
    reviews,
    rule,
    shocks,
    vocabulary,
)
from boltspan.http.auth import undeclared
from boltspan.http.conditional import none_match
from boltspan.http.errors import KINDS, problem_response
from boltspan.http.headers import CORS, LOOKUP_CACHE, PREFLIGHT, PRIVATE_CACHE, SECURE, SECURE_PAGE, VARY
from boltspan.http.openapi import document, make_api
from boltspan.http.page_parts import PageParts
from boltspan.http.parts import Parts, make_parts
from boltspan.http.published import Ready
from boltspan.http.settings import HttpSettings
from boltspan.http.strictjson import check_address, drain
from boltspan.services.permissions import PUBLIC
from boltspan.services.protocols import Clock, Storage

RESOURCES: Final = (
    makes, frames, lookups, shocks, hardware, fit_sheets, claims, photos, charts, reviews, rule, decisions, desk, edits,
    changes, releases, accounts, vocabulary, bench, explanations, health,
)  # fmt: skip
JSON_ACCEPTED: Final = frozenset({"*/*", "application/json"})

Pages = Callable[[PageParts], Blueprint]
"""Makes the pages for people."""
StartResponse = Callable[..., Any]


class Boltspan(Flask):
    """Flask with ready answers in front of its routing. ``parts`` is what it is made of."""

    parts: Parts
    document: Mapping[str, Any]
    public_methods: Mapping[str, Sequence[str]]
    templates: Mapping[str, str]
    ready_headers: Sequence[tuple[str, str]]

    def wsgi_app(self, environ: dict[str, Any], start_response: StartResponse) -> Iterable[bytes]:
        """Answer from memory when the path is ready and nothing about the request asks for more; else by routing."""
        started = time.perf_counter()
        method = environ["REQUEST_METHOD"]
        request_id = self.parts.ids.of(environ.get("HTTP_X_REQUEST_ID"))
        if (
            not environ.get("QUERY_STRING")
            and method in ("GET", "HEAD")
            and "HTTP_AUTHORIZATION" not in environ
            and environ.get("HTTP_ACCEPT", "*/*") in JSON_ACCEPTED
            and (ready := self.parts.published.ready(environ["PATH_INFO"])) is not None
        ):
            return self._ready(environ, start_response, ready, started, request_id)
        return self._routed(environ, start_response, started, request_id)

    def _ready(
        self, environ: dict[str, Any], start_response: StartResponse, ready: Ready, started: float, request_id: str
    ) -> Iterable[bytes]:
        named = ("X-Request-Id", request_id)
        if none_match(environ.get("HTTP_IF_NONE_MATCH"), ready.etag):
            status, size, sent = "304", "0", []
            start_response("304 NOT MODIFIED", [("ETag", ready.etag), *self.ready_headers, named])
        else:
            status, size = "200", str(len(ready.body))
            sent = [] if environ["REQUEST_METHOD"] == "HEAD" else [ready.body]
            start_response("200 OK", [*ready.headers(), *self.ready_headers, named])
        path = environ["PATH_INFO"]
        route = frames.READY_ROUTE if path.startswith(frames.READY_PREFIX) else makes.READY_ROUTE
        self._account(environ, route, status, size, started, request_id, ready=True)
        return sent

    def _routed(
        self, environ: dict[str, Any], start_response: StartResponse, started: float, request_id: str
    ) -> Iterable[bytes]:
        environ["boltspan.request_id"] = request_id
        seen = {"status": "500", "size": "-"}

        def start(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            seen["status"] = status[:3]
            seen["size"] = next((v for k, v in headers if k.lower() == "content-length"), "-")
            return start_response(status, [*headers, ("X-Request-Id", request_id)], *rest)

        try:
            return super().wsgi_app(environ, start)
        finally:
            route = environ.get("boltspan.route", "(none)")
            self._account(environ, route, seen["status"], seen["size"], started, request_id)

    def _account(
        self, environ: dict[str, Any], route: str, status: str, size: str, started: float, request_id: str,
        *, ready: bool = False,
    ) -> None:  # fmt: skip
        seconds = time.perf_counter() - started
        method = environ["REQUEST_METHOD"]
        self.parts.metrics.count(method if len(method) < 8 else "other", route, status, seconds, ready=ready)
        self.parts.log.request(method, route, environ["PATH_INFO"], status, seconds, size, request_id)


def create_app(storage: Storage, clock: Clock, settings: HttpSettings, pages: Pages | None = None) -> Boltspan:
    """Return the service. Nothing is opened before the first request.

    Raises RuntimeError when a route declares no permission.
    """
    app = Boltspan("boltspan.http", static_folder=None)
    app.parts = make_parts(storage, clock, settings)
    app.config["MAX_CONTENT_LENGTH"] = settings.most_bytes + 1  # so many are one too many; see strictjson.body_of
    app.url_map.strict_slashes = True
    app.url_map.merge_slashes = False
    app.json.ensure_ascii = False  # type: ignore[attr-defined]
    api = make_api(app)
    for module in RESOURCES:
        api.register_blueprint(module.resource)
    if pages is not None:
        kinds = [{"code": k.code, "status": k.status, "title": k.title, "text": k.text} for k in KINDS]
        app.register_blueprint(pages(PageParts(app.parts, lambda: app.document, kinds)))
    app.document = document(api)
    _check_permissions(app)
    _prepare_headers(app)
    app.before_request(_before)
    app.after_request(_after)
    app.register_error_handler(Exception, _failed)
    if settings.trusted_proxies:
        hops = settings.trusted_proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops)  # type: ignore[method-assign]
    return app


def _check_permissions(app: Boltspan) -> None:
    views = [(rule.rule, app.view_functions[rule.endpoint]) for rule in app.url_map.iter_rules()]
    if missing := undeclared(views):
        raise RuntimeError(f"these routes declare no permission: {', '.join(missing)}")
    public: dict[str, list[str]] = {}
    for route in app.url_map.iter_rules():
        if getattr(app.view_functions[route.endpoint], "permission", None) == PUBLIC:
            public.setdefault(route.rule, []).extend(sorted((route.methods or set()) - {"OPTIONS"}))
    app.public_methods = public
    app.templates = {r.rule: re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", r.rule) for r in app.url_map.iter_rules()}


def _prepare_headers(app: Boltspan) -> None:
    policy = [("RateLimit-Policy", app.parts.policies.lookup.header)] if app.parts.settings.rate_limits else []
    common = [("Cache-Control", LOOKUP_CACHE), SECURE, ("Vary", VARY), *CORS, *policy]
    app.ready_headers = common


def _here() -> Boltspan:
    return cast("Boltspan", current_app)


def _before() -> None:
    rule = request.url_rule
    if rule is not None:
        request.environ["boltspan.route"] = _here().templates[rule.rule]
    check_address(request.environ)


def _after(response: Response) -> Response:
    """Give an answer the headers of its kind, whatever made it."""
    app, given = _here(), response.headers
    for name, text in (SECURE, *(SECURE_PAGE if response.mimetype == "text/html" else ())):
        given.setdefault(name, text)
    given.setdefault("Cache-Control", PRIVATE_CACHE)
    if request.path.startswith("/v1/"):
        given.setdefault("Vary", VARY)
    public = ["GET"] if request.url_rule is None else app.public_methods.get(request.url_rule.rule, [])
    asked = request.headers.get("Access-Control-Request-Method", request.method)
    refused = response.status_code == 405  # says nothing but which methods there are
    if asked in public or (asked == "HEAD" and "GET" in public) or refused:
        given.update(CORS)
        if request.method == "OPTIONS":
            given.update({"Access-Control-Allow-Methods": ", ".join(public), **dict(PREFLIGHT)})
    if app.parts.settings.rate_limits:
        for name, of in (("RateLimit-Policy", "policy"), ("RateLimit", "left")):
            if (told := g.get(of)) is not None:
                given.setdefault(name, told.header)
    return response


def _failed(error: Exception) -> Response:
    drain(request)
    request_id = request.environ["boltspan.request_id"]
    if not isinstance(error, BoltspanError | HTTPException):
        _here().parts.log.failure(request_id, "".join(traceback.format_exception(error)))
    return problem_response(error, request_id)
