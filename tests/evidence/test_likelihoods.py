"""What one claim says: chances of reports, sizes that are one, sizes in the wrong order, bolts in inches."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from boltspan.evidence import load_parameters, prepare_model, resolve
from boltspan.evidence.batch import Batch
from boltspan.evidence.intake import read_claims, read_ends
from tests.evidence.made_up import value_of
from tests.evidence.strategies import CATALOGUE

ENDS = [{"end_id": "e", "frame_id": "f"}]


def claim(number: int, source: str, **more: Any) -> dict[str, Any]:
    return {
        "claim_id": f"c{number}", "end_id": "e", "sequence": number, "source": source, "contributor": f"p{number}",
        "mount": "hardware", **more,
    }  # fmt: skip


def result_of(*claims: dict[str, Any], catalogue: list[dict[str, Any]] = CATALOGUE) -> dict[str, Any]:
    result: dict[str, Any] = resolve({"catalogue": catalogue, "ends": ENDS, "claims": list(claims)})["results"][0]
    return result


def chances(result: dict[str, Any]) -> dict[Any, float]:
    return {value_of(candidate): candidate["p"] for candidate in result["candidates"]}


def batch_of(*claims: dict[str, Any]) -> Batch:
    model, ends = prepare_model(CATALOGUE), read_ends(ENDS)
    return Batch.of(ends, read_claims(list(claims), ends, load_parameters()), model)


@pytest.mark.parametrize(("source", "grid_mm"), [("caliper", 0.01), ("ruler", 0.5)])
@pytest.mark.parametrize("feature", [{}, {"width_feature": "tab_gap"}, {"width_feature": "hardware_width"}])
def test_the_readings_of_a_width_add_up_to_one(source: str, grid_mm: float, feature: dict[str, str]) -> None:
    """A reading is on the tool's grid; what is not a slip or another thing read is near the width."""
    near_mm = np.arange(10.0, 34.0 + grid_mm / 2, grid_mm).round(2).tolist()
    batch = batch_of(*(claim(n, source, width_mm=[x], **feature) for n, x in enumerate(near_mm)))
    column = batch.model.catalogue.widths_mm.tolist().index(22.2)
    reading, slip = batch.model.parameters.reading, batch.model.parameters.sources[source].slip
    least = reading.wrong_width_share * (near_mm[-1] - near_mm[0]) / reading.wrong_width_range_mm
    right = 1 - reading.wrong_width_share - slip
    total = batch.factors.widths[:, column].sum()
    assert right + least - 1e-6 < total < right + least + slip + 1e-4


@pytest.mark.parametrize("source", ["caliper", "ruler"])
def test_the_readings_of_a_bolt_add_up_to_one(source: str) -> None:
    grid_mm = {"caliper": 0.01, "ruler": 0.5}[source]
    readings_mm = np.arange(0.0, 30.0 + grid_mm / 2, grid_mm).round(2).tolist()
    batch = batch_of(*(claim(n, source, bolt_mm=[x]) for n, x in enumerate(readings_mm)))
    assert batch.factors.bolts.sum(axis=0) == pytest.approx(np.ones(5), abs=2e-3)


def test_bolt_and_width_in_the_wrong_order_cost_nothing() -> None:
    right, wrong = (claim(1, "manual", bolt_mm=a, width_mm=b) for a, b in ((8, 22.2), (22.2, 8)))
    assert chances(result_of(wrong)) == chances(result_of(right))
    assert result_of(wrong)["marks"] == [{"claim_id": "c1", "code": "sizes_exchanged"}]
    assert "marks" not in result_of(right)
    measured = claim(1, "caliper", bolt_mm=[22.2, 22.2], width_mm=[7.9])
    assert result_of(measured)["marks"] == [{"claim_id": "c1", "code": "sizes_exchanged"}]


@pytest.mark.parametrize("bolt_mm", [6.35, 7.9375, 7.94, 9.525, 9.53])
def test_a_claim_of_an_inch_bolt_is_flagged_and_the_machine_does_not_settle(bolt_mm: float) -> None:
    sure = [claim(n, "caliper", bolt_mm=[7.97], width_mm=[22.2] * 3) for n in range(2, 7)]
    inch = claim(1, "spec_page", bolt_mm=bolt_mm, width_mm=22.2)
    with_inch = result_of(inch, *sure)
    assert result_of(*sure)["outcome"] == "accept"
    assert with_inch["outcome"] != "accept"
    assert with_inch["candidates"][0]["p"] > 0.999
    assert with_inch["marks"] == [{"claim_id": "c1", "code": "inch_bolt"}]


def test_half_an_inch_and_a_reading_near_an_inch_bolt_are_not_flagged() -> None:
    assert "marks" not in result_of(claim(1, "spec_page", bolt_mm=12.7, width_mm=22.2))
    assert "marks" not in result_of(claim(1, "caliper", bolt_mm=[7.94], width_mm=[22.2]))


def test_a_fitted_size_speaks_for_the_next_larger_too() -> None:
    p = chances(result_of(claim(1, "fitted", bolt_mm=8, width_mm=22.0)))
    page = chances(result_of(claim(1, "spec_page", bolt_mm=8, width_mm=22.0)))
    larger, itself, unlike = ("hardware", 8.0, 22.2), ("hardware", 8.0, 22.0), ("hardware", 8.0, 38.1)
    assert p[itself] > p[larger] > 5 * page[larger]
    assert p[larger] > 10 * p[unlike]
    downward = chances(result_of(claim(1, "fitted", bolt_mm=8, width_mm=22.2)))
    assert downward[larger] > 20 * downward[itself]


def test_widths_of_one_size_are_one_state() -> None:
    inch = [*CATALOGUE, {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.225, "count": 3}]
    widths = {value[2] for value in chances(result_of(catalogue=inch)) if len(value) == 3}
    assert 22.2 in widths
    assert not widths & {22.22, 22.23, 22.225}


def test_a_width_between_two_sizes_names_the_nearer() -> None:
    close = [*CATALOGUE, {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.26, "count": 110}]
    p = chances(result_of(claim(1, "spec_page", bolt_mm=8, width_mm=22.25), catalogue=close))
    assert p["hardware", 8.0, 22.26] > 50 * p["hardware", 8.0, 22.2]


def test_of_many_new_widths_the_most_claimed_are_looked_at() -> None:
    odd = [claim(n, "spec_page", bolt_mm=8, width_mm=x) for n, x in enumerate((24.0, 30.1, 40.2, 45.5, 50.5, 61.0))]
    more = [claim(10 + n, "manual", bolt_mm=8, width_mm=x) for n, x in enumerate((61.0, 61.0, 50.5))]
    kept = batch_of(*odd, *more).states.widths_mm[0, -5:].tolist()
    assert kept == [24.0, 30.1, 40.2, 50.5, 61.0]


def test_a_ruler_and_a_width_out_of_range_bring_no_new_width() -> None:
    claims = (claim(1, "ruler", width_mm=[47.5]), claim(2, "manual", width_mm=13.9), claim(3, "manual", width_mm=71.1))
    assert (batch_of(*claims).states.novel == 0).all()
    assert (batch_of(claim(1, "manual", width_mm=71.0)).states.novel > 0).sum() == 1


@pytest.mark.parametrize("readings", [[9999.0], [0.01], [0.0], [-3.0], [1e6]])
def test_absurd_readings_pass_and_are_not_believed(readings: list[float]) -> None:
    sure = [claim(n, "caliper", bolt_mm=[7.97], width_mm=[22.2] * 3) for n in range(2, 7)]
    absurd = claim(1, "caliper", bolt_mm=readings, width_mm=readings)
    assert value_of(result_of(absurd, *sure)["candidates"][0]) == ("hardware", 8.0, 22.2)


def test_readings_that_name_no_mount_may_be_of_bearings() -> None:
    """Two people who measure and say no more leave it open; one who says hardware, or a page, decides it."""
    measured = [
        claim(n, "caliper", bolt_mm=[8.06], width_mm=[22.2, 22.19], feature="sleeve_bore", mount_stated=False)
        for n in (1, 2)
    ]
    silent = result_of(*measured)
    named = result_of(*({**c, "mount_stated": True} for c in measured))
    assert chances(silent)["bearing",] > 0.02
    assert chances(named)["bearing",] < 0.001
    assert silent["outcome"] != "accept"
    assert named["outcome"] == "accept"
    with_page = result_of(*measured, claim(3, "spec_page", bolt_mm=8, width_mm=22.2))
    assert with_page["outcome"] == "accept"
