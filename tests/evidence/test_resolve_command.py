"""`boltspan resolve`: a document in, results out, and a refusal that names the claim."""

from __future__ import annotations

import io
import json

import pytest

from boltspan.cli.resolve import run
from boltspan.evidence import resolve
from tests.evidence.made_up import World
from tests.evidence.test_likelihoods import claim

DOCUMENT = World(ends=12, seed=3).document


def command(text: str) -> tuple[int, str, str]:
    stdout, stderr = io.StringIO(), io.StringIO()
    status = run(io.StringIO(text), stdout, stderr)
    return status, stdout.getvalue(), stderr.getvalue()


def test_the_answer_is_that_of_the_library() -> None:
    status, out, err = command(json.dumps(DOCUMENT))
    assert (status, err) == (0, "")
    assert json.loads(out) == resolve(DOCUMENT)
    assert out.endswith("}\n")


def test_the_shape_of_a_result() -> None:
    answer = json.loads(command(json.dumps(DOCUMENT))[1])
    assert set(answer) == {"model_version", "results"}
    for result in answer["results"]:
        assert result.keys() >= {
            "end_id", "outcome", "candidates", "prior_log10_odds", "other_end_log10_odds", "weights",
            "split_probability",
        }  # fmt: skip
        assert result["outcome"] in {"accept", "conflict", "insufficient"}
        for candidate in result["candidates"]:
            sizes = {"bolt_mm", "width_mm"} if candidate["mount"] == "hardware" else set()
            assert candidate.keys() == {"mount", "p"} | sizes
        assert all(weight.keys() == {"claim_id", "log10_odds"} for weight in result["weights"])


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (json.dumps(claim(7, "caliper") | {"end_id": "nowhere"}), "claim 'c7': end_id is 'nowhere'"),
        (json.dumps(claim(7, "rumour")), "claim 'c7': source is 'rumour'"),
        (json.dumps(claim(7, "spec_page", width_mm=9)).replace(": 9", ": 1e400"), "claim 'c7': width_mm is inf"),
        (json.dumps({"claim_id": "c7"}), "claim 'c7': end_id is missing"),
        (json.dumps(claim(7, "spec_page", width_mm=9)).replace(": 9", ": NaN"), "NaN is not a number"),
        ("{", "not JSON"),
        ("[" * 100_000, "not JSON"),
        ("1" * 5_000, "not JSON"),
    ],
)
def test_bad_input_is_refused_with_status_2_and_no_output(row: str, words: str) -> None:
    text = f'{{"catalogue": [], "ends": [{{"end_id": "e", "frame_id": "f"}}], "claims": [{row}]}}'
    status, out, err = command(text)
    assert status == 2
    assert out == ""
    assert err.startswith("boltspan resolve: ")
    assert words in err
    assert err.count("\n") == 1


def test_a_document_that_is_no_object_is_refused() -> None:
    assert command("[]")[0] == 2
    assert "object" in command("[]")[2]
