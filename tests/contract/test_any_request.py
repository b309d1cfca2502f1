"""Whatever a request holds, the answer is one that the document states, and never a failure inside.

Schemathesis makes the requests from the document: its examples, its borders, fuzzed ones that fit it and that do not,
and chains of them. All of its checks are on.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test
from schemathesis.config import SchemathesisConfig

from tests.contract.test_document import operations, whole, without_database
from tests.http.world import F1, F2, OTHER, Site

REFUSED_BY_MEANING: dict[str, list[int]] = {
    "preview_decision": [422],
    "make_fit_sheets": [422],  # impossible pairs, and names of what is not there
    "list_changes": [422],  # an event that is not yet
    "list_frames": [422],  # a cursor beside a name
    "list_shocks": [422],
    "leave": [422],  # somebody else's id
    "add_photo": [415, 422],  # bytes that are no photo
    "work_out_stacks": [422],
    "work_out_readings": [422],
    "work_out_bore_fits": [422],
    "work_out_offset_sleeves": [422],
}
"""Operations that refuse some of what their schema accepts, since a schema cannot say it, and with which status."""
BY_PARAMETER = {"cursor": 400, "Idempotency-Key": 422}
"""What an operation with such a parameter may answer: a cursor of somebody else's making, a key used before."""
ACCEPTED = ["2xx", 304, 308, 401, 403, 404, 409, 410, 412, 413, 429]
NEGATIVE = [400, 401, 403, 404, 405, 406, 409, 413, 415, 422, 428, 429]
"""How a request that does not fit the document may be refused: one that is too large before anything is read in it."""


def refusals(document: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield for each operation what it may answer to a request that fits the document."""
    for _path, _method, operation in operations(document):
        name = operation["operationId"]
        named = {whole(document, parameter)["name"] for parameter in operation.get("parameters", ())}
        more = [status for parameter, status in BY_PARAMETER.items() if parameter in named]
        expected = sorted({*more, *REFUSED_BY_MEANING.get(name, ())})
        check = {"positive_data_acceptance": {"expected-statuses": [*ACCEPTED, *expected]}}
        yield {"include-operation-id": name, "checks": check}


CONFIG = SchemathesisConfig.from_dict({
    "seed": 1,
    "checks": {
        "negative_data_rejection": {"expected-statuses": [*NEGATIVE, "5xx"]},
        "missing_required_header": {"expected-statuses": [400, 401, 403, 406, 415, 422, 428]},
    },
    "operations": list(refusals(without_database().test_client().get("/openapi.json").json)),
})  # fmt: skip
FEWER = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large, HealthCheck.large_base_example,
         HealthCheck.function_scoped_fixture]  # fmt: skip


class Reached:
    """Puts ids, ETags and claims that are there into most requests, so that they get past "there is no such thing"."""

    def __init__(self, site: Site) -> None:
        self.site, self.random = site, random.Random(1)
        self.claim = site.claim("ann").json["claim"]["id"]
        self.own = site.claim("ops", subject="lower").json["claim"]["id"]
        case, tag = site.case("lower")
        hold = {"ruling": "withhold", "why": "asking the maker"}
        decided = site.post(f"/v1/reviews/{case}/decisions", hold, who="mia", match=tag)
        self.decision, self.decided = decided.json["decision"]["id"], case

    def __call__(self, case: Any) -> None:
        """Change a request that fits the document; leave the others, and some of these, as they are."""
        if not case.meta or not case.meta.generation.mode.is_positive or self.random.random() < 0.2:
            return
        names = case.path_parameters or {}
        real = {"frame_id": self.random.choice((F1, F2, OTHER)), "make": "tarnvale", "model": "skerry", "year": 2021}
        real |= {"claim_id": self.own, "decision_id": self.decision}
        names.update({name: value for name, value in real.items() if name in names})
        if isinstance(case.body, dict) and {"frame", "subject"} <= set(case.body):
            case.body |= {"frame": F1, "subject": self.random.choice(("upper", "lower", "shock_size"))}
        if "review_id" in names:
            self.review(case, names)
        if "If-Match" in (case.headers or {}):
            if "decision_id" in names:
                case.headers["If-Match"] = self.tag(f"/v1/reviews/{self.decided}")
            elif "frame_id" in names:
                case.headers["If-Match"] = self.tag(f"/v1/frames/{names['frame_id']}")

    def review(self, case: Any, names: dict[str, Any]) -> None:
        """Point a request at the case of a claim, and its decision at that claim."""
        names["review_id"], tag = self.site.case("upper")
        if "If-Match" in (case.headers or {}):
            case.headers["If-Match"] = tag
        if isinstance(case.body, dict):
            case.body |= {k: [self.claim] for k in ("rests_on", "refuses") if k in case.body}
            case.body.pop("overrules", None)
            if "value" in case.body:
                case.body["value"] = {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2}

    def tag(self, path: str) -> str:
        """Return the ETag of what is there."""
        return str(self.site.get(path, who="ops").headers.get("ETag", '"x"'))


schema = schemathesis.openapi.from_wsgi("/openapi.json", without_database(), config=CONFIG)
"""Made without a database, since the document is the same; the requests go to an application that has one."""


@schema.auth()
class Token:
    """The token of the site that is asked."""

    text = ""

    def get(self, case: Any, context: Any) -> str:
        """Return the token."""
        del case, context
        return Token.text

    def set(self, case: Any, data: str, context: Any) -> None:
        """Put it where it belongs."""
        del context
        case.headers = {**(case.headers or {}), "Authorization": f"Bearer {data}"}


@pytest.fixture
def reached(site: Site, monkeypatch: pytest.MonkeyPatch) -> Reached:
    """Return what makes requests meet something."""
    monkeypatch.setattr(Token, "text", site.tokens["ops"])
    return Reached(site)


SOME = settings(max_examples=12, deadline=None, suppress_health_check=FEWER, derandomize=True, database=None)
BENCH = without_database()


@schema.include(tag="bench").parametrize()
@SOME
def test_the_bench_answers_as_documented(case: Any) -> None:
    case.call_and_validate(app=BENCH)


@schema.exclude(tag="bench").parametrize()
@SOME
def test_every_operation_answers_as_documented(case: Any, site: Site, reached: Reached) -> None:
    reached(case)
    case.call_and_validate(app=site.app)


def test_chains_of_requests_answer_as_documented(site: Site, reached: Reached) -> None:
    class Chain(schema.as_state_machine()):  # type: ignore[misc]
        def before_call(self, case: Any) -> None:
            reached(case)

        def get_call_kwargs(self, case: Any) -> dict[str, Any]:
            return {**super().get_call_kwargs(case), "app": site.app}

    few = settings(
        max_examples=15,
        stateful_step_count=8,
        deadline=None,
        suppress_health_check=FEWER,
        derandomize=True,
        database=None,
    )
    run_state_machine_as_test(Chain, settings=few)
    assert not [line for line in site.lines if line.get("status", 0) >= 500]
