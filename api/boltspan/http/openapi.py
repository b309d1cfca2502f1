"""The OpenAPI 3.1 document: written from the same declarations that the server obeys."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from http import HTTPStatus
from typing import Any, Final

import marshmallow as ma
from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.openapi import OpenAPIConverter
from flask import Flask
from flask_smorest import Api  # type: ignore[import-untyped]

from boltspan import __version__
from boltspan.http.errors import BY_CODE, KINDS, Kind
from boltspan.http.headers import PROBLEM
from boltspan.http.operations import COMBINED, response_name
from boltspan.http.schemas.fields import OneOf, Union
from boltspan.http.schemas.problems import Problem

_TEXT: Final = {"type": "string"}
HEADERS: Final[dict[str, dict[str, Any]]] = {
    "X-Request-Id": {"description": "Names this request in the service's log.", "required": True, "schema": _TEXT},
    "ETag": {"description": "Strong validator of this answer.", "required": True, "schema": _TEXT},
    "Cache-Control": {"description": "How long the answer may be kept.", "required": True, "schema": _TEXT},
    "Vary": {"description": "Which request headers the answer hangs on.", "schema": _TEXT},
    "Location": {"description": "Where the new thing, or the answer, is.", "required": True, "schema": _TEXT},
    "Link": {"description": 'Relations (RFC 8288), such as rel="next".', "schema": _TEXT},
    "RateLimit-Policy": {"description": "Quota (q) in a window of w seconds.", "schema": _TEXT},
    "RateLimit": {"description": "What is left (r), and in how many seconds (t) it is whole again.", "schema": _TEXT},
    "Retry-After": {
        "description": "Seconds after which to come back.", "required": True,
        "schema": {"type": "integer", "minimum": 1},
    },
    "WWW-Authenticate": {"description": "How to authenticate.", "required": True, "schema": _TEXT},
}  # fmt: skip
_PROBLEM_HEADERS: Final = {
    308: ["Location"],
    401: ["WWW-Authenticate"],
    403: ["WWW-Authenticate"],
    429: ["Retry-After", "RateLimit-Policy", "RateLimit"],
    503: ["Retry-After"],
}
_PARAMETERS: Final[dict[str, tuple[str, dict[str, Any]]]] = {
    "IdempotencyKey": ("header", {
        "name": "Idempotency-Key", "required": True,
        "description": "Names this request, so that a repeated one is done once and answered alike for 24 hours. "
                       "1 to 128 printable ASCII characters, such as a UUID; quotes around it are not part of it.",
        "schema": {"type": "string", "minLength": 1, "maxLength": 128, "pattern": "^[!-~]([ -~]*[!-~])?$"},
        "example": "6f1f4a52-6d0b-4d56-9f3a-0c5a0d4b9f11",
    }),
    "IfMatch": ("header", {
        "name": "If-Match", "required": True,
        "description": "The ETag that was read, so that nobody's work is overwritten.",
        "schema": {"type": "string", "minLength": 1},
        "example": '"q-5b8n2v0ykm-1042"',
    }),
    "IfNoneMatch": ("header", {
        "name": "If-None-Match", "required": False, "description": "An ETag; 304 answers when it still holds.",
        "schema": {"type": "string"},
    }),
}  # fmt: skip
_DESCRIPTION: Final = (
    "What mounting hardware a mountain-bike frame needs at each end of its rear shock. Lengths are exact decimals in "
    "millimetres. What is not known is left out, never null. Every answer that names a size carries cautions: the "
    "makers' instructions rule wherever they differ, and a qualified mechanic does what you are unsure of."
)


class Converter(OpenAPIConverter):
    """Writes schemas with what ``Meta.also`` and the class's docstring add."""

    def schema2jsonschema(self, schema: Any) -> dict[str, Any]:
        """Return the JSON Schema of a marshmallow schema."""
        known: Any = schema if isinstance(schema, type) else type(schema)
        made: dict[str, Any]
        if issubclass(known, Union):
            made = {"anyOf": [self.resolve_nested_schema(s) for s in known.schemas]}  # type: ignore[no-untyped-call]
        else:
            made = super().schema2jsonschema(schema)  # type: ignore[no-untyped-call]
        made.update(getattr(known.Meta, "also", {}))
        if known.__doc__ and "description" not in made:
            made["description"] = " ".join(known.__doc__.split())
        return made


class Marshmallow(MarshmallowPlugin):
    """The plugin with our converter."""

    Converter = Converter


def one_of(converter: Any, field: ma.fields.Field[Any], **_: Any) -> dict[str, Any]:
    """Return how the document states a union of objects."""
    if not isinstance(field, OneOf):
        return {}
    return {"anyOf": [converter.resolve_nested_schema(s) for s in field.schemas]}


class ProblemApi(Api):  # type: ignore[misc]
    """Documents problem details for every status that is a problem; the application answers them itself."""

    ERROR_SCHEMA = Problem
    DEFAULT_ERROR_RESPONSE_NAME = None

    def _register_responses(self) -> None:
        by_status: dict[int, list[Kind]] = {}
        for kind in KINDS:
            by_status.setdefault(kind.status, []).append(kind)
        self.spec.components.response(HTTPStatus(304).name, {
            "description": "What you have still holds.",
            "headers": {n: {"$ref": f"#/components/headers/{n}"} for n in ("X-Request-Id", "ETag", "Cache-Control")},
        }, lazy=True)  # fmt: skip
        for codes in COMBINED:
            by_status.pop(BY_CODE[codes[0]].status, None)
        told = [*by_status.values(), *([BY_CODE[code] for code in codes] for codes in COMBINED)]
        for kinds in told:
            status = kinds[0].status
            names = ["X-Request-Id", *_PROBLEM_HEADERS.get(status, [])]
            content = {"schema": Problem, "examples": {k.code: {"value": _example(k)} for k in kinds}}
            response = {
                "description": " ".join(f"{k.title}. {k.text}" for k in kinds),
                "content": {PROBLEM: content},
                "headers": {n: {"$ref": f"#/components/headers/{n}"} for n in names},
            }
            self.spec.components.response(response_name(*(k.code for k in kinds)), response, lazy=True)

    def _register_error_handlers(self) -> None:
        """Leave errors to the application, which answers all of them alike."""


def _example(kind: Kind) -> dict[str, Any]:
    found: dict[str, Any] = {"type": kind.type, "title": kind.title, "status": kind.status, "detail": kind.text}
    return found | {"code": kind.code, "request_id": "5d1c0a7be2f4-00002a"}


def make_api(app: Flask) -> Any:
    """Return the API's registry on ``app``, to which resources are added."""
    app.config.update(API_TITLE="Boltspan", API_VERSION=__version__, OPENAPI_VERSION="3.1.0")
    options = {
        "info": {
            "description": _DESCRIPTION,
            "license": {"name": "Code Apache-2.0, data CC0-1.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/"}],
    }
    plugin = Marshmallow(schema_name_resolver=lambda s: (s if isinstance(s, type) else type(s)).__name__)
    api = ProblemApi(app, spec_kwargs={"marshmallow_plugin": plugin, **options})
    plugin.converter.add_attribute_function(one_of)  # type: ignore[union-attr]
    api.spec.components.security_scheme(
        "bearer", {"type": "http", "scheme": "bearer", "description": "A token; scopes are permissions, plain verbs."}
    )
    for name, header in HEADERS.items():
        api.spec.components.header(name, header)
    for name, (place, parameter) in _PARAMETERS.items():
        api.spec.components.parameter(name, place, parameter)
    return api


def document(api: Any) -> dict[str, Any]:
    """Return the whole document, JSON-ready: numbers as JSON has them, paths in order."""
    made: dict[str, Any] = _plain(api.spec.to_dict())
    made["paths"] = dict(sorted(made["paths"].items()))
    return {key: made[key] for key in ("openapi", "info", "servers", "tags", "paths", "components")}


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if isinstance(value, Decimal):
        return int(value) if value == int(value) else float(value)
    return value
