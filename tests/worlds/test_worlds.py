"""Invented worlds: sound datasets, the same for the same seed, wrong as often as they are set to be."""

from __future__ import annotations

import hashlib
import io
import tracemalloc
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from boltspan.dataset.contents import FrameEntry, claim_order, frame_order
from boltspan.dataset.files import check_folder, read_dataset
from boltspan.domain import jsontext
from boltspan.domain.claims import Claim
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.values import EndValue, agree
from tests.worlds import ERRORS, Truth, World, write_world
from tests.worlds.__main__ import main
from tests.worlds.progress import line, shown
from tests.worlds.writing import PEOPLE, TRUTH

SEED = 11


@cache
def world_of(frames: int) -> tuple[tuple[FrameEntry, Truth], ...]:
    return tuple(World(SEED, frames).entries())


def files_of(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def said(frames: int = 1000) -> list[tuple[Truth, Claim, tuple[str, ...]]]:
    return [(truth, c, truth.marks.get(c.id, ())) for entry, truth in world_of(frames) for c in entry.claims]


# -- the same, and as many as asked for -------------------------------------------------------------------------
def test_the_same_seed_gives_the_same_bytes(tmp_path: Path) -> None:
    write_world(World(7, 40), tmp_path / "a")
    write_world(World(7, 40), tmp_path / "b")
    write_world(World(8, 40), tmp_path / "c")
    first = files_of(tmp_path / "a")
    assert first == files_of(tmp_path / "b")
    assert first != files_of(tmp_path / "c")


def test_the_bytes_are_those_of_every_other_machine(tmp_path: Path) -> None:
    """The digest was worked out once; it changes when what is invented changes, and never by machine."""
    write_world(World(7, 40), tmp_path)
    digest = hashlib.sha256()
    for path, content in files_of(tmp_path).items():
        digest.update(f"{path}\0{len(content)}\0".encode() + content)
    assert digest.hexdigest()[:16] == "00479d06a666380a"


@pytest.mark.parametrize("frames", [1, 2, 3, 7, 50, 333])
def test_there_are_as_many_frames_as_asked_for(frames: int) -> None:
    entries = [entry for entry, _ in World(SEED, frames).entries()]
    assert len(entries) == len({e.frame.id for e in entries}) == frames


def test_a_larger_world_begins_as_a_smaller_one() -> None:
    small = [(e.frame, t.values) for e, t in World(SEED, 100).entries()][:-8]
    large = [(e.frame, t.values) for e, t in World(SEED, 300).entries()]
    assert large[: len(small)] == small


# -- a sound dataset --------------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("world")
    write_world(World(SEED, 1000), folder)
    return folder


def test_a_written_world_is_a_sound_dataset(written: Path) -> None:
    """The one warning is for documents that two people read, which is meant."""
    checked = check_folder(written)
    assert checked.errors == ()
    warned = Counter(p.code for p in checked.problems)
    assert set(warned) == {"claim_twice"}
    assert warned["claim_twice"] < 0.02 * len(checked.records.claims)


def test_it_is_marked_as_invented_and_says_at_which_event_it_stands(written: Path) -> None:
    whole = read_dataset(written)
    assert whole.demo
    assert "no such bikes" in whole.title
    assert whole.head == whole.records


def test_what_is_read_back_is_what_was_made(written: Path) -> None:
    read = read_dataset(written).entries
    made = sorted((entry for entry, _ in world_of(1000)), key=lambda e: frame_order(e.frame))
    assert [e.frame for e in read] == [e.frame for e in made]
    for ours, theirs in zip(made, read, strict=True):
        assert sorted(ours.claims, key=claim_order) == sorted(theirs.claims, key=claim_order)
        assert ours.decisions == theirs.decisions


def test_the_truth_stands_beside_it(written: Path) -> None:
    lines = (written / TRUTH).read_bytes().splitlines()
    told = {t["frame"]: t for t in map(jsontext.loads, lines)}
    assert set(told) == {entry.frame.id for entry, _ in world_of(1000)}
    for _, truth in world_of(1000):
        assert told[truth.frame] == jsontext.loads(jsontext.dumps(truth.as_json()).encode())
    people = {jsontext.loads(row)["person"] for row in (written / PEOPLE).read_bytes().splitlines()}
    by = {c.source.by for _, c, _ in said()}
    assert by <= people
    assert len(by) > 0.5 * len(people)


def test_every_kind_of_record_and_of_error_occurs() -> None:
    assert {e.frame.record for e, _ in world_of(1000)} == {"frame", "merged", "divided", "withdrawn"}
    assert {mark for _, _, marks in said() for mark in marks} == set(ERRORS)
    assert any(e.frame.same_ends for e, _ in world_of(1000))
    assert any(e.frame.years.end is None for e, _ in world_of(1000))
    assert {d.ruling for e, _ in world_of(1000) for d in e.decisions} >= {"settle", "refuse_claims", "withhold"}


# -- the truth is true ------------------------------------------------------------------------------------------
def test_an_unmarked_statement_is_true() -> None:
    stated = [(t, c) for t, c, marks in said() if not marks and c.value is not None]
    assert len(stated) > 1000
    for truth, claim in stated:
        assert claim.value is not None
        assert agree(claim.value, truth.values[claim.subject]), claim


def test_unmarked_readings_are_readings_of_the_true_size() -> None:
    """All but those of an unsteady hand: one in eight or so reads over its size, which hardware never is."""
    read = [(t, c) for t, c, marks in said() if not marks and c.source.kind == "measured" and c.value is None]
    right = sum(statement_of(claim).allows(truth.values[claim.subject]) for truth, claim in read)
    assert len(read) > 300
    assert right / len(read) > 0.7


def test_marks_say_what_is_wrong() -> None:
    for truth, claim, marks in said():
        if claim.value is None or len(marks) != 1:
            continue
        true = truth.values[claim.subject]
        if marks[0] == "wrong_end":
            other = next(v for s, v in truth.values.items() if s not in (claim.subject, "shock_size"))
            assert agree(claim.value, other)
        elif marks[0] == "changed_part":
            assert agree(claim.value, truth.later[claim.subject])
        elif marks[0] == "digit_slip":
            assert not agree(claim.value, true)
        elif marks[0] == "wrong_mount":
            assert isinstance(claim.value, EndValue)
            assert isinstance(true, EndValue)
            assert claim.value.mount != true.mount


def test_a_bushing_bore_reads_far_over_the_bolt_it_is_taken_for() -> None:
    read = [c for _, c, marks in said() if "bushing_bore" in marks and "ruler" not in marks]
    assert len(read) > 20
    for claim in read:
        assert claim.source.measurement is not None
        assert max(claim.source.measurement.bolt_readings_mm) > 12


# -- how much is held -------------------------------------------------------------------------------------------
def test_memory_does_not_grow_with_the_world() -> None:
    def peak(frames: int) -> int:
        tracemalloc.start()
        for _ in World(SEED + 1, frames).entries():
            pass
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    peak(20)  # what is remembered once and for all
    small, large = peak(100), peak(600)
    assert large < small + 600_000
    assert large < 3_000_000


# -- the command ------------------------------------------------------------------------------------------------
def test_the_command_writes_a_world_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "world"
    assert main(["3", "12", str(folder)]) == 0
    assert len(read_dataset(folder).entries) == 12
    assert main(["3", "12", str(folder)]) == 1
    said_ = capsys.readouterr()
    assert "12 invented frames" in said_.out
    assert "is there already" in said_.err


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_bar_is_shown_on_a_terminal_only() -> None:
    terminal, file = _Terminal(), io.StringIO()
    for out in (terminal, file):
        assert list(shown(["a", "b"], 10, "frames", size=lambda _: 5, out=out)) == ["a", "b"]
    assert file.getvalue() == ""
    assert "100% 10 of 10 frames" in terminal.getvalue().rpartition("\r")[2]


def test_the_bar_says_how_long_it_will_take() -> None:
    assert line(250, 1000, "frames", 5.0).rstrip() == (
        "[#######.......................]  25% 250 of 1,000 frames, 50/s, 15 s left"
    )
