"""The calibration report: worked sums, baselines on claims whose result is plain, and a whole made-up world."""

from __future__ import annotations

import copy
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from boltspan.cli import calibration_plot, main
from boltspan.evidence import EvidenceInputError, calibrate, load_parameters
from boltspan.evidence.baselines import Predicted
from boltspan.evidence.intake import Answer
from boltspan.evidence.one_coin import one_coin
from boltspan.evidence.scoring import MEASURES, Scored, measures, score
from tests.evidence.made_up import World as MadeUp
from tests.evidence.strategies import CATALOGUE
from tests.worlds import World
from tests.worlds.known_answers import known_answers
from tests.worlds.known_answers import main as write_known_answers

PARAMETERS = load_parameters()


def document(claims: list[dict[str, Any]], answers: list[dict[str, Any]]) -> dict[str, Any]:
    """Claims on ends named by their first letter's frame, numbered, with defaults."""
    ids = sorted({c["end_id"] for c in claims} | {a["end_id"] for a in answers})
    rows = [
        {"claim_id": f"c{n}", "sequence": n, "contributor": f"p{n}", "mount": "hardware", "source": "maker_reply", **c}
        for n, c in enumerate(claims)
    ]
    ends = [{"end_id": end_id, "frame_id": end_id[0]} for end_id in ids]
    return {"catalogue": CATALOGUE, "ends": ends, "claims": rows, "answers": answers}


def size(end_id: str, bolt_mm: float, width_mm: float, **more: Any) -> dict[str, Any]:
    return {"end_id": end_id, "bolt_mm": bolt_mm, "width_mm": width_mm, **more}


def value(report: dict[str, Any], method: str, measure: str, group: str = "all") -> float:
    return float(report["methods"][method][group][measure]["value"])


# -- worked sums ------------------------------------------------------------------------------------------------
def test_scores_by_hand() -> None:
    """Right with .8 beside .1; wrong with .6 before the true one at .3; a bare mount that nobody named."""
    nan = math.nan
    predicted = Predicted(
        np.array([0, 0, 1, 1, 2]),
        np.array([0, 0, 0, 0, 0]),
        np.array([8.0, 8.0, 8.0, 10.0, 8.0]),
        np.array([22.2, 22.0, 28.0, 28.0, 22.2]),
        np.array([0.8, 0.1, 0.6, 0.3, 0.5]),
    )
    answers = {0: Answer(0, 8.0, 22.23), 1: Answer(0, 10.0, 28.0), 2: Answer(4, nan, nan)}
    scored = score(predicted, np.array([True, True, False]), answers, PARAMETERS)
    assert scored.hit.tolist() == [True, False, False]  # 22.23 is 22.2 to the trade, 22 is not
    assert scored.brier == pytest.approx([0.04 + 0.01, 0.49 + 0.36, 1.0 + 0.25])
    assert scored.log_loss == pytest.approx([-math.log(0.8), -math.log(0.3), -math.log(0.5 / 2000)])
    assert scored.top_p.tolist() == [0.8, 0.6, 0.5]
    found = measures(scored, np.ones(3, dtype=bool), np.array([0, 0, 1]), draws=0, seed=0)
    assert found["accuracy"] == {"value": pytest.approx(1 / 3)}
    assert found["calibration_error"]["value"] == pytest.approx((0.2 + 0.6 + 0.5) / 3)
    assert found["accepted"]["value"] == pytest.approx(2 / 3)
    assert found["accepted_wrong"]["value"] == 0.5


def test_the_interval_of_a_share_is_that_of_its_binomial() -> None:
    """With one end a frame, 400 ends and a share of .8 the standard error is sqrt(.8 * .2 / 400) = .02."""
    right = np.arange(400) < 320
    scored = Scored(right, np.zeros(400), np.zeros(400), np.full(400, 0.8), np.zeros(400, dtype=bool))
    every = np.ones(400, dtype=bool)
    found = measures(scored, every, np.arange(400), draws=4000, seed=1)["accuracy"]
    assert found["low"] == pytest.approx(0.8 - 1.96 * 0.02, abs=0.004)
    assert found["high"] == pytest.approx(0.8 + 1.96 * 0.02, abs=0.004)
    pairs = measures(scored, every, np.arange(400) // 2, draws=4000, seed=1)["accuracy"]
    assert pairs["high"] - pairs["low"] == pytest.approx(math.sqrt(2) * (found["high"] - found["low"]), rel=0.1)


def test_one_coin_believes_who_agrees() -> None:
    """Two who always agree outweigh one who differs on every task but one."""
    tasks = np.repeat(np.arange(6), 3)
    people = np.tile(np.arange(3), 6)
    labels = np.array([[n % 3, n % 3, n % 3 if n == 0 else (n + 1) % 3] for n in range(6)]).ravel()
    found = one_coin(tasks, people, labels, rounds=50)
    assert found.skills[:2] == pytest.approx([1.0, 1.0])
    assert found.skills[2] == pytest.approx(1 / 6)
    sure = found.probabilities[found.labels == found.tasks % 3]
    assert sure == pytest.approx(np.ones(6))


def test_one_coin_of_nothing_and_of_one_label() -> None:
    nothing = np.zeros(0, dtype=np.intp)
    assert one_coin(nothing, nothing, nothing, rounds=3).probabilities.size == 0
    alone = one_coin(np.zeros(2, np.intp), np.arange(2), np.zeros(2, np.intp), rounds=3)
    assert alone.probabilities == pytest.approx([1.0])


# -- baselines --------------------------------------------------------------------------------------------------
def test_baselines_on_claims_whose_result_is_plain() -> None:
    claims = [
        size("a1", 8, 22.2),
        size("a1", 8, 22.2),
        size("a1", 8, 28),
        size("b1", [7.92], [27.93], source="caliper"),  # a sleeve's play added, 8; the nearest width, 28
        {"end_id": "c1", "mount": "trunnion"},
        {"end_id": "c1", "bolt_mm": 8},  # no whole value
    ]
    answers = [size("a1", 8, 22.2, mount="hardware"), size("b1", 8, 28, mount="hardware")]
    report = calibrate(document(claims, [*answers, {"end_id": "c1", "mount": "trunnion"}]), draws=0, seed=0)
    assert [value(report, m, "accuracy") for m in ("majority", "median", "one_coin")] == [1, 1, 1]
    shares = [2 / 3.35, 1 / 1.35, 1 / 1.35]
    losses = [-math.log(share) for share in shares]
    assert value(report, "majority", "log_loss") == pytest.approx(sum(losses) / 3)
    assert report["methods"]["majority"].keys() == {"all", "1", "2", "3"}
    assert (report["ends"], report["claims"]) == (3, 6)


def test_the_median_stands_between_the_widths() -> None:
    claims = [size("a1", 8, 22.0), size("a1", 8, 22.2), size("a1", 8, 38.1)]
    report = calibrate(document(claims, [size("a1", 8, 22.2, mount="hardware")]), draws=0, seed=0)
    assert value(report, "median", "accuracy") == 1.0


# -- the whole --------------------------------------------------------------------------------------------------
def made_up() -> dict[str, Any]:
    world = MadeUp(ends=600, seed=4)
    fields = ("mount", "bolt_mm", "width_mm")
    answers = [{"end_id": e, **dict(zip(fields, v, strict=False))} for e, v in world.truth.items()]
    return world.document | {"answers": answers}


def test_the_model_is_better_than_the_baselines_and_means_what_it_says() -> None:
    """No outside figure: the world is made up."""
    report = calibrate(made_up(), draws=50, seed=1)
    for method in ("majority", "median", "one_coin"):
        for measure in ("brier", "log_loss"):
            assert value(report, "model", measure) < value(report, method, measure)
    assert value(report, "model", "calibration_error") < 0.04
    assert value(report, "model", "accepted", "1") == 0.0
    assert sum(bin_["ends"] for bin_ in report["bins"]["model"]) == report["ends"]
    for measure in MEASURES:
        figure = report["methods"]["model"]["all"][measure]
        assert figure["low"] <= figure["high"]


def test_answers_change_no_result_and_the_same_set_gives_the_same_report() -> None:
    known = made_up()
    report = calibrate(known, draws=20, seed=1)
    assert json.dumps(calibrate(copy.deepcopy(known), draws=20, seed=1)) == json.dumps(report)
    wrong = known | {"answers": [{"end_id": a["end_id"], "mount": "trunnion"} for a in known["answers"]]}
    other = calibrate(wrong, draws=20, seed=1)
    assert value(other, "model", "accepted") == value(report, "model", "accepted")
    assert value(other, "model", "accuracy") < 0.3


def test_what_is_not_scored_is_counted() -> None:
    claims = [size("a1", 8, 22.2), size("a2", 8, 22.2), size("b1", 8, 22.2), size("b1", 8, 28)]
    answers = [
        size("a1", 8, 22.2, mount="hardware"),
        size("b1", 8, 22.2, mount="hardware", later=size("", 8, 28, mount="hardware")),
        {"end_id": "c1", "mount": "bearing"},
    ]
    report = calibrate(document(claims, answers), draws=0, seed=0)
    assert report["not_scored"] == {"no_answer": 1, "no_claim": 1, "running_change": 1}
    assert report["ends"] == 1
    assert set(report["running_changes"]) == set(report["methods"])


ONE = size("a1", 8, 22.2, mount="hardware")


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({}, "answers: accepted: a list"),
        ([], "no end with one answer has a claim"),
        ([3], "answers row 1"),
        ([{"mount": "trunnion"}], "answers row 1: end_id is missing"),
        ([ONE | {"end_id": "x"}], "answer for end 'x': end_id"),
        ([ONE, ONE], "answer for end 'a1': is given twice"),
        ([ONE | {"mount": "welded"}], "answer for end 'a1': mount is 'welded'; accepted: hardware"),
        ([{"end_id": "a1", "mount": "hardware", "bolt_mm": 8}], "answer for end 'a1': width_mm is missing"),
        ([ONE | {"bolt_mm": "8"}], "answer for end 'a1': bolt_mm is '8'"),
        ([ONE | {"width_mm": -1}], "answer for end 'a1': width_mm is -1"),
        ([ONE | {"later": 3}], "answer for end 'a1': later is 3"),
        ([ONE | {"later": {"mount": "hardware"}}], "answer for end 'a1', later: bolt_mm is missing"),
    ],
)
def test_answers_that_cannot_be_used_are_refused(answers: Any, words: str) -> None:
    with pytest.raises(EvidenceInputError) as refused:
        calibrate(document([size("a1", 8, 22.2)], []) | {"answers": answers}, draws=0, seed=0)
    assert words in str(refused.value)


# -- the command ------------------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("known") / "set.json"
    assert write_known_answers(["3", "80", str(file)]) == 0
    return file


def test_a_world_is_written_as_known_answers(known: Path) -> None:
    written = json.loads(known.read_text("utf-8"))
    assert written == known_answers(World(3, 80))
    assert {a["end_id"] for a in written["answers"]} == {e["end_id"] for e in written["ends"]}
    assert len(written["claims"]) > 100


def test_the_table_and_the_json_say_the_same(known: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "report", str(known), "--draws", "30"]) == 0
    table = capsys.readouterr().out
    assert main(["evidence", "report", str(known), "--draws", "30", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert f"{report['ends']:,} ends with a known answer" in table
    for method in report["methods"].values():
        for row in method.values():
            for measure in MEASURES:
                figure = row[measure]
                assert f"{figure['value']:.4f} [{figure['low']:.4f}, {figure['high']:.4f}]" in table
    assert "one-coin Dawid-Skene" in table


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "not JSON"),
        ('{"x": NaN}', "NaN is not a number"),
        ("[]", "accepted: an object"),
        ("{}", "answers is missing"),
        ('{"answers": []}', "catalogue is missing"),
    ],
)
def test_a_set_that_cannot_be_read_is_refused(
    text: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "set.json"
    file.write_text(text, "utf-8")
    assert main(["evidence", "report", str(file)]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
    assert "set.json" in said.err


def test_a_file_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "report", "no/such.json"]) == 1
    assert "no/such.json: No such file" in capsys.readouterr().err


def test_without_matplotlib_the_plot_is_refused_at_once(
    known: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(calibration_plot.importlib.util, "find_spec", lambda _: None)
    assert main(["evidence", "report", str(known), "--plot", str(tmp_path / "a.svg")]) == 1
    said = capsys.readouterr()
    assert "pip install 'boltspan[plots]'" in said.err
    assert said.out == ""
    assert main(["evidence", "report", str(known), "--plot", str(tmp_path / "a.txt")]) == 1
    assert "accepted: a name ending in .svg" in capsys.readouterr().err
