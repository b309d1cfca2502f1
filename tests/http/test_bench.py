"""The bench over HTTP: the shared vectors, every label, and requests outside the stated form."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from boltspan.domain import jsontext
from boltspan.http.app import create_app
from boltspan.http.schemas.bench_examples import EXAMPLES, LABEL
from boltspan.http.settings import HttpSettings
from tests.domain.bench_vectors import VECTORS, compare
from tests.services.conftest import StandingClock

TESTS = jsontext.loads(VECTORS.read_bytes())["tests"]
LABELS = json.loads(VECTORS.with_name("labels.json").read_text("utf-8"))["tests"]


class NoStorage:
    """A storage that must not be touched: the bench has no state."""

    def reading(self) -> Any:
        """Fail."""
        raise AssertionError("the bench read the database")

    def writing(self) -> Any:
        """Fail."""
        raise AssertionError("the bench wrote to the database")

    def ready(self) -> list[str]:
        """Say so."""
        return ["no database"]


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    """Return a client of an application without a database."""
    settings = HttpSettings(rate_limits=False, log=lambda _: None)
    return create_app(NoStorage(), StandingClock(), settings).test_client()


@pytest.mark.parametrize("vector", TESTS, ids=[v["id"] for v in TESTS])
def test_every_vector(client: FlaskClient, vector: dict[str, Any]) -> None:
    body = jsontext.dumps(vector["request"])
    sent = client.post(vector["endpoint"], data=body, content_type="application/json")
    assert sent.status_code == vector.get("status", 200), sent.text
    if sent.status_code == 422:
        assert sent.json["code"]
        return
    for name, expected in vector["response_has"].items():
        compare(sent.json[name], expected, float(vector["tolerance"]), name)
    assert not set(vector.get("response_lacks", ())) & set(sent.json)


NUMBERS = ("bolt_mm", "width_mm", "eyelet_bore_mm")


def part_passes(got: dict[str, Any], expected: dict[str, Any]) -> bool:
    """Return whether a part says what is expected of it and no other number."""
    words = all(got.get(k) == v for k, v in expected.items() if k not in NUMBERS)
    return words and all(
        (k in got) == (k in expected) and abs(got.get(k, 0) - expected.get(k, 0)) <= 0.0005 for k in NUMBERS
    )


def label_passes(got: dict[str, Any], expected: dict[str, Any]) -> bool:
    """Return whether a reading is what the label file expects, by the rules in its note."""
    if got["status"] != expected["status"]:
        return False
    if got["status"] == "refused":
        return got["reason"] in (expected["reason"], *expected.get("also_accept", ()))
    rest = list(got["parts"])
    for part in expected["parts"]:
        match = next((g for g in rest if part_passes(g, part)), None)
        if match is None:
            return False
        rest.remove(match)
    return not rest and set(expected.get("warnings_include", ())) <= set(got["warnings"])


def test_every_label_one_by_one_and_all_at_once(client: FlaskClient) -> None:
    texts = [case["text"] for case in LABELS]
    results = client.post("/v1/bench/labels", json={"texts": texts}).json["results"]
    singles = [client.post("/v1/bench/labels", json={"text": text}).json for text in texts]
    assert results == singles
    wrong = [c["id"] for c, got in zip(LABELS, results, strict=True) if not label_passes(got, c["expect"])]
    assert not wrong
    assert len(LABELS) == 80


@pytest.mark.parametrize("text", [5, None, True, [], {}, "", "x" * 201, "x" * 5000])
def test_whatever_is_no_label_is_answered_as_refused(client: FlaskClient, text: Any) -> None:
    sent = client.post("/v1/bench/labels", json={"text": text})
    assert (sent.status_code, sent.json["status"]) == (200, "refused")
    if not isinstance(text, str):
        assert sent.json["reason"] == "not_a_string"


@pytest.mark.parametrize("body", [{}, {"text": "x", "texts": []}, {"texts": "x"}, {"texts": ["x"] * 1001}, {"x": 1}])
def test_labels_have_one_of_two_forms(client: FlaskClient, body: Any) -> None:
    sent = client.post("/v1/bench/labels", json=body)
    assert (sent.status_code, sent.json["code"]) == (422, "invalid")


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_documents_examples_are_what_the_bench_answers(client: FlaskClient, name: str) -> None:
    asked, answered = EXAMPLES[name]
    assert client.post(f"/v1/bench/{name}", json=asked).json == answered


def test_the_documents_label_is_read_so(client: FlaskClient) -> None:
    assert client.post("/v1/bench/labels", json={"text": "30 x M8"}).json == LABEL


def wrong_requests() -> Iterator[Any]:
    """Yield, for each question, one with every needed field left out, unknown, of no type, and out of range."""
    for name, (asked, _) in EXAMPLES.items():
        for field in asked:
            yield pytest.param(name, {**asked, field: None}, id=f"{name}-{field}-null")
            if isinstance(asked[field], int | float):
                for value in (-1, "5", True, 1e9):
                    yield pytest.param(name, {**asked, field: value}, id=f"{name}-{field}-{value}")
            if isinstance(asked[field], list):
                for value in ([-1], ["x"], asked[field] * 1001, {}):
                    yield pytest.param(name, {**asked, field: value}, id=f"{name}-{field}-{str(value)[:9]}")
        yield pytest.param(name, {**asked, "colour": "red"}, id=f"{name}-unknown")


@pytest.mark.parametrize(("name", "body"), list(wrong_requests()))
def test_what_is_outside_the_form_is_refused_with_a_code(client: FlaskClient, name: str, body: Any) -> None:
    sent = client.post(f"/v1/bench/{name}", json=body)
    assert sent.status_code == 422, sent.text
    assert sent.content_type == "application/problem+json"
    assert sent.json["code"]
    assert sent.json["errors"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"width_mm": 12}, "width_below_eyelet"),
        ({"width_mm": 12.7}, "width_equals_eyelet_no_spacer"),
        ({"eyelet_shift_right_mm": 9}, "shift_exceeds_spacer"),
    ],
)
def test_builds_that_cannot_be_are_refused_by_name(client: FlaskClient, change: dict[str, Any], code: str) -> None:
    sent = client.post("/v1/bench/stacks", json=EXAMPLES["stacks"][0] | change)
    assert (sent.status_code, sent.json["code"]) == (422, code)
    assert sent.json["errors"][0]["pointer"].startswith("/")


@pytest.mark.parametrize(
    ("name", "change", "code", "pointer"),
    [
        ("shock-swaps", {"new_shock": {"stroke_mm": 210}}, "stroke_longer_than_shock", "/new_shock/stroke_mm"),
        ("shock-swaps", {"frame": {"eye_to_eye_mm": 55}}, "stroke_longer_than_shock", "/frame/stroke_mm"),
        ("press-tools", {"part_outer_mm": 12.7}, "outer_under_inner", "/part_outer_mm"),
        ("press-tools", {"part_outer_mm": 12}, "outer_under_inner", "/part_outer_mm"),
    ],
)
def test_pairs_that_cannot_be_are_refused_by_name(
    client: FlaskClient, name: str, change: dict[str, Any], code: str, pointer: str
) -> None:
    """The examples: a shock of 210 x 55 into a frame for one, and a bushing of 12.7 inside."""
    asked = dict(EXAMPLES[name][0])
    for field, value in change.items():
        asked[field] = asked[field] | value if isinstance(value, dict) else value
    sent = client.post(f"/v1/bench/{name}", json=asked)
    assert (sent.status_code, sent.json["code"], sent.json["errors"][0]["pointer"]) == (422, code, pointer)


def test_every_word_the_bench_answers_with_is_in_the_vocabulary(client: FlaskClient) -> None:
    """As the published cases come out, and as the API's own document has them."""
    texts = client.get("/v1/vocabulary").json
    kinds = {"fits": "stack_fits", "how": "size_choices", "verdict": "bore_verdicts", "action": "swap_actions",
             "reasons": "swap_reasons"}  # fmt: skip
    found = set()
    for vector in TESTS:
        answer = client.post(vector["endpoint"], data=jsontext.dumps(vector["request"]),
                             content_type="application/json").json  # fmt: skip
        for name in kinds.keys() & answer.keys():
            said = answer[name] if isinstance(answer[name], list) else [answer[name]]
            assert set(said) <= set(texts[kinds[name]]), (vector["id"], name)
            found.add(name)
    assert found == set(kinds)
    assert {"width_below_eyelet", "shift_exceeds_spacer", "outer_under_inner"} <= set(texts["bench_refusals"])


@pytest.mark.parametrize("wheelbase", ["5e-324", "1e-399", "1e-12"])
def test_a_wheelbase_that_is_none_is_refused(client: FlaskClient, wheelbase: str) -> None:
    body = json.dumps(EXAMPLES["offset-sleeves"][0]).replace("1200", wheelbase)
    sent = client.post("/v1/bench/offset-sleeves", data=body, content_type="application/json")
    assert (sent.status_code, sent.json["errors"][0]["pointer"]) == (422, "/wheelbase_mm")


def test_numbers_that_are_not_json_are_broken(client: FlaskClient) -> None:
    for text in ('{"need_mm": NaN}', '{"need_mm": 1e999}', "{"):
        sent = client.post("/v1/bench/size-choices", data=text, content_type="application/json")
        assert sent.status_code == 400


def test_a_storefronts_float_is_a_fine_length(client: FlaskClient) -> None:
    body = b'{"need_mm": 22.099999999999998, "need_is": "nominal", "stock_mm": [22.099999999999998, 21.8]}'
    sent = client.post("/v1/bench/size-choices", data=body, content_type="application/json")
    assert (sent.status_code, sent.json["how"]) == (200, "same_size")
    assert b"22.099999999999998" in sent.data


def test_probabilities_so_small_that_only_floats_hold_them_are_sent_plainly(client: FlaskClient) -> None:
    asked = EXAMPLES["readings"][0] | {"readings_mm": [8.06] * 9}
    sent = client.post("/v1/bench/readings", json=asked)
    assert sent.status_code == 200
    assert all(0 <= entry["p"] <= 1 for entry in sent.json["probabilities"])
    assert len(sent.data) < 2000
