"""Reading requests strictly: JSON once and exactly, every query name known and given once, whole characters only."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Mapping
from typing import Any, Final, NoReturn
from urllib.parse import unquote_to_bytes

import marshmallow as ma
from flask import Request
from webargs.flaskparser import FlaskParser
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge, UnsupportedMediaType

from boltspan.domain import jsontext
from boltspan.domain.errors import InvalidInput, Unavailable
from boltspan.http.headers import JSON
from boltspan.http.schemas.told import raise_invalid

MOST_AT_ONCE: Final = 100
"""Bodies that one worker reads at the same time; its other threads are left for requests without a body."""
_reading: Final = threading.BoundedSemaphore(MOST_AT_ONCE)


class StrictParser(FlaskParser):
    """Loads bodies and queries for the schemas; what breaks them is told as InvalidInput."""

    DEFAULT_UNKNOWN_BY_LOCATION = {**FlaskParser.DEFAULT_UNKNOWN_BY_LOCATION, "query": ma.RAISE}  # noqa: RUF012

    def load_json(self, req: Request, schema: ma.Schema) -> Any:
        """Return the body's value. Raises UnsupportedMediaType, RequestEntityTooLarge, BrokenJson, InvalidInput."""
        del schema
        check_media_type(req)
        return jsontext.loads(body_of(req))

    def load_querystring(self, req: Request, schema: ma.Schema) -> Mapping[str, str]:
        """Return the query's names and texts. Raises InvalidInput for a name that stands twice."""
        del schema
        for name, texts in req.args.lists():
            if len(texts) > 1:
                raise InvalidInput.one(f"/{name}", "named_twice", "this stands twice in the query", got=texts[1],
                                       accepted="each name once")  # fmt: skip
        return req.args.to_dict()

    def handle_error(
        self,
        error: ma.ValidationError,
        req: Request,
        schema: ma.Schema,
        *,
        error_status_code: int | None,
        error_headers: Mapping[str, str] | None,
    ) -> NoReturn:
        """Raise InvalidInput with all that the schema found."""
        del req, schema, error_status_code, error_headers
        [error.messages] = error.messages_dict.values()
        raise_invalid(error, error.data)


def body_of(req: Request) -> bytes:
    """Return the whole body.

    Raises RequestEntityTooLarge when it has ``max_content_length`` bytes or more: a body in chunks declares no length,
    and Werkzeug silently cuts it off there, so a body as long may lack its end. Raises Unavailable when MOST_AT_ONCE
    others are being read: a caller that sends drop by drop holds a thread until it hangs up.
    """
    if not _reading.acquire(blocking=False):
        raise Unavailable("too many requests are still on their way; try again")
    try:
        body = req.get_data(cache=True)
    finally:
        _reading.release()
    if req.max_content_length is not None and len(body) >= req.max_content_length:
        raise RequestEntityTooLarge
    return body


def drain(req: Request) -> None:
    """Read what nobody has read of a body, unless it is too large, so that its sender gets to read the answer.

    A connection whose request was answered before its end came is closed, and a caller that still sends finds it
    broken instead of being told why (RFC 9112, section 9.6).
    """
    if req.method in ("POST", "PUT", "PATCH", "DELETE"):
        with contextlib.suppress(HTTPException, Unavailable):
            body_of(req)


def check_media_type(req: Request) -> None:
    """Raise UnsupportedMediaType unless the body is plain, uncompressed JSON."""
    if req.mimetype != JSON:
        raise UnsupportedMediaType(f"the body is sent as {req.mimetype or 'nothing'}; send {JSON}")
    if req.headers.get("Content-Encoding", "identity") != "identity":
        raise UnsupportedMediaType("the body is compressed; send it as it is")


def check_address(environ: Mapping[str, Any]) -> None:
    """Raise InvalidInput when path or query hold NUL, half a surrogate pair or bytes that are no UTF-8."""
    path = str(environ.get("PATH_INFO", "")).encode("latin-1", "replace")
    query = unquote_to_bytes(str(environ.get("QUERY_STRING", "")).encode("latin-1", "replace"))
    for where, raw in (("path", path), ("query", query)):
        try:
            jsontext.check_text(raw.decode("utf-8"))
        except (UnicodeDecodeError, InvalidInput):
            raise InvalidInput.one(
                f"/{where}",
                "bad_text",
                f"the {where} holds NUL, half a surrogate pair or bytes that are no UTF-8",
                got=raw.decode("ascii", "backslashreplace").replace("\0", "\\0"),
                accepted="whole Unicode characters without NUL, percent-encoded as UTF-8",
            ) from None
