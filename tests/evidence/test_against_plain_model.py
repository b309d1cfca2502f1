"""The arrays say what the rules say: every result against the model written out plainly."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boltspan.evidence import load_parameters, resolve
from tests.evidence.made_up import World, value_of
from tests.evidence.plain_model import PlainModel
from tests.evidence.strategies import batches

CLOSE = 1e-9


def assert_agrees(document: dict[str, Any]) -> None:
    parameters = load_parameters()
    plain = PlainModel(document, parameters)
    for result in resolve(document)["results"]:
        expected = plain.results[result["end_id"]]
        written = {value_of(candidate): candidate["p"] for candidate in result["candidates"]}
        assert written == pytest.approx({state: expected["p"][state] for state in written}, abs=CLOSE)
        left_out = [p for state, p in expected["p"].items() if state not in written and state != ("unlisted",)]
        assert max(left_out, default=0.0) < parameters.decision.listed * (1 + CLOSE)
        assert result["outcome"] == expected["outcome"]
        assert result["witnesses"] == expected["witnesses"]
        assert result["split_probability"] == pytest.approx(expected["split_probability"], abs=CLOSE)
        compared = (result["candidates"] if len(written) > 1 else result["compared"])[:2]
        if [value_of(candidate) for candidate in compared] == [expected["first"], expected["second"]]:
            assert result["prior_log10_odds"] == pytest.approx(expected["prior_log10_odds"], abs=CLOSE)
            weights = {weight["claim_id"]: weight["log10_odds"] for weight in result["weights"]}
            assert weights == pytest.approx(expected["weights"], abs=CLOSE)
        else:  # only candidates of one probability may change places
            p = expected["p"]
            assert [p[value_of(candidate)] for candidate in compared] == pytest.approx(
                [p[expected["first"]], p[expected["second"]]], rel=CLOSE
            )


@settings(max_examples=40, deadline=None, derandomize=True)
@given(batches())
def test_small_batches(document: dict[str, Any]) -> None:
    assert_agrees(document)


@settings(max_examples=2, deadline=None, derandomize=True)
@given(st.integers(0, 99))
def test_a_world_in_which_calipers_earn_an_offset(seed: int) -> None:
    assert_agrees(World(ends=24, seed=seed).document)
