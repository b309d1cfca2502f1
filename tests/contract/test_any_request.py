"""Whatever a request holds, the answer is one that the document states, and never a failure inside.

Schemathesis makes the requests from the document: its examples, its borders, fuzzed ones that fit it and that do not,
and chains of them. All of its checks are on.
"""

from __future__ import annotations

import random
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test
from schemathesis.config import SchemathesisConfig

from tests.contract.test_document import without_database
from tests.http.world import F1, F2, OTHER, Site

REFUSED_BY_MEANING: dict[str, list[int]] = {
    "submit_claim": [422],
    "propose": [422],
    "open_review": [422],
    "decide": [422],
    "edit": [422],
    "withdraw_claim": [422],
    "reverse_decision": [422],
    "bring_chart": [422],
    "make_fit_sheets": [422],  # impossible pairs, and names of what is not there
    "list_changes": [422],  # an event that is not yet
    "list_frames": [400, 422],  # a cursor of somebody else's making, or one beside a name
    "list_reviews": [400],
    "list_own_claims": [400],
    "sign_up": [422],  # a handle that is taken or kept from everybody, or a key that is no UUID
    "issue_own_token": [422],  # a scope that the acting token lacks
    "leave": [422],  # somebody else's id
    "add_photo": [415, 422],  # bytes that are no photo
    "work_out_stacks": [422],
    "work_out_readings": [422],
    "work_out_bore_fits": [422],
    "work_out_offset_sleeves": [422],
}
"""Operations that refuse some of what their schema accepts, since a schema cannot say it, and with which status."""
ACCEPTED = ["2xx", 304, 308, 401, 403, 404, 409, 410, 412, 413, 429]
CONFIG = SchemathesisConfig.from_dict({
    "seed": 1,
    "checks": {
        "positive_data_acceptance": {"expected-statuses": ACCEPTED},
        "missing_required_header": {"expected-statuses": [400, 401, 403, 406, 415, 422, 428]},
    },
    "operations": [
        {
            "include-operation-id": name,
            "checks": {"positive_data_acceptance": {"expected-statuses": [*ACCEPTED, *more]}},
        }
        for name, more in REFUSED_BY_MEANING.items()
    ],
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
        if "If-Match" in (case.headers or {}) and not case.path.startswith("/v1/reviews"):
            path = f"/v1/reviews/{self.decided}" if "decision_id" in names else f"/v1/frames/{names['frame_id']}"
            case.headers["If-Match"] = self.tag(path)

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
