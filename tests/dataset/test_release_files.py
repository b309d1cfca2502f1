"""The files of a release: reproducible, described, exact, and told apart from damaged ones."""

from __future__ import annotations

import csv
import hashlib
import json
import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import frictionless
import pytest

from boltspan.dataset.contents import FrameEntry, frame_order
from boltspan.dataset.releasing.head import INVENTED, version_after
from boltspan.dataset.releasing.lines import SortedAnswers, answers_in, find_answer
from boltspan.dataset.releasing.tables import TABLES
from boltspan.dataset.releasing.verifying import verify_files
from boltspan.dataset.releasing.writing import ReleasedShocks
from boltspan.dataset.schemas import schema_problems
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.frames import Make, Model
from boltspan.domain.jsontext import loads
from tests.dataset import release_sample as sample
from tests.dataset.release_sample import CSV_FILES, DATA_FILES, FILES


@pytest.fixture
def release(tmp_path: Path) -> Path:
    """A release of the sample."""
    folder = tmp_path / "2026.03.1"
    sample.write(folder)
    return folder


def rows(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_a_release_holds_just_its_files(release: Path) -> None:
    assert {p.name for p in release.iterdir()} == FILES


def test_the_same_records_give_the_same_bytes(release: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    sample.write(again)
    assert bytes_of(again) == bytes_of(release)


def test_the_bytes_change_with_the_records(release: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    sample.write(other, sample.entries()[:-1])
    assert bytes_of(other)["frames.csv"] != bytes_of(release)["frames.csv"]


def test_records_out_of_order_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="not in their order"):
        sample.write(tmp_path / "turned", sample.entries()[::-1])
    with pytest.raises(ValueError, match="not in their order"):
        sample.write(tmp_path / "makes", makes=(Make("b", "B"), Make("a", "A")))
    with pytest.raises(ValueError, match="not in their order"):
        sample.write(tmp_path / "models", models=(*sample.MODELS, *sample.MODELS))


def test_an_empty_dataset_gives_an_empty_but_whole_release(tmp_path: Path) -> None:
    folder = tmp_path / "2026.03.1"
    sample.write(folder, [], makes=(), models=(), shocks=ReleasedShocks())
    assert verify_files(folder) == []
    assert [len(rows(folder, name)) for name in CSV_FILES] == [0] * len(CSV_FILES)
    assert loads((folder / "CHANGES.json").read_bytes())["frames"] == []
    assert frictionless.validate(str(folder / "datapackage.json")).valid


def test_every_text_file_is_utf8_with_lf_and_a_last_line_end(release: Path) -> None:
    for name, raw in bytes_of(release).items():
        assert b"\r" not in raw, name
        assert raw.endswith(b"\n"), name
        raw.decode("utf-8")


# the tables


def test_ends_say_what_the_answers_say(release: Path) -> None:
    found = {(r["frame"], r["end"]): r for r in rows(release, "ends.csv")}
    answered = {frame_id: loads(line) for frame_id, line in answers_in(release / "answers.jsonl")}
    assert len(found) == sum(len(a["ends"]) for a in answered.values()) == 6
    for (frame_id, end), row in found.items():
        answer = answered[frame_id]["ends"][end]
        assert (row["standing"], row["advice"]) == (answer["standing"], answer["advice"])
        value = answer.get("value", {})
        for key in ("mount", "label"):
            assert row[key] == value.get(key, "")
        for key in ("bolt_mm", "width_mm", "eyelet_bore_mm"):
            assert (Decimal(row[key]) if row[key] else None) == value.get(key)
    standings = {r["standing"] for r in found.values()}
    assert standings == {"settled", "provisional", "disputed", "unknown", "withheld"}


def test_no_size_stands_where_nothing_is_answered(release: Path) -> None:
    silent = [r for r in rows(release, "ends.csv") if r["standing"] in ("disputed", "unknown", "withheld")]
    assert len(silent) == 3
    assert all(r[key] == "" for r in silent for key in ("mount", "bolt_mm", "width_mm", "label", "supply"))
    assert {r["advice"] for r in silent} == {"do_not_sell"}


def test_lengths_keep_every_digit(release: Path) -> None:
    settled = next(r for r in rows(release, "ends.csv") if r["standing"] == "settled")
    assert (settled["width_mm"], settled["label"]) == ("22.225", "M8 x 22.2")
    measured = next(r for r in rows(release, "claims.csv") if r["kind"] == "measured")
    assert (measured["bolt_readings_mm"], measured["width_readings_mm"]) == ("8.06", "22.18 22.19")


def test_claims_are_those_that_count(release: Path) -> None:
    listed = {r["id"] for r in rows(release, "claims.csv")}
    assert listed == {f"c-{n:010d}" for n in range(1, 10)}  # 10 is refused, 11 withdrawn
    kept = [loads(line) for line in (release / "frames.jsonl").read_bytes().splitlines()]
    ids = {c["id"] for f in kept for s in f["frames"][0]["subjects"].values() for c in s["claims"]}
    assert ids == {f"c-{n:010d}" for n in range(1, 12)}


def test_a_refusal_by_decision_alone_takes_a_claim_out_of_the_table() -> None:
    from boltspan.dataset.releasing.writing import counting_claims

    entry = next(e for e in sample.entries() if e.frame.id == "f-0000000003")
    accepted = replace(entry, claims=tuple(replace(c, state="accepted") for c in entry.claims if c.state == "refused"))
    assert [d.ruling for d in accepted.decisions_on("upper")] == ["refuse_claims"]
    assert counting_claims(accepted) == []
    assert [c.id for c in counting_claims(replace(accepted, decisions=()))] == ["c-0000000010"]


def test_no_free_text_stands_in_the_tables(release: Path) -> None:
    text = "".join((release / name).read_text("utf-8") for name in CSV_FILES)
    for hidden in ("HYPERLINK", "serial number start", "T0001", "never made", "for a test", "example.org"):
        assert hidden not in text
        assert hidden in (release / "frames.jsonl").read_text("utf-8")


def test_claims_of_one_document_share_its_hash(tmp_path: Path) -> None:
    entry = next(e for e in sample.entries() if e.frame.id == "f-0000000001")
    pages = [c for c in entry.claims if c.source.kind == "spec_page"]
    same = tuple(replace(c, source=replace(c.source, document="example.org/same")) for c in pages)
    sample.write(tmp_path / "r", [FrameEntry(entry.frame, same)])
    hashes = {r["document"] for r in rows(tmp_path / "r", "claims.csv")}
    assert hashes == {"sha256:" + hashlib.sha256(b"example.org/same").hexdigest()}
    assert len(same) > 1


def test_a_name_that_looks_like_a_formula_is_harmless(tmp_path: Path) -> None:
    sample.write(tmp_path / "r", models=(Model("tarnvale", "skerry", "=1+1"),))
    assert rows(tmp_path / "r", "models.csv")[0]["name"] == "'=1+1"


def test_demo_data_is_marked_in_every_artefact(release: Path, tmp_path: Path) -> None:
    for name in CSV_FILES:
        assert {r["demo"] for r in rows(release, name)} == {"true"}, name
    for _, line in answers_in(release / "answers.jsonl"):
        assert loads(line)["demo"] is True
    for name in ("release.json", "datapackage.json", "CHANGES.json"):
        assert loads((release / name).read_bytes())["demo"] is True
    assert INVENTED in loads((release / "datapackage.json").read_bytes())["description"]
    assert "DEMO DATA" in (release / "README.txt").read_text("utf-8")
    real = tmp_path / "real"
    sample.write(real, demo=False)
    for name in CSV_FILES:
        assert {r["demo"] for r in rows(real, name)} == {""}, name
    assert "invented" not in (real / "README.txt").read_text("utf-8").lower().replace("demo: invented frames", "")


def test_the_cautions_stand_in_full(release: Path) -> None:
    readme = " ".join((release / "README.txt").read_text("utf-8").split())
    described = loads((release / "datapackage.json").read_bytes())["description"]
    for text in CAUTIONS.values():
        assert text in readme
        assert text in described


def test_every_line_of_frames_keeps_the_schema(release: Path) -> None:
    lines = (release / "frames.jsonl").read_bytes().splitlines()
    assert len(lines) == 6
    for line in lines:
        assert schema_problems("frame-1", loads(line)) == []


# described as a Data Package


def plant(folder: Path, name: str, before: str, after: str) -> None:
    """Change a file and put its hash and size right in the data package, so that only the content is wrong."""
    path = folder / name
    text = path.read_text("utf-8")
    assert text.count(before) >= 1
    raw = text.replace(before, after, 1).encode()
    package = json.loads((folder / "datapackage.json").read_text("utf-8"))
    resource = next(r for r in package["resources"] if r["path"] == name)
    resource["bytes"], resource["hash"] = len(raw), "sha256:" + hashlib.sha256(raw).hexdigest()
    path.write_bytes(raw)
    (folder / "datapackage.json").write_text(json.dumps(package), "utf-8")


def errors(folder: Path) -> list[str]:
    """Return the types of what frictionless finds wrong (an independent reader of Data Packages)."""
    report = frictionless.validate(str(folder / "datapackage.json"))
    assert report.valid == (not report.flatten(["type"]))
    return [kind for (kind,) in report.flatten(["type"])]


def test_frictionless_finds_nothing_wrong(release: Path) -> None:
    report = frictionless.validate(str(release / "datapackage.json"))
    assert report.flatten(["type", "message"]) == []
    assert {task.place for task in report.tasks} == set(DATA_FILES)
    counted = {task.place: task.stats["rows"] for task in report.tasks if task.type == "table"}
    assert counted == {name: len(rows(release, name)) for name in CSV_FILES}


@pytest.mark.parametrize(
    ("name", "before", "after", "kind"),
    [
        ("ends.csv", ",trunnion,", ",welded,", "constraint-error"),
        ("ends.csv", ",settled,", ",sure,", "constraint-error"),
        ("ends.csv", ",8,22.225,", ",8,7,", "constraint-error"),
        ("ends.csv", ",8,22.225,", ",8,wide,", "type-error"),
        ("ends.csv", ",22.225,", ",81,", "constraint-error"),
        ("ends.csv", "f-0000000001,", "f-000000000i,", "constraint-error"),
        ("ends.csv", "f-0000000001,", "f-0000000009,", "foreign-key"),
        ("ends.csv", ",lower,", ",upper,", "primary-key"),
        ("shock_sizes.csv", "2022-03-01", "2022-02-30", "type-error"),
        ("frames.csv", ",tarnvale,", ",tarnvail,", "foreign-key"),
        ("frames.csv", ",2021,", ",,", "constraint-error"),
        ("claims.csv", ",22.18 22.19,", ",22.18;22.19,", "constraint-error"),
        ("makes.csv", "Tarnvale", "", "constraint-error"),
    ],
)
def test_frictionless_finds_a_planted_error(release: Path, name: str, before: str, after: str, kind: str) -> None:
    plant(release, name, before, after)
    assert kind in errors(release)


@pytest.mark.parametrize("name", DATA_FILES)
def test_frictionless_finds_a_changed_byte_by_the_hash(release: Path, name: str) -> None:
    raw = bytearray((release / name).read_bytes())
    raw[-2] ^= 1
    (release / name).write_bytes(raw)
    assert "hash-count" in errors(release)


def test_the_data_package_keeps_what_frictionless_does_not_check(release: Path) -> None:
    """Data Package 2.0 (datapackage.org/standard): profiles, versions, what a resource's type and a pattern may be."""
    package = json.loads((release / "datapackage.json").read_text("utf-8"))
    profiles = "https://datapackage.org/profiles/2.0"
    assert package["$schema"] == f"{profiles}/datapackage.json"
    assert package["version"] == "2026.03.1"
    assert package["created"] == "2026-03-04T00:00:00Z"
    assert [licence["name"] for licence in package["licenses"]] == ["CC0-1.0"]
    for resource in package["resources"]:
        assert resource["$schema"] == f"{profiles}/dataresource.json"
        assert resource.get("type", "table") == "table"
        assert re.fullmatch(r"sha256:[0-9a-f]{64}", resource["hash"])
    for resource in package["resources"][: len(CSV_FILES)]:
        assert resource["schema"]["$schema"] == f"{profiles}/tableschema.json"
        for field in resource["schema"]["fields"]:
            assert field["type"] in ("string", "integer", "number", "boolean", "date")
            assert field["description"]
            pattern = field.get("constraints", {}).get("pattern", "")
            assert not re.search(r"\^|\$|\(\?", pattern), "XML Schema's patterns have no anchors"
    names = [resource["name"] for resource in package["resources"]]
    assert len(set(names)) == len(names)


def test_keys_name_columns_that_are_there() -> None:
    tables = {table.name: table for table in TABLES}
    for table in TABLES:
        assert set(table.key) <= set(table.column_names)
        for reference in table.references:
            assert set(reference.columns) <= set(table.column_names)
            assert set(reference.target) <= set(tables[reference.table].column_names)


# answers, found again


def test_answers_are_found_by_frame_and_by_nothing_else(release: Path) -> None:
    path = release / "answers.jsonl"
    for entry in sample.entries():
        wanted = sample.answer(entry) if entry.frame.live else None
        assert find_answer(path, entry.frame.id) == wanted
    for absent in ("f-0000000000", "f-0000000009", "f-zzzzzzzzzz", ""):
        assert find_answer(path, absent) is None


@pytest.mark.parametrize("count", [0, 1, 2, 3, 64, 257])
def test_answers_are_found_among_any_number_of_lines_of_any_length(tmp_path: Path, count: int) -> None:
    ids = [f"f-{n * 2 + 1:010d}" for n in range(count)]
    bodies = {i: (json.dumps({"id": i, "pad": "é" * (int(i[2:]) * 7919 % 9000)}) + "\n").encode() for i in ids}
    answers = SortedAnswers(tmp_path / "spool")
    for frame_id in sorted(ids, key=lambda i: i[::-1]):
        answers.add(frame_id, bodies[frame_id])
    assert answers.finish(tmp_path / "answers.jsonl") == count
    assert [i for i, _ in answers_in(tmp_path / "answers.jsonl")] == ids
    assert not (tmp_path / "spool").exists()
    for frame_id in ids:
        assert find_answer(tmp_path / "answers.jsonl", frame_id) == bodies[frame_id]
    for n in range(count + 1):
        assert find_answer(tmp_path / "answers.jsonl", f"f-{n * 2:010d}") is None


@pytest.mark.parametrize("body", [b"{}", b"{}\n{}\n", b"", b"\n{}\n"])
def test_an_answer_that_is_not_one_line_is_refused(tmp_path: Path, body: bytes) -> None:
    with closing(SortedAnswers(tmp_path / "spool")) as answers, pytest.raises(ValueError, match="not one line"):
        answers.add("f-0000000001", body)


# numbers of releases


@pytest.mark.parametrize(
    ("versions", "on", "version"),
    [
        ([], "2026-03-04", "2026.03.1"),
        (["2026.03.1"], "2026-03-31", "2026.03.2"),
        (["2026.03.9", "2026.03.10"], "2026-03-31", "2026.03.11"),
        (["2026.03.1", "2025.04.7"], "2026-04-01", "2026.04.1"),
        (["2026.12.3"], "2027-01-01", "2027.01.1"),
    ],
)
def test_versions_count_within_the_month(versions: list[str], on: str, version: str) -> None:
    assert version_after(versions, on) == version


def test_sample_is_in_order() -> None:
    def keys() -> Iterator[tuple[str, str, int, str]]:
        for entry in sample.entries():
            yield frame_order(entry.frame)

    assert list(keys()) == sorted(keys())
    assert len(set(keys())) == 6
