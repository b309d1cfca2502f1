"""Shocks and hardware sizes in a release: tables that say what the answers say, and whole records by line."""

from __future__ import annotations

import csv
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import frictionless
import pytest

from boltspan.dataset.releasing.verifying import verify_files
from boltspan.domain.jsontext import loads
from tests.dataset import release_sample as sample


@pytest.fixture
def release(tmp_path: Path) -> Path:
    sample.write(tmp_path / "r")
    return tmp_path / "r"


def rows(folder: Path, name: str) -> list[dict[str, Any]]:
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_tables_say_what_the_answers_say(release: Path) -> None:
    assert [(r["id"], r["record"]) for r in rows(release, "shocks.csv")] == [
        ("s-0000000001", "shock"),
        ("s-0000000002", "withdrawn"),
    ]
    ends = {r["end"]: r for r in rows(release, "shock_ends.csv")}
    assert (ends["body"]["mount"], ends["body"]["eyelet_bore_mm"], ends["body"]["standing"]) == (
        "eyelet",
        "15",
        "provisional",
    )
    assert (ends["shaft"]["standing"], ends["shaft"]["mount"]) == ("unknown", "")
    made = [(r["eye_to_eye_mm"], r["stroke_mm"], r["demo"]) for r in rows(release, "sizes_made.csv")]
    assert made == [("210", "52.5", "true"), ("230", "65", "true")]
    assert [(r["bolt_mm"], r["width_mm"]) for r in rows(release, "hardware_sizes.csv")] == [("8", "20"), ("8", "30")]


def test_an_independent_reader_and_the_check_find_nothing_wrong(release: Path) -> None:
    assert frictionless.validate(str(release / "datapackage.json")).flatten(["type", "message"]) == []
    assert verify_files(release) == []


def test_lines_hold_the_whole_record_and_a_bent_one_is_told(release: Path) -> None:
    lines = (release / "shocks.jsonl").read_bytes().splitlines()
    assert [loads(line)["shocks"][0]["id"] for line in lines] == ["s-0000000001", "s-0000000002"]
    (release / "shocks.jsonl").write_bytes(b"\n".join([lines[0].replace(b"eyelet", b"eylet"), lines[1]]) + b"\n")
    assert any(told.startswith("shocks.jsonl: changed") for told in verify_files(release))


def test_changes_tell_of_shocks_end_by_end(release: Path, tmp_path: Path) -> None:
    first = loads((release / "CHANGES.json").read_bytes())
    assert [(s["shock"], s["change"]) for s in first["shocks"]] == [("s-0000000001", "added")]
    assert first["shock_counts"] == {"added": 1}
    shocks = sample.released_shocks()
    (entry, answer), gone = shocks.shocks
    assert answer is not None
    body = answer["ends"]["body"]
    value = {**body["value"], "eyelet_bore_mm": Decimal("12.7"), "label": "eyelet, bore 12.7"}
    other = answer | {"ends": answer["ends"] | {"body": body | {"value": value}}}
    other["sizes"] = answer["sizes"] | {"value": {k: v for k, v in answer["sizes"]["value"].items() if k != "only"}}
    later = replace(shocks, shocks=((entry, other), gone))
    found = written(tmp_path / "2", release, shocks=later)
    assert [(s["shock"], s["change"]) for s in found["shocks"]] == [("s-0000000001", "changed")]
    assert [a["text"] for a in found["shocks"][0]["answers"]] == [
        "sizes: no longer said to be all sizes",
        f"body: {body['value']['label']} -> eyelet, bore 12.7",
    ]
    never = replace(entry.shock, record="withdrawn", withdrawn_on="2026-05-01", why="recalled")
    later = replace(shocks, shocks=((replace(entry, shock=never), None), gone))
    found = written(tmp_path / "3", release, shocks=later)
    assert [(s["shock"], s["change"], s["why"]) for s in found["shocks"]] == [("s-0000000001", "withdrawn", "recalled")]
    assert (found["frames"], found["counts"], found["shock_counts"]) == ([], {}, {"withdrawn": 1})
    (release / "shock_answers.jsonl").unlink()  # as releases of before have none
    assert written(tmp_path / "4", release)["shock_counts"] == {"added": 1}


def written(folder: Path, before: Path, **more: Any) -> dict[str, Any]:
    """Return CHANGES.json of a release in ``folder`` against the one in ``before``."""
    sample.write(folder, version="2026.03.2", previous="2026.03.1", previous_folder=before, **more)
    found: dict[str, Any] = loads((folder / "CHANGES.json").read_bytes())
    return found


def test_free_text_stays_out_of_the_tables(release: Path) -> None:
    for name in sample.CSV_FILES:
        assert "never sold" not in (release / name).read_text("utf-8"), name
    assert "never sold" in (release / "shocks.jsonl").read_text("utf-8")
