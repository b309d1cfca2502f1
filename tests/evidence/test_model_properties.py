"""What must hold for any claims at all."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from boltspan.evidence import Snapshot, load_parameters, prepare_model, resolve, resolve_frame
from boltspan.evidence.batch import Batch
from boltspan.evidence.intake import read_claims, read_ends
from boltspan.evidence.pairs import couple_ends
from boltspan.evidence.posterior import weigh
from tests.evidence.made_up import value_of
from tests.evidence.strategies import CATALOGUE, KNOWN_WIDTHS, batches, known_widths

SEEN = settings(max_examples=60, deadline=None, derandomize=True)
MODEL = prepare_model(CATALOGUE)
PARAMETERS = load_parameters()
HELD = Snapshot("held", PARAMETERS.model_version, {"caliper": 0.1}, offsets_mm={"p1": 0.04})
TINY = 1e-12


def chances(result: dict[str, Any]) -> dict[Any, float]:
    return {value_of(candidate): candidate["p"] for candidate in result["candidates"]}


def assert_same(one: dict[str, Any], other: dict[str, Any], close: float = TINY) -> None:
    p, q = chances(one), chances(other)
    listed = PARAMETERS.decision.listed * (1 + 1e-6)
    assert {state for state in p if p[state] > listed} <= q.keys()
    assert {state for state in q if q[state] > listed} <= p.keys()
    assert [p[state] for state in p if state in q] == pytest.approx([q[state] for state in p if state in q], abs=close)
    assert one["outcome"] == other["outcome"]
    assert one["split_probability"] == pytest.approx(other["split_probability"], abs=close)


@SEEN
@given(batches())
def test_probabilities_add_up_to_at_most_one_and_descend(document: dict[str, Any]) -> None:
    for result in resolve(document)["results"]:
        p = [candidate["p"] for candidate in result["candidates"]]
        assert math.fsum(p) <= 1 + 1e-9
        assert p == sorted(p, reverse=True)
        assert all(x >= PARAMETERS.decision.listed for x in p)


@SEEN
@given(batches())
def test_explanations_add_up(document: dict[str, Any]) -> None:
    own = Counter(claim["end_id"] for claim in document["claims"])
    frames = Counter(end["frame_id"] for end in document["ends"])
    for end, result in zip(document["ends"], resolve(document)["results"], strict=True):
        first, second = (result["compared"] if "compared" in result else result["candidates"])[:2]
        parts = [weight["log10_odds"] for weight in result["weights"]]
        assert len(parts) == own[end["end_id"]]
        total = math.fsum([result["prior_log10_odds"], result["other_end_log10_odds"], *parts])
        assert total == pytest.approx(math.log10(first["p"] / second["p"]), abs=1e-9)
        if frames[end["frame_id"]] == 1:
            assert result["other_end_log10_odds"] == pytest.approx(0.0, abs=1e-9)


@SEEN
@given(batches(), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(document: dict[str, Any], chance: Any) -> None:
    shuffled = {name: chance.sample(rows, len(rows)) for name, rows in document.items()}
    results = {result["end_id"]: result for result in resolve(document)["results"]}
    answer = resolve(shuffled)["results"]
    assert [result["end_id"] for result in answer] == [end["end_id"] for end in shuffled["ends"]]
    assert {result["end_id"]: result for result in answer} == results


@SEEN
@given(batches())
def test_a_row_given_twice_counts_once(document: dict[str, Any]) -> None:
    twice = document | {"claims": document["claims"] + [dict(claim) for claim in document["claims"]]}
    assert resolve(twice) == resolve(document)


@SEEN
@given(batches(), known_widths)
def test_a_document_claim_repeated_weighs_as_once(document: dict[str, Any], width_mm: float) -> None:
    claim = {
        "claim_id": "d", "end_id": document["ends"][0]["end_id"], "source": "spec_page", "contributor": "reader",
        "sequence": 3, "document_id": "page", "mount": "hardware", "bolt_mm": 8, "width_mm": width_mm,
    }  # fmt: skip
    elsewhere = claim | {"claim_id": "x", "end_id": document["ends"][-1]["end_id"], "document_id": "other"}
    once = document["claims"] + [claim] + [elsewhere] * (len(document["ends"]) > 1)
    for one, two in zip(
        resolve(document | {"claims": once})["results"],
        resolve(document | {"claims": [*once, claim | {"claim_id": "e", "sequence": 9}]})["results"],
        strict=True,
    ):
        assert_same(one, two, close=1e-10)
        assert one["witnesses"] == two["witnesses"]


@SEEN
@given(batches())
def test_renaming_ids_changes_nothing(document: dict[str, Any]) -> None:
    def renamed(row: dict[str, Any]) -> dict[str, Any]:
        ids = ("claim_id", "end_id", "frame_id", "contributor", "document_id")
        return row | {key: f"{row[key][::-1]} renamed" for key in ids if key in row}

    other = {name: [renamed(row) for row in rows] if name != "catalogue" else rows for name, rows in document.items()}
    # Claims of one sequence are told apart by claim_id, and the first tagged document of a source may change with it.
    sequences = [(claim["end_id"], claim["sequence"]) for claim in document["claims"]]
    assume(len(set(sequences)) == len(sequences))
    for one, two in zip(resolve(document)["results"], resolve(other)["results"], strict=True):
        assert_same(one, two)


@SEEN
@given(batches())
def test_with_held_rates_an_end_of_another_frame_changes_nothing(document: dict[str, Any]) -> None:
    together = resolve_frame(document["ends"], document["claims"], MODEL, HELD)["results"]
    frame_of = {end["end_id"]: end["frame_id"] for end in document["ends"]}
    for result in together:
        frame = frame_of[result["end_id"]]
        ends = [end for end in document["ends"] if end["frame_id"] == frame]
        claims = [claim for claim in document["claims"] if frame_of[claim["end_id"]] == frame]
        alone = {r["end_id"]: r for r in resolve_frame(ends, claims, MODEL, HELD)["results"]}
        assert_same(result, alone[result["end_id"]])


@SEEN
@given(batches(), st.sampled_from(KNOWN_WIDTHS), st.floats(-0.05, 0.05), st.sampled_from(("caliper", "ruler")))
def test_one_more_measurement_for_the_best_value_never_lowers_it(
    document: dict[str, Any], width_mm: float, off_mm: float, tool: str
) -> None:
    ends = document["ends"][:1]
    claims = [claim for claim in document["claims"] if claim["end_id"] == ends[0]["end_id"]]
    before = resolve_frame(ends, claims, MODEL, HELD)["results"][0]
    one_more = {
        "claim_id": "more", "end_id": ends[0]["end_id"], "source": tool, "contributor": "new", "sequence": 99,
        "mount": "hardware", "bolt_mm": [8.0], "width_mm": [width_mm + off_mm],
    }  # fmt: skip
    batch = Batch.of(read_ends(ends), read_claims([*claims, one_more], read_ends(ends), PARAMETERS), MODEL)
    ratios = weigh(batch, batch.blocks[0], np.full(len(batch.claims), 0.06)).ratios[-1]
    layout = MODEL.layout
    widest = layout.as_cells(ratios[None])[0]
    bolt, width = np.unravel_index(widest.argmax(), widest.shape)
    assume(width < layout.catalogue_widths and widest.max() == ratios.max())
    favoured = ("hardware", MODEL.bolts_mm[bolt], MODEL.catalogue.widths_mm[width])
    after = resolve_frame(ends, [*claims, one_more], MODEL, HELD)["results"][0]
    assert chances(after).get(favoured, 0.0) >= chances(before).get(favoured, 0.0) - TINY


@SEEN
@given(batches(), st.randoms(use_true_random=False))
def test_a_claim_that_weighs_nothing_might_as_well_be_absent(document: dict[str, Any], chance: Any) -> None:
    assume(document["claims"])
    without = chance.choice(document["claims"])
    ends = sorted(read_ends(document["ends"]), key=lambda end: (end.frame_id, end.end_id))
    full = Batch.of(ends, read_claims(document["claims"], ends, PARAMETERS), MODEL)
    rest = [claim for claim in document["claims"] if claim is not without]
    part = Batch.of(ends, read_claims(rest, ends, PARAMETERS), MODEL)
    assume((full.states.widths_mm == part.states.widths_mm).all())
    kept = np.array([claim.claim_id != without["claim_id"] for claim in full.claims])
    exponents = np.where(kept, full.table.exponents, 0.0)
    full = dataclasses.replace(full, table=dataclasses.replace(full.table, exponents=exponents))
    part = dataclasses.replace(part, table=dataclasses.replace(part.table, exponents=exponents[kept]))
    one = couple_ends(weigh(full, full.blocks[0], np.full(len(full.claims), 0.06)))
    other = couple_ends(weigh(part, part.blocks[0], np.full(len(part.claims), 0.06)))
    assert one == pytest.approx(other, abs=TINY)
