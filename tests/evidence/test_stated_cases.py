"""Sets of claims with a stated outcome, resolved as one batch, and one claim worked out by hand.

The printed digits were worked out once from the rules of the model, apart from this code.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from boltspan.evidence import load_parameters, prepare_model, resolve
from boltspan.evidence.batch import Batch
from boltspan.evidence.intake import read_claims, read_ends
from boltspan.evidence.posterior import weigh
from tests.evidence.made_up import value_of

STATED = json.loads(Path(__file__).with_name("stated_cases.json").read_text("utf-8"))
CASES = STATED["cases"]
NAMES = [case["name"] for case in CASES]


@pytest.fixture(scope="module")
def results() -> list[dict[str, Any]]:
    ends = [{"end_id": f"end {n}", "frame_id": f"frame {n}"} for n in range(len(CASES))]
    claims = [claim | {"end_id": f"end {n}"} for n, case in enumerate(CASES) for claim in case["claims"]]
    answer = resolve({"catalogue": STATED["catalogue"], "ends": ends, "claims": claims})
    found: list[dict[str, Any]] = answer["results"]
    return found


@pytest.mark.parametrize("number", range(len(CASES)), ids=NAMES)
def test_what_is_stated_holds(results: list[dict[str, Any]], number: int) -> None:
    case, result = CASES[number], results[number]
    if "first" in case:
        assert value_of(result["candidates"][0]) == tuple(case["first"])
    assert result["outcome"] in case["outcomes"]


PRINTED = [number for number, case in enumerate(CASES) if "printed" in case]


@pytest.mark.parametrize("number", PRINTED, ids=[NAMES[number] for number in PRINTED])
def test_printed_digits(results: list[dict[str, Any]], number: int) -> None:
    printed, result = CASES[number]["printed"], results[number]
    assert result["outcome"] == printed["outcome"]
    assert [round(candidate["p"], 6) for candidate in result["candidates"][:2]] == printed["p"]
    assert round(result["prior_log10_odds"], 4) == printed["prior_log10_odds"]
    assert [round(weight["log10_odds"], 4) for weight in result["weights"]] == printed["weights"]
    assert math.isclose(result["other_end_log10_odds"], 0.0, abs_tol=1e-12)


CLAIM = {
    "claim_id": "c1", "end_id": "e", "source": "maker_reply", "contributor": "maker", "sequence": 1,
    "mount": "hardware", "bolt_mm": 10, "width_mm": 28,
}  # fmt: skip
ENDS = [{"end_id": "e", "frame_id": "f"}]
# state: prior, L, p
BY_HAND = {
    ("hardware", 10.0, 28.0): (0.039041, 0.942044, 0.976978),
    ("trunnion",): (0.164252, 0.000869852, 0.003795),
    ("hardware", 8.0, 28.0): (0.040635, 0.00312989, 0.003379),
    ("hardware", 8.0, 22.2): (0.124966, 0.000752900, 0.002499),
}


def test_one_reply_of_a_maker_by_hand() -> None:
    result = resolve({"catalogue": STATED["catalogue"], "ends": ENDS, "claims": [CLAIM]})["results"][0]
    assert {value_of(c): round(c["p"], 6) for c in result["candidates"][:4]} == {s: n[2] for s, n in BY_HAND.items()}
    assert round(1 - math.fsum(candidate["p"] for candidate in result["candidates"]), 6) == pytest.approx(
        0.000579, abs=6e-6
    )
    assert result["outcome"] == "insufficient"


def test_prior_and_likelihood_of_that_reply_by_hand() -> None:
    model, ends = prepare_model(STATED["catalogue"]), read_ends(ENDS)
    batch = Batch.of(ends, read_claims([CLAIM], ends, load_parameters()), model)
    weighed = weigh(batch, batch.blocks[0], np.array([0.02]))
    likelihood = weighed.ratios[0] * 0.02 * batch.background[0]
    layout, widths = model.layout, model.catalogue.widths_mm.tolist()
    for state, (prior, expected, _) in BY_HAND.items():
        column = layout.bare[3]
        if len(state) == 3:
            bolt, width = model.bolts_mm.tolist().index(state[1]), widths.index(state[2])
            column = layout.cells.start + bolt * layout.widths + width
        assert math.exp(weighed.log_prior[0, column]) == pytest.approx(prior, abs=5e-7)
        assert likelihood[column] == pytest.approx(expected, rel=2e-6)
