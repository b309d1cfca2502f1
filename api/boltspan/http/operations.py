"""Declaring operations: one call states route, permission, limits and shapes, for the server and the document."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, Final, Literal, Protocol, cast

import marshmallow as ma
from flask import Response, current_app, g, request
from flask_smorest import Blueprint  # type: ignore[import-untyped]

from boltspan.domain.errors import KeyMissing
from boltspan.http.auth import actor_of, token_in
from boltspan.http.call import Call, count_request, count_sender, count_write
from boltspan.http.errors import KINDS
from boltspan.http.headers import JSON
from boltspan.http.parts import Parts
from boltspan.http.path_parameters import PATH_PARAMETERS
from boltspan.http.schemas.fields import Closed
from boltspan.http.strictjson import StrictParser
from boltspan.services.permissions import PUBLIC, Actor

Counted = Literal["lookup", "bench", "write", "report", "sign_up", "ready"]
"""How an operation is counted; "ready" ones are exempt while their answer is published, and then look-ups.

A "report" and a "sign_up" are writes that need no token and are counted by address.
"""

READ_PROBLEMS: Final = (401, 422, 429, 500, 503)
WRITE_PROBLEMS: Final = (400, 401, 403, 409, 413, 415, 422, 429, 500, 503, 507)


class NoQuery(Closed):
    """No query at all."""


class HasParts(Protocol):
    """The application: where the parts are."""

    parts: Parts


def parts_here() -> Parts:
    """Return the parts of the application that answers this request."""
    return cast("HasParts", current_app).parts


@dataclass(frozen=True, slots=True)
class Answer:
    """One documented answer: its status, shape, an example, the headers that come with it."""

    status: int
    schema: type[ma.Schema] | Mapping[str, Any] | None
    description: str
    example: Any = None
    headers: Sequence[str] = ()
    content_type: str = JSON
    also: Sequence[str] = ()
    """Other content types that the same status may have, as text."""


KEPT: Final = ("ETag", "Cache-Control", "Vary")
"""The headers of what may be kept."""
NOT_MODIFIED: Final = Answer(304, None, "What you have still holds.", headers=("ETag", "Cache-Control"))


@dataclass(frozen=True, slots=True)
class Operation:
    """All that is stated about one operation."""

    permission: str
    counted: Counted | None
    query: type[ma.Schema]
    body: type[ma.Schema] | None
    examples: Mapping[str, Any]
    answers: Sequence[Answer]
    problems: Sequence[int]
    once: bool = False
    match: bool = False
    upload: Sequence[str] = ()


COMBINED: Final = (
    ("bad_cursor",), ("broken_json",), ("broken_json", "key_missing"), ("key_missing",),
    ("invalid",), ("invalid", "key_reused"), ("invalid", "bench_refused"),
)  # fmt: skip
"""Kinds of problems that share a status, as operations have them."""
View = Callable[..., Response]


def response_name(*codes: str) -> str:
    """Return the name of the response that documents these kinds of problems."""
    return "_".join(codes).upper()


class Resource(Blueprint):  # type: ignore[misc]
    """One module's operations."""

    ARGUMENTS_PARSER = StrictParser()

    def operation(
        self,
        rule: str,
        *,
        permission: str = PUBLIC,
        method: str = "GET",
        counted: Counted | None = "lookup",
        query: type[ma.Schema] = NoQuery,
        body: type[ma.Schema] | None = None,
        examples: Mapping[str, Any] | None = None,
        answers: Sequence[Answer],
        problems: Sequence[int] = (),
        once: bool = False,
        match: bool = False,
        upload: Sequence[str] = (),
    ) -> Callable[[View], View]:
        """Return a decorator that makes a view the operation at ``rule``.

        ``upload`` are the media types of a body that is no JSON; the view reads it by ``call.upload``.

        The view gets a Call, the checked body when there is one, and the path's parts by name. Its docstring is the
        operation's summary and description.
        """
        stated = Operation(permission, counted, query, body, examples or {}, answers, problems, once, match, upload)

        def declare(view: View) -> View:
            handler = _guarded(self._documented(_called(view, stated), stated), stated)
            parameters = [PATH_PARAMETERS[name] for name in re.findall(r"<(?:path:)?(\w+)>", rule)]
            self.add_url_rule(rule, view.__name__, handler, methods=[method], parameters=parameters)
            return view

        return declare

    def _documented(self, view: View, stated: Operation) -> View:
        documented: Any = self.arguments(stated.query, location="query")(view)
        if stated.body is not None:
            shown = {name: {"value": value} for name, value in stated.examples.items()}
            documented = self.arguments(stated.body, location="json", examples=shown or None)(documented)
        for answer in stated.answers:
            documented = self.response(
                answer.status,
                answer.schema,
                description=answer.description,
                example=answer.example,
                content_type=answer.content_type,
                headers=_header_refs(stated, answer),
            )(documented)
        for status in _problems(stated):
            documented = self.alt_response(status, response_name(*_kinds(stated, status)))(documented)
        if stated.upload:
            binary = {"schema": {"type": "string", "format": "binary"}}
            content = dict.fromkeys(stated.upload, binary)
            documented = cast("View", self.doc(requestBody={"required": True, "content": content})(documented))
        extra = ["IdempotencyKey"] * stated.once + ["IfMatch"] * stated.match
        extra += ["IfNoneMatch"] * any(a.status == 304 for a in stated.answers)
        documented._apidoc["arguments"]["parameters"] += extra
        told = {"operationId": view.__name__, **_security(stated), **_other_forms(stated)}
        return cast("View", self.doc(**told)(documented))


def _called(view: View, stated: Operation) -> View:
    @functools.wraps(view)
    def called(*parsed: Any, **path: Any) -> Response:
        admitted: Call = g.call
        body, conditions = parsed if stated.body is not None else (None, parsed[0])
        call = Call(admitted.actor, admitted.parts, admitted.request, admitted.token, conditions)
        return view(call, **path) if stated.body is None else view(call, body, **path)

    return called


def _guarded(view: View, stated: Operation) -> View:
    """Return ``view`` behind what comes before the body is looked at: limits, token, permission, needed headers."""

    @functools.wraps(view)
    def guarded(**path: Any) -> Response:
        parts = parts_here()
        token = token_in(request.headers.get("Authorization"))
        g.policy = None if stated.counted is None else _policy(parts, stated.counted)
        if stated.counted in ("lookup", "bench", "report"):
            g.left = count_request(parts, g.policy, request.remote_addr)
        actor = actor_of(parts.storage, parts.clock, token)
        _permit(actor, stated.permission)
        if stated.counted == "write" and actor.person is not None:
            g.left = count_write(parts, actor.person)
        if stated.counted == "sign_up":
            g.left = count_sender(parts, g.policy, request.remote_addr)
        call = g.call = Call(actor, parts, cast("Any", request)._get_current_object(), token, {})
        if stated.once and request.headers.get("Idempotency-Key") is None:
            raise KeyMissing("send an Idempotency-Key, such as a UUID, so that a repeated request is done once")
        if stated.match:
            call.if_match()
        return view(**path)

    guarded.permission = stated.permission  # type: ignore[attr-defined]
    return guarded


def _policy(parts: Parts, counted: Counted) -> Any:
    policies = parts.policies
    by_kind = {
        "bench": policies.bench, "write": policies.write, "report": policies.report, "sign_up": policies.sign_up,
    }  # fmt: skip
    return by_kind.get(counted, policies.lookup)


def _permit(actor: Actor, permission: str) -> None:
    if permission != PUBLIC:
        actor.must(permission)


def _problems(stated: Operation) -> list[int]:
    writes = stated.counted in ("write", "report", "sign_up")
    found = set(stated.problems) | set(WRITE_PROBLEMS if writes else READ_PROBLEMS)
    if stated.permission != PUBLIC:
        found |= {401, 403}
    if stated.body is not None or stated.upload:
        found |= {400, 413, 415}
    elif writes:
        found -= {400, 413, 415}
    if stated.permission == PUBLIC:
        found -= {403}
    if stated.match:
        found |= {412, 428}
    if stated.counted is None:
        found -= {429}
    return sorted(found - {a.status for a in stated.answers})


def _kinds(stated: Operation, status: int) -> list[str]:
    if status == HTTPStatus.BAD_REQUEST:
        if stated.body is None:
            return ["key_missing"] if stated.once else ["bad_cursor"]
        return ["broken_json", "key_missing"] if stated.once else ["broken_json"]
    if status == HTTPStatus.UNPROCESSABLE_ENTITY:
        return ["invalid"] + ["key_reused"] * stated.once + ["bench_refused"] * (stated.counted == "bench")
    return [k.code for k in KINDS if k.status == status]


def _header_refs(stated: Operation, answer: Answer) -> dict[str, Any]:
    names = ["X-Request-Id", *answer.headers]
    if stated.counted is not None:
        names.append("RateLimit-Policy")
    if stated.counted in ("lookup", "bench", "write", "report", "sign_up"):
        names.append("RateLimit")
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}


def _other_forms(stated: Operation) -> dict[str, Any]:
    forms = {
        answer.status: {"content": {kind: {"schema": {"type": "string"}} for kind in answer.also}}
        for answer in stated.answers
        if answer.also
    }
    return {"responses": forms} if forms else {}


def _security(stated: Operation) -> dict[str, Any]:
    if stated.permission == PUBLIC:
        return {"security": [{}, {"bearer": []}]}
    return {"security": [{"bearer": [stated.permission]}]}
