"""The one table from what goes wrong to HTTP: problem details (RFC 9457), each ``type`` a page of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from flask import Response
from werkzeug.exceptions import HTTPException

from boltspan.domain import jsontext
from boltspan.domain.errors import (
    BoltspanError,
    FieldProblem,
    Gone,
    InvalidInput,
    Moved,
    NotAllowed,
    NotAuthenticated,
    NotFound,
    Stale,
    TooMany,
)
from boltspan.domain.refusals import BenchRefusal
from boltspan.http.headers import LOOKUP_CACHE, PRIVATE_CACHE, PROBLEM
from boltspan.http.limits import OverLimit

RETRY_SOON_S: Final = 2


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of problem: ``code`` names its page, ``text`` says what it means and what to do."""

    code: str
    status: int
    title: str
    text: str

    @property
    def type(self) -> str:
        """The problem's type: the path of its page."""
        return f"/problems/{self.code}"


KINDS: Final = (
    Kind("invalid", 422, "The input breaks a rule", "Each entry of errors names a field by its JSON Pointer, what is "
         "wrong with it, what was got and what is accepted. Nothing was changed."),
    Kind("bench_refused", 422, "The bench does not answer this", "The numbers lie outside what can be, or the build "
         "they describe cannot be made. The member code names which; errors names the field."),
    Kind("broken_json", 400, "The body is not JSON", "JSON as RFC 8259 has it: in UTF-8, without NaN, infinities, "
         "numbers out of range, keys named twice or nesting beyond 40."),
    Kind("bad_request", 400, "The request cannot be read", "Something about the request's form is wrong; detail says "
         "what."),
    Kind("bad_cursor", 400, "The cursor is not one of ours", "A cursor goes on with the question it was given for. "
         "Ask again without a cursor."),
    Kind("key_missing", 400, "An Idempotency-Key is needed", "Requests that create something carry an "
         "Idempotency-Key, such as a UUID, so that a repeated one is done once."),
    Kind("not_authenticated", 401, "A token is needed", "Send Authorization: Bearer with a token that is valid. "
         "Tokens are never taken from the address."),
    Kind("not_allowed", 403, "This token may not do this", "The person is known, but lacks the permission, or the "
         "rules keep this from them, such as deciding on an own claim."),
    Kind("not_found", 404, "There is no such thing", "There is nothing under this address, or nothing you may see. "
         "For a make or model, nearest names those that may be meant."),
    Kind("method_not_allowed", 405, "This address takes other methods", "The Allow header lists those it takes."),
    Kind("conflict", 409, "This does not go with what stands", "The request is sound, but not in the present state."),
    Kind("gone", 410, "The record is gone", "It was withdrawn or divided; why says so, and ask_instead lists the "
         "records that answer now."),
    Kind("moved", 308, "The record was merged into another", "The Location header names the one that answers."),
    Kind("stale", 412, "Somebody was here since you read it", "Read it again and decide anew with the new ETag."),
    Kind("too_large", 413, "The body is too large", "Bodies have at most one mebibyte, photos "
         "at most fifteen."),
    Kind("unsupported_media_type", 415, "The body is of another type", "Send application/json, not "
         "compressed; for a photo a JPEG, PNG or WebP, which is told by its content."),
    Kind("key_reused", 422, "The Idempotency-Key was used with another body", "Take a new key for a new request."),
    Kind("precondition_missing", 428, "If-Match is needed", "Read the thing first and send its ETag in If-Match, so "
         "that nobody's work is overwritten."),
    Kind("too_many", 429, "Too many requests", "The Retry-After header says in how many seconds to come back."),
    Kind("internal_error", 500, "Something broke here", "It was written down under the request id. Nothing was "
         "stored unless a repeated request with the same Idempotency-Key says so."),
    Kind("unavailable", 503, "The service cannot do this now", "The database cannot be reached, or too much is under "
         "way. Nothing was written. Try again soon."),
    Kind("storage_full", 507, "There is no room to write", "Nothing was written. Look-ups go on."),
)  # fmt: skip
BY_CODE: Final = {k.code: k for k in KINDS}
_OF_STATUS: Final = {
    404: "not_found",
    405: "method_not_allowed",
    413: "too_large",
    415: "unsupported_media_type",
    500: "internal_error",
}
_PLACES: Final = {"frame": "/v1/frames/{}", "shock": "/v1/shocks/{}"}


def problem_response(error: Exception, request_id: str) -> Response:
    """Return the problem that ``error`` is, with its headers; anything unforeseen is an internal error."""
    if isinstance(error, BoltspanError):
        return _response(_kind(error), str(error), request_id, _members(error), _headers(error))
    if isinstance(error, HTTPException) and error.code is not None and error.code >= 400:
        kind = BY_CODE[_OF_STATUS.get(error.code, "bad_request" if error.code < 500 else "internal_error")]
        kept = {k: v for k, v in error.get_headers() if k in ("Allow", "Retry-After")}
        ours = error.description if error.description != type(error).description else None
        return _response(kind, ours or kind.text, request_id, {}, kept)
    return _response(BY_CODE["internal_error"], BY_CODE["internal_error"].text, request_id, {}, {})


def _kind(error: BoltspanError) -> Kind:
    if isinstance(error, BenchRefusal):
        return BY_CODE["bench_refused"]
    return BY_CODE.get(type(error).code, BY_CODE["internal_error"])


def _members(error: BoltspanError) -> dict[str, Any]:
    match error:
        case BenchRefusal():
            told = FieldProblem(f"/{error.field}", error.code, error.detail, error.got, error.accepted)
            return {"code": error.code, "errors": [_entry(told)]}
        case InvalidInput():
            return {"errors": [_entry(p) for p in error.problems]}
        case Gone():
            return {"why": error.why, "ask_instead": list(error.ask_instead)}
        case Stale() if error.changed:
            return {"changed": [dict(event) for event in error.changed]}
        case NotFound() if error.nearest:
            return {"nearest": list(error.nearest)}
    return {}


def _entry(problem: FieldProblem) -> dict[str, str]:
    found = {"pointer": problem.pointer, "code": problem.code, "detail": problem.detail}
    more = {"got": problem.got, "accepted": problem.accepted}
    return found | {key: text for key, text in more.items() if text is not None}


def _headers(error: BoltspanError) -> dict[str, str]:
    match error:
        case Moved():
            return {"Location": _PLACES[error.what].format(error.into), "Cache-Control": LOOKUP_CACHE}
        case Gone():
            return {"Cache-Control": LOOKUP_CACHE}
        case NotAuthenticated():
            return {"WWW-Authenticate": 'Bearer realm="boltspan"'}
        case NotAllowed():
            return {"WWW-Authenticate": 'Bearer realm="boltspan", error="insufficient_scope"'}
        case OverLimit():
            policy = {"RateLimit-Policy": error.left.policy.header, "RateLimit": error.left.header}
            return {"Retry-After": str(error.retry_after_s), **policy}
        case TooMany():
            return {"Retry-After": str(error.retry_after_s)}
    return {"Retry-After": str(RETRY_SOON_S)} if type(error).code == "unavailable" else {}


def _response(
    kind: Kind, detail: str, request_id: str, members: Mapping[str, Any], headers: Mapping[str, str]
) -> Response:
    body: dict[str, Any] = {"type": kind.type, "title": kind.title, "status": kind.status, "detail": _sound(detail)}
    body |= {"code": kind.code, "request_id": request_id, **members}
    response = Response(jsontext.dumps(body) + "\n", kind.status, content_type=PROBLEM)
    response.headers["Cache-Control"] = PRIVATE_CACHE
    response.headers.update(headers)
    return response


def _sound(text: str) -> str:
    """Return the text as it can be sent: halves of surrogate pairs written out."""
    return text.encode("utf-8", "backslashreplace").decode()
