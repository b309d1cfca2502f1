"""The OpenAPI document is valid, complete, and about this application: no route more, no route less."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import jsonschema_rs
import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

from boltspan.http.app import Boltspan, create_app
from boltspan.http.errors import BY_CODE
from boltspan.http.settings import HttpSettings
from boltspan.web import pages
from tests.http.test_bench import NoStorage
from tests.services.conftest import StandingClock

PAGES = {
    "/", "/docs", "/problems", "/problems/{code}", "/static/{name}", "/sign-up", "/sign-in", "/sign-out", "/account",
    "/account/tokens", "/account/tokens/revoked", "/account/data", "/account/leave", "/submit", "/submit/check",
    "/submit/as-typed", "/wrong",
    "/submit/change", "/submit/frame", "/submit/shock", "/claims", "/claims/{claim_id}", "/claims/{claim_id}/photos",
    "/claims/{claim_id}/photos/withdrawal",
    "/claims/{claim_id}/withdrawal", "/claims/{claim_id}/answer", "/photos/{photo_hash}", "/desk",
    "/desk/open", "/desk/documents", "/desk/documents/check", "/desk/documents/change", "/desk/{review_id}",
    "/desk/{review_id}/check", "/desk/{review_id}/change", "/desk/{review_id}/rulings", "/desk/{review_id}/questions",
    "/desk/{review_id}/record", "/desk/{review_id}/record/check", "/desk/{review_id}/record/change",
    "/desk/next", "/desk/people/{person_id}", "/desk/people/{person_id}/check", "/desk/people/{person_id}/change",
    "/desk/people/{person_id}/undoing", "/fit", "/measuring-sheet", "/symptoms",
}  # fmt: skip
METHODS = ("get", "post", "put", "patch", "delete")


def without_database() -> Boltspan:
    """Return an application; its document needs no database."""
    return create_app(NoStorage(), StandingClock(), HttpSettings(log=lambda _: None), pages)


@pytest.fixture(scope="module")
def app() -> Boltspan:
    """Return an application; its document needs no database."""
    return without_database()


@pytest.fixture(scope="module")
def document(app: Boltspan) -> dict[str, Any]:
    """Return the document as it is served."""
    found: dict[str, Any] = app.test_client().get("/openapi.json").json
    return found


def operations(document: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Yield path, method and operation."""
    for path, item in document["paths"].items():
        for method in METHODS:
            if method in item:
                yield path, method, item[method]


def whole(document: dict[str, Any], stated: dict[str, Any]) -> dict[str, Any]:
    """Return what a reference leads to."""
    while "$ref" in stated:
        at: Any = document
        for part in stated["$ref"].removeprefix("#/").split("/"):
            at = at[part]
        stated = at
    return stated


def test_an_independent_validator_accepts_it(document: dict[str, Any]) -> None:
    assert document["openapi"] == "3.1.0"
    assert list(OpenAPIV31SpecValidator(document).iter_errors()) == []


def test_routes_and_document_are_the_same_both_ways(app: Boltspan, document: dict[str, Any]) -> None:
    routes = {
        (re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule), method.lower())
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    assert {(path, method) for path, method, _ in operations(document)} == {r for r in routes if r[0] not in PAGES}
    assert {path for path, _ in routes} >= PAGES


def test_every_operation_says_what_it_does_takes_and_answers(document: dict[str, Any]) -> None:
    names = []
    for path, method, operation in operations(document):
        where = f"{method} {path}"
        names.append(operation["operationId"])
        assert operation["summary"], where
        assert len(operation["summary"]) > 10, where
        assert operation["tags"], where
        assert set(re.findall(r"{(\w+)}", path)) == {
            p["name"] for p in document["paths"][path].get("parameters", ()) if p["in"] == "path"
        }, where
        for status, answer in operation["responses"].items():
            told = whole(document, answer)
            assert told["description"], (where, status)
            assert "X-Request-Id" in told["headers"], (where, status)
            if int(status) >= 400:
                assert set(told["content"]) == {"application/problem+json"}, (where, status)
        assert {"500", "503"} <= set(operation["responses"]) or path == "/livez", where
        if method == "post":
            assert {"400", "413", "415", "422"} <= set(operation["responses"]), where
            assert operation["requestBody"]["required"], where
    assert len(set(names)) == len(names)


def test_every_body_and_every_shown_answer_has_an_example_of_its_own_shape(document: dict[str, Any]) -> None:
    shown = 0
    for path, method, operation in operations(document):
        body = operation.get("requestBody", {}).get("content", {}).get("application/json")
        if body is not None:
            assert body["examples"], path
            for example in body["examples"].values():
                check(document, body["schema"], example["value"], path)
                shown += 1
        for status, answer in operation["responses"].items():
            content = whole(document, answer).get("content", {}).get("application/json")
            if content is not None and path != "/openapi.json":
                check(document, content["schema"], content["example"], f"{method} {path} {status}")
                shown += 1
    assert shown > 50


def check(document: dict[str, Any], schema: dict[str, Any], example: Any, where: str) -> None:
    """Fail when an example breaks its schema, or says a field that the schema does not know."""
    bound = {"$schema": "https://json-schema.org/draft/2020-12/schema", "components": document["components"], **schema}
    problems = [
        f"{e.instance_path}: {e.message}" for e in jsonschema_rs.Draft202012Validator(bound).iter_errors(example)
    ]
    assert not problems, (where, problems)


def test_every_type_of_problem_in_an_example_is_a_known_kind(document: dict[str, Any]) -> None:
    types = {
        example["value"]["type"]
        for response in document["components"]["responses"].values()
        for content in response.get("content", {}).values()
        for example in content["examples"].values()
    }
    assert types == {kind.type for kind in BY_CODE.values()} - {"/problems/bad_request", "/problems/method_not_allowed"}


def test_the_reference_page_holds_every_operation_and_every_shape(app: Boltspan, document: dict[str, Any]) -> None:
    page = app.test_client().get("/docs").text
    assert "<script" not in page
    for _, _, operation in operations(document):
        assert f'id="{operation["operationId"]}"' in page
    for name in document["components"]["schemas"]:
        assert f'id="schema-{name}"' in page
    anchors = set(re.findall(r'id="([^"]+)"', page))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= anchors
