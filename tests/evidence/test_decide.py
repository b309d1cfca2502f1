"""Outcomes at their limits, the chance of a running change, and what one more measurement is worth."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from boltspan.evidence import load_parameters, resolve
from boltspan.evidence.decide import measurement_value
from boltspan.evidence.parameters import Parameters, read_parameters
from tests.evidence.strategies import CATALOGUE
from tests.evidence.test_likelihoods import claim, result_of
from tests.evidence.test_parameters import changed


def worth(*p: float, parameters: Parameters | None = None) -> float:
    return float(measurement_value(np.array([p]), parameters or load_parameters())[0])


def test_one_witness_decides_nothing_whatever_the_parameters_say() -> None:
    lax = read_parameters(changed("accept = { value = 0.995,", "accept = { value = 0.2,"))
    ends = [{"end_id": "e", "frame_id": "f"}]

    def outcome(*claims: dict[str, Any]) -> str:
        found: str = resolve({"catalogue": CATALOGUE, "ends": ends, "claims": list(claims)}, lax)["results"][0][
            "outcome"
        ]
        return found

    one = claim(1, "maker_reply", bolt_mm=8, width_mm=22.2, document_id="d")
    again = claim(2, "spec_page", bolt_mm=8, width_mm=22.2, document_id="d")
    other = claim(3, "spec_page", bolt_mm=8, width_mm=22.2, document_id="other")
    assert outcome(one) == outcome(one, again) == "insufficient"
    assert outcome(one, other) == "accept"
    twice = [claim(n, "caliper", contributor="p", bolt_mm=[7.97], width_mm=[22.2]) for n in (1, 2)]
    assert outcome(*twice) == "insufficient"


def test_an_unlisted_size_is_never_accepted_nor_written() -> None:
    odd = [claim(n, "ruler", bolt_mm=[8.0], width_mm=[47.5]) for n in range(6)]
    result = result_of(*odd)
    assert sum(candidate["p"] for candidate in result["candidates"]) < 0.1
    assert result["outcome"] != "accept"


def test_two_values_with_support_are_a_running_change_and_not_accepted() -> None:
    first = [claim(n, "caliper", bolt_mm=[7.97], width_mm=[22.2] * 3) for n in range(3)]
    second = [claim(n, "caliper", bolt_mm=[7.97], width_mm=[38.1] * 3) for n in range(3, 6)]
    alone, both = result_of(*first), result_of(*first, *second)
    assert alone["outcome"] == "accept"
    assert alone["split_probability"] < 1e-3
    assert both["split_probability"] > 0.3
    assert both["outcome"] == "conflict"


def test_candidates_of_one_probability_stand_by_mount_bolt_and_width() -> None:
    rows = [{"mount": "hardware", "bolt_mm": 8.0, "width_mm": w, "count": 5} for w in (40.0, 21.0, 30.0)]
    written = [
        (c["mount"], c.get("width_mm")) for c in result_of(catalogue=rows)["candidates"] if c.get("bolt_mm") == 8
    ]
    assert [width for _, width in written] == [21.0, 30.0, 40.0]
    page = claim(1, "spec_page", bolt_mm=8.0, width_mm=25.5)
    novel = [c["width_mm"] for c in result_of(page, catalogue=[])["candidates"] if "width_mm" in c]
    assert novel == [25.5] * len(novel)
    assert [c["mount"] for c in result_of(catalogue=[])["candidates"]][:2] == ["open_eyelet", "trunnion"]


def test_a_second_candidate_too_unlikely_to_be_listed_is_still_compared() -> None:
    result = result_of(*(claim(n, "caliper", bolt_mm=[7.97], width_mm=[38.1] * 3) for n in range(8)))
    assert len(result["candidates"]) == 1
    assert result["compared"][0] == result["candidates"][0]
    assert 0 < result["compared"][1]["p"] < 1e-6


def test_support_beyond_the_range_of_a_float_still_has_a_written_answer() -> None:
    result = result_of(*(claim(n, "caliper", bolt_mm=[7.97], width_mm=[38.1]) for n in range(400)))
    assert result["outcome"] == "accept"
    assert result["candidates"][0]["p"] == 1.0
    assert result["other_end_log10_odds"] == pytest.approx(0.0, abs=1e-9)


def test_value_of_a_measurement_between_two_values_by_hand() -> None:
    """Two values of .9 and .1. By default a measurement is right with .94, and names any other value with .003.

    It says the first with .9 * .94 + .1 * .003 = .8463 and the second with .0967, else nothing of use (.057).
    After the first the chance of being wrong is .0003 / .8463, so the loss is 200 times that, .0709; after the second
    it is .0027 / .0967, and a review is cheaper: 1. Deciding now costs a review: 1.
    """
    expected = 1 - (0.0003 * 200 + 0.0967 + 0.057) - 0.15
    assert worth(0.9, 0.1) == pytest.approx(expected, abs=1e-12)


def test_asking_pays_when_one_measurement_would_settle_it_and_only_then() -> None:
    assert worth(0.9, 0.1) > 0
    assert worth(0.35, 0.33, 0.32) < 0
    assert worth(0.9999, 0.0001) < 0
    assert worth(1.0, 0.0) == pytest.approx(-0.15 - 0.06 * (1 - 1 / 20), abs=1e-12)


def test_only_the_likeliest_values_are_looked_at() -> None:
    six = (0.4, 0.2, 0.1, 0.1, 0.05, 0.05)
    assert worth(*six, 0.04, 0.03) == worth(*six)
    assert worth(0.7) == pytest.approx(worth(0.7, 0.0), abs=0.01)


def test_results_carry_it() -> None:
    result = result_of(claim(1, "spec_page", bolt_mm=8, width_mm=22.2))
    p = [candidate["p"] for candidate in result["candidates"]]
    assert result["measurement_value"] == pytest.approx(worth(*p), abs=1e-12)
