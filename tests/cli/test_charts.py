"""boltspan claims import, as somebody with a shop's chart uses it."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from boltspan.bootstrap import open_storage
from boltspan.cli import main
from boltspan.config import Config
from boltspan.domain.jsontext import loads
from boltspan.domain.statements import claim_json
from tests.charts.catalogue import MESSY

SKERRY = "f-7k3m9q2dxw"
PERSON = "p-000000000a"
TEXT = "make;model;year;upper;lower\nTarnvale;Skerry;2022;8 x 22,2;8 x 15\nNowhere;Skerry;2022;8x22,2;\n"


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty data folder, filled from the shipped dataset when it is first used."""
    monkeypatch.setattr("boltspan.cli.GROUPS", ("charts",))
    monkeypatch.setenv("BOLTSPAN_DATA", str(tmp_path / "data"))


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    """A chart with one good cell, one that is refused, and an unknown make."""
    path = tmp_path / "chart.csv"
    path.write_text(TEXT, "utf-8")
    return path


def bring(*arguments: object) -> int:
    return main(["claims", "import", *map(str, arguments)])


def of_chart() -> list[dict[str, object]]:
    with open_storage(Config.from_environment()).reading() as uow:
        claims = uow.statements.claims(SKERRY)
    return [claim_json(c) for c in claims if c.source.kind == "retailer_chart" and c.source.by == PERSON]


def test_a_preview_shows_each_row_as_read_and_writes_nothing(chart: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert bring(chart, "--preview", "--by", PERSON) == 0
    shown = capsys.readouterr().out
    assert re.search(rf"row 2 +added +Tarnvale Skerry, {SKERRY} upper: M8 x 22.2   <- '8 x 22,2'", shown)
    assert re.search(r"row 2 +refused +lower '8 x 15': It is not clear .*\[width_or_bore_unclear\]", shown)
    assert re.search(r"row 3 +unknown +frame 'Nowhere Skerry 2022': .*nearest: Tarnvale Skerry", shown)
    assert "read as UTF-8, cells set apart by ;, headings in row 1" in shown
    assert "a preview; nothing was written" in shown
    assert of_chart() == []


def test_an_import_writes_the_good_and_lists_the_rest_in_a_file(
    chart: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert bring(chart, "--by", PERSON, "--document", "wall chart", "--refused", tmp_path / "rest.csv") == 0
    told = capsys.readouterr().out
    assert "row 2 " not in told
    assert "all claims were written" in told
    (claim,) = of_chart()
    assert claim["value"] == {"mount": "hardware", "bolt_mm": 8, "width_mm": loads(b"22.2")}
    assert bring(chart, "--by", PERSON, "--document", "wall chart") == 0
    assert "there was no new claim; nothing was written" in capsys.readouterr().out
    assert of_chart() == [claim]
    with (tmp_path / "rest.csv").open(encoding="utf-8", newline="") as file:
        rest = list(csv.DictReader(file))
    assert [(r["row"], r["outcome"], r["field"], r["got"], r["code"]) for r in rest] == [
        ("2", "refused", "lower", "8 x 15", "width_or_bore_unclear"),
        ("3", "unknown", "frame", "Nowhere Skerry 2022", "unknown_make"),
    ]
    assert all(r["reason"] for r in rest)


def test_what_was_not_taken_is_harmless_in_a_spreadsheet(tmp_path: Path) -> None:
    path = tmp_path / "chart.csv"
    path.write_text("make,model,year,upper\nTarnvale,Skerry,2022,=cmd|' /C calc'!A0\n", "utf-8")
    assert bring(path, "--refused", tmp_path / "rest.csv") == 0
    with (tmp_path / "rest.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert row["got"].startswith("'=")


def test_a_document_is_named_after_the_file_and_its_hash_and_a_second_import_adds_nothing(
    chart: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert bring(chart) == 0
    first = capsys.readouterr().out
    assert re.search(
        r"document: chart\.csv, sha256 [0-9a-f]{12} \(file sha256 [0-9a-f]{64}\), brought by p-\w{10}", first
    )
    assert bring(chart) == 0
    assert re.search(r"1 +said_already: ", capsys.readouterr().out)


def test_a_saved_mapping_reads_the_chart_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, mapping, saved = tmp_path / "chart.csv", tmp_path / "mapping.json", tmp_path / "saved.json"
    path.write_text("Bike,Jahr,Oben\nTarnvale Skerry,2022,8x22.2 rostfrei\n", "utf-8")
    assert bring(path) == 1
    assert "no row names the model and a size" in capsys.readouterr().err
    mapping.write_text(
        '{"columns": {"Bike": "make_model", "Jahr": "year", "Oben": "upper"}, "words": {"rostfrei": ""}}', "utf-8"
    )
    assert bring(path, "--preview", "--mapping", mapping, "--save-mapping", saved) == 0
    assert bring(path, "--mapping", saved, "--by", PERSON) == 0
    assert len(of_chart()) == 1


def test_the_messy_chart_goes_in_over_the_shipped_frames(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert bring(MESSY, "--refused", tmp_path / "rest.csv") == 0
    assert "headings in row 3" in capsys.readouterr().out


@pytest.mark.parametrize("arguments", [
    ("missing.csv",), ("CHART", "--by", "me"), ("CHART", "--mapping", "missing.json"), ("CHART", "--document", ""),
    ("CHART", "--refused", "no/such/folder/out.csv"),
])  # fmt: skip
def test_what_does_not_go_is_said_and_nothing_is_written(
    chart: Path, arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(chart.parent)
    assert bring(*(chart if a == "CHART" else a for a in arguments)) == 1
    assert capsys.readouterr().err.startswith("boltspan: ")


def test_unknown_makes_are_proposed_when_asked_for_and_only_once(
    chart: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert bring(chart, "--propose", "--preview", "--by", PERSON) == 0
    assert re.search(r"row 3 +proposed +Nowhere Skerry, a frame to propose, upper: M8 x 22.2", capsys.readouterr().out)
    assert bring(chart, "--propose", "--by", PERSON) == 0
    assert "1  proposed: is a new claim on a frame that is proposed with it" in capsys.readouterr().out
    assert bring(chart, "--propose", "--by", PERSON) == 0
    assert "2  said_already" in capsys.readouterr().out
