"""Who may do what: every operation of the document by role. A route that does not stand here fails."""

from __future__ import annotations

import re
from typing import Any

import pytest

from boltspan.http.app import Boltspan
from boltspan.services.permissions import PUBLIC, ROLES
from tests.http.world import ROLES as PEOPLE
from tests.http.world import Site

ANYBODY, SIGNED_IN = "anybody", "signed in"
CONTRIBUTOR, MAINTAINER, OPERATOR = "contributor", "maintainer", "operator"
WHO = {
    ANYBODY: frozenset({"nobody", "contributor", "retailer", "maintainer", "operator"}),
    SIGNED_IN: frozenset({"contributor", "retailer", "maintainer", "operator"}),
    CONTRIBUTOR: frozenset({"contributor", "maintainer", "operator"}),
    MAINTAINER: frozenset({"maintainer", "operator"}),
    OPERATOR: frozenset({"operator"}),
}
MATRIX = {
    "GET /livez": ANYBODY,
    "GET /metrics": OPERATOR,
    "GET /openapi.json": ANYBODY,
    "GET /readyz": ANYBODY,
    "GET /v1/account": SIGNED_IN,
    "GET /v1/account/claims": SIGNED_IN,
    "GET /v1/account/data": SIGNED_IN,
    "POST /v1/account/departure": SIGNED_IN,
    "POST /v1/account/tokens": SIGNED_IN,
    "DELETE /v1/account/tokens/{token_id}": SIGNED_IN,
    "POST /v1/accounts": ANYBODY,
    "GET /v1/accounts/{person_id}": OPERATOR,
    "POST /v1/accounts/{person_id}/blocking": OPERATOR,
    "POST /v1/accounts/{person_id}/tokens": OPERATOR,
    "POST /v1/accounts/{person_id}/undoing": MAINTAINER,
    "POST /v1/bench/bore-fits": ANYBODY,
    "POST /v1/bench/labels": ANYBODY,
    "POST /v1/bench/offset-sleeves": ANYBODY,
    "POST /v1/bench/press-tools": ANYBODY,
    "POST /v1/bench/readings": ANYBODY,
    "POST /v1/bench/shock-swaps": ANYBODY,
    "POST /v1/bench/size-choices": ANYBODY,
    "POST /v1/bench/stacks": ANYBODY,
    "GET /v1/changes": ANYBODY,
    "POST /v1/charts": MAINTAINER,
    "POST /v1/claims": CONTRIBUTOR,
    "GET /v1/claims/{claim_id}": SIGNED_IN,
    "POST /v1/claims/{claim_id}/answers": CONTRIBUTOR,
    "POST /v1/claims/{claim_id}/photos": CONTRIBUTOR,
    "POST /v1/claims/{claim_id}/photos/{photo_hash}/withdrawal": CONTRIBUTOR,
    "POST /v1/claims/{claim_id}/questions": MAINTAINER,
    "POST /v1/claims/{claim_id}/withdrawal": CONTRIBUTOR,
    "GET /v1/contributors/{contributor_id}/record": MAINTAINER,
    "POST /v1/decisions/{decision_id}/reversal": MAINTAINER,
    "GET /v1/document-reviews": MAINTAINER,
    "POST /v1/document-reviews": MAINTAINER,
    "POST /v1/fit-sheets": ANYBODY,
    "POST /v1/flags": ANYBODY,
    "GET /v1/frames": ANYBODY,
    "POST /v1/frames": CONTRIBUTOR,
    "GET /v1/frames/{frame_id}": ANYBODY,
    "GET /v1/frames/{frame_id}/claims": ANYBODY,
    "POST /v1/frames/{frame_id}/edits": MAINTAINER,
    "GET /v1/frames/{frame_id}/explanations/{end}": ANYBODY,
    "GET /v1/frames/{frame_id}/history": ANYBODY,
    "POST /v1/lookups": ANYBODY,
    "GET /v1/makes": ANYBODY,
    "GET /v1/makes/{make}": ANYBODY,
    "GET /v1/makes/{make}/{model}/{year}": ANYBODY,
    "GET /v1/photos/{photo_hash}": ANYBODY,
    "GET /v1/hardware-sizes": ANYBODY,
    "GET /v1/releases": ANYBODY,
    "GET /v1/releases/{version}": ANYBODY,
    "GET /v1/releases/{version}/files/{name}": ANYBODY,
    "GET /v1/reviews": MAINTAINER,
    "GET /v1/rule": ANYBODY,
    "POST /v1/rule/limits": OPERATOR,
    "GET /v1/shocks": ANYBODY,
    "POST /v1/shocks": CONTRIBUTOR,
    "GET /v1/shocks/{shock_id}": ANYBODY,
    "GET /v1/shocks/{shock_id}/claims": ANYBODY,
    "POST /v1/shocks/{shock_id}/edits": MAINTAINER,
    "GET /v1/shocks/{shock_id}/history": ANYBODY,
    "POST /v1/reviews": MAINTAINER,
    "GET /v1/reviews/{review_id}": MAINTAINER,
    "POST /v1/reviews/{review_id}/decisions": MAINTAINER,
    "POST /v1/reviews/{review_id}/preview": MAINTAINER,
    "GET /v1/vocabulary": ANYBODY,
    "POST /v1/wanted-frames": ANYBODY,
    "GET /v1/wanted-frames": MAINTAINER,
}
"""The least that a caller must be, by operation."""
SAMPLES = {
    "frame_id": "f-zzzzzzzzzz", "claim_id": "c-zzzzzzzzzz", "decision_id": "d-zzzzzzzzzz", "review_id": "q-zzzzzzzzzz",
    "person_id": "p-zzzzzzzzzz",
}  # fmt: skip


def operations(app: Boltspan) -> dict[str, dict[str, Any]]:
    """Return every operation of the document by method and path."""
    return {
        f"{method.upper()} {path}": operation
        for path, methods in app.document["paths"].items()
        for method, operation in methods.items()
        if method in ("get", "post", "put", "patch", "delete")
    }


def test_every_operation_stands_in_the_matrix_and_nothing_else(site: Site) -> None:
    assert set(operations(site.app)) == set(MATRIX)


def test_the_document_names_the_permission_that_the_matrix_grants(site: Site) -> None:
    for name, operation in operations(site.app).items():
        scopes = [scope for entry in operation["security"] for scope in entry.get("bearer", ())]
        open_to = {"nobody"} if {} in operation["security"] else set()
        needed = scopes[0] if scopes else PUBLIC
        open_to |= {role for role, may in ROLES.items() if needed == PUBLIC or needed in may}
        assert open_to == WHO[MATRIX[name]], name


@pytest.mark.parametrize("handle", [None, *(h for h in PEOPLE if h not in ("ben", "max"))])
def test_the_server_does_as_the_matrix_says(site: Site, handle: str | None) -> None:
    """401 or 403 just where the matrix has it so; whatever is admitted gets as far as its body, key or name."""
    role = "nobody" if handle is None else PEOPLE[handle]
    for name in operations(site.app):
        method, path = name.split(" ", 1)
        asked = re.sub(r"\{(\w+)\}", lambda m: SAMPLES.get(m[1], "x"), path)
        sent = site.send(method, asked, None, who=handle, key=None)
        refused = sent.status_code in (401, 403)
        assert refused == (role not in WHO[MATRIX[name]]), f"{role}: {name} -> {sent.status_code}"
