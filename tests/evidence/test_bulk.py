"""A whole made-up world: portions, snapshots, repetition, and how often the machine settles wrongly."""

from __future__ import annotations

import json
from typing import Any

import pytest

from boltspan.evidence import (
    EvidenceInputError,
    Record,
    Resolution,
    Snapshot,
    prepare_model,
    resolve_batch,
    resolve_frame,
)
from tests.evidence.made_up import World, value_of

WORLD = World(ends=1000, seed=1)
TINY = 1e-12


@pytest.fixture(scope="module")
def resolution() -> Resolution:
    return resolve_batch(WORLD.document)


def assert_same_results(some: list[dict[str, Any]], others: list[dict[str, Any]]) -> None:
    for one, other in zip(some, others, strict=True):
        assert one["end_id"] == other["end_id"]
        assert one["outcome"] == other["outcome"]
        p = [{candidate["p"] for candidate in result["candidates"]} for result in (one, other)]
        assert sorted(p[0]) == pytest.approx(sorted(p[1]), abs=TINY)
        weights = [[weight["log10_odds"] for weight in result["weights"]] for result in (one, other)]
        assert weights[0] == pytest.approx(weights[1], abs=1e-9)


@pytest.mark.parametrize("rows_per_block", [1, 37, 10**9])
def test_the_size_of_the_portions_does_not_matter(resolution: Resolution, rows_per_block: int) -> None:
    other = resolve_batch(WORLD.document, rows_per_block=rows_per_block)
    assert_same_results(resolution.results, other.results)
    blocks = other.batch.blocks
    assert len(blocks) == {1: 500, 37: len(blocks), 10**9: 1}[rows_per_block]
    assert [block.frames.stop for block in blocks[:-1]] == [block.frames.start for block in blocks[1:]]


def test_the_same_input_gives_the_same_bytes(resolution: Resolution) -> None:
    assert json.dumps(resolve_batch(WORLD.document).as_document()) == json.dumps(resolution.as_document())


def frame(number: int) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    ends = [end for end in WORLD.document["ends"] if end["frame_id"] == f"f{number:05d}"]
    ids = {end["end_id"] for end in ends}
    return ends, [claim for claim in WORLD.document["claims"] if claim["end_id"] in ids]


def test_a_frame_resolved_with_the_snapshot_is_as_in_the_full_run(resolution: Resolution) -> None:
    model, snapshot = prepare_model(WORLD.document["catalogue"]), resolution.snapshot("2026-04-01")
    assert any(snapshot.offsets_mm.values())
    for number in range(0, 500, 25):
        answer = resolve_frame(*frame(number), model, snapshot)
        assert answer["snapshot"] == "2026-04-01"
        assert answer["model_version"] == resolution.model_version
        assert_same_results(answer["results"], resolution.results[2 * number : 2 * number + 2])


def test_a_snapshot_keeps_every_digit_as_json(resolution: Resolution) -> None:
    snapshot = resolution.snapshot("2026-04-01")
    assert Snapshot.from_document(json.loads(json.dumps(snapshot.as_document()))) == snapshot


@pytest.mark.parametrize("part", ["name", "source_rates", "contributors", "on_end", "offsets_mm"])
def test_a_snapshot_that_lacks_a_part_is_refused(part: str) -> None:
    document = Snapshot("n", "v", {}, {"p": Record(1.0, 0.5)}, {("p", "e"): Record(1.0, 0.5)}).as_document()
    with pytest.raises(EvidenceInputError, match="snapshot"):
        Snapshot.from_document({key: value for key, value in document.items() if key != part})
    with pytest.raises(EvidenceInputError, match="snapshot"):
        Snapshot.from_document(document | {"contributors": {"p": [1.0]}})


def test_a_new_claim_is_weighed_with_the_stored_rates(resolution: Resolution) -> None:
    model, snapshot = prepare_model(WORLD.document["catalogue"]), resolution.snapshot("2026-04-01")
    ends, claims = frame(3)
    new = {
        "claim_id": "new", "end_id": ends[0]["end_id"], "source": "maker_reply", "contributor": "stranger",
        "sequence": 10**6, "mount": "trunnion",
    }  # fmt: skip
    before = resolve_frame(ends, claims, model, snapshot)["results"]
    after = resolve_frame(ends, [*claims, new], model, snapshot)["results"]

    def trunnion(results: list[dict[str, Any]]) -> float:
        p: dict[Any, float] = {value_of(c): c["p"] for c in results[0]["candidates"]}
        return p.get(("trunnion",), 0.0)

    assert trunnion(after) > trunnion(before)
    known = {**snapshot.contributors, "stranger": Record(200.0, 100.0)}
    doubted = Snapshot("n", snapshot.model_version, snapshot.source_rates, known, snapshot.on_end, snapshot.offsets_mm)
    assert trunnion(before) < trunnion(resolve_frame(ends, [*claims, new], model, doubted)["results"]) < trunnion(after)


def test_a_claim_does_not_vouch_for_itself(resolution: Resolution) -> None:
    """The part of a record that comes from the end itself is left out of it."""
    model, snapshot = prepare_model(WORLD.document["catalogue"]), resolution.snapshot("n")
    ends, claims = frame(1)
    trusting = Snapshot("n", snapshot.model_version, snapshot.source_rates, snapshot.contributors)
    own = {(claim["contributor"], claim["end_id"]): Record(500.0, 500.0) for claim in claims}
    total = {claim["contributor"]: Record(500.0, 500.0) for claim in claims}
    left_out = Snapshot("n", snapshot.model_version, snapshot.source_rates, total, own)
    nothing = Snapshot("n", snapshot.model_version, snapshot.source_rates)
    answers = [resolve_frame(ends, claims, model, s)["results"] for s in (left_out, nothing, trusting)]
    assert_same_results(answers[0], answers[1])
    assert answers[1] != answers[2]


def test_a_snapshot_of_another_version_is_refused(resolution: Resolution) -> None:
    old = Snapshot("old", "0.9.0+000000000000", resolution.snapshot("n").source_rates)
    with pytest.raises(EvidenceInputError, match=r"snapshot 'old': model_version"):
        resolve_frame(*frame(0), prepare_model(WORLD.document["catalogue"]), old)


def test_rates_follow_who_errs(resolution: Resolution) -> None:
    rates = resolution.snapshot("n").source_rates
    assert rates["retailer_chart"] > 0.085
    assert rates["maker_reply"] < 0.03


def test_few_ends_are_settled_wrongly_and_most_answers_are_right(resolution: Resolution) -> None:
    """No outside figure: the world is made up, and harder than the model expects."""
    truth = [WORLD.truth[result["end_id"]] for result in resolution.results]
    first = [value_of(result["candidates"][0]) for result in resolution.results]
    right = [one == other for one, other in zip(first, truth, strict=True)]
    settled = [ok for ok, result in zip(right, resolution.results, strict=True) if result["outcome"] == "accept"]
    assert sum(right) / len(right) > 0.9
    assert len(settled) > 0.4 * len(right)
    assert sum(settled) / len(settled) > 0.99
    claims = [len(result["weights"]) for result in resolution.results]
    assert not any(n == 1 and r["outcome"] == "accept" for n, r in zip(claims, resolution.results, strict=True))
