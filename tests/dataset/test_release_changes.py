"""CHANGES.json: what answers otherwise than before, frame by frame and end by end, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.contents import FrameEntry, frame_order
from boltspan.dataset.releasing.changes import told
from boltspan.domain.jsontext import loads
from tests.dataset import release_sample as sample
from tests.domain.builders import SIZE, exact, frame, page, ruling

F1, F2, F3 = "f-0000000001", "f-0000000002", "f-0000000003"


def changes(tmp_path: Path, before: list[FrameEntry], after: list[FrameEntry]) -> dict[str, Any]:
    """Return CHANGES.json of a release of ``after`` against one of ``before``."""
    sample.write(tmp_path / "1", before)
    sample.write(tmp_path / "2", after, version="2026.03.2", previous="2026.03.1",
                 previous_folder=tmp_path / "1")  # fmt: skip
    found: dict[str, Any] = loads((tmp_path / "2" / "CHANGES.json").read_bytes())
    assert (found["release"], found["previous"], found["event"]) == ("2026.03.2", "2026.03.1", 40)
    assert sum(found["counts"].values()) == len(found["frames"])
    assert [f["frame"] for f in found["frames"]] == sorted(f["frame"] for f in found["frames"])
    return found


def changed_entry(frame_id: str, **more: Any) -> list[FrameEntry]:
    """Return the sample's entries with that frame's entry changed."""
    return [replace(e, **more) if e.frame.id == frame_id else e for e in sample.entries()]


def entry(frame_id: str) -> FrameEntry:
    return next(e for e in sample.entries() if e.frame.id == frame_id)


def test_nothing_changed(tmp_path: Path) -> None:
    found = changes(tmp_path, sample.entries(), sample.entries())
    assert (found["frames"], found["counts"]) == ([], {})


def test_the_first_release_adds_every_frame_that_answers(tmp_path: Path) -> None:
    sample.write(tmp_path / "1")
    found = loads((tmp_path / "1" / "CHANGES.json").read_bytes())
    assert "previous" not in found
    assert [(f["frame"], f["change"]) for f in found["frames"]] == [(i, "added") for i in (F1, F2, F3)]
    assert found["counts"] == {"added": 3}


def test_a_new_ruling_is_told_with_the_width_before_and_after(tmp_path: Path) -> None:
    old = entry(F1).decisions[0]
    new = replace(ruling(9, "settle", value={**SIZE, "width_mm": "25.4"}, rests_on=[1]), frame=F1)
    found = changes(tmp_path, sample.entries(), changed_entry(F1, decisions=(old, new)))
    (change,) = found["frames"]
    assert (change["frame"], change["change"]) == (F1, "changed")
    (upper,) = change["answers"]
    # Claims for 22.2 that the new ruling did not overrule speak against it, so it is contested.
    assert upper["text"] == "upper: 22.225 -> 25.4 mm, contested"
    assert upper["before"]["value"]["width_mm"] == exact("22.225")
    assert upper["after"]["value"]["label"] == "M8 x 25.4"
    assert (upper["before"]["advice"], upper["after"]["advice"]) == ("sell", "ask_first")
    assert "evidence" not in change


def test_a_conflict_takes_the_value_away(tmp_path: Path) -> None:
    before = changed_entry(F2, claims=tuple(c for c in entry(F2).claims if c.id != "c-0000000006"))
    (change,) = changes(tmp_path, before, sample.entries())["frames"]
    assert [a["text"] for a in change["answers"]] == ["upper: M8 x 22.2 -> no value, provisional -> disputed"]


def test_more_of_the_same_evidence_is_told_as_evidence_only(tmp_path: Path) -> None:
    more = page(20, SIZE, of=entry(F1).frame, document="example.org/20")
    (change,) = changes(tmp_path, sample.entries(), changed_entry(F1, claims=(*entry(F1).claims, more)))["frames"]
    assert change["evidence"] == ["upper"]
    assert "answers" not in change


def test_another_event_number_alone_is_no_change(tmp_path: Path) -> None:
    from boltspan.dataset.releasing.changes import changes_between

    for name, event in (("1", 40), ("2", 41)):
        lines = [sample.answer(e, event=event) for e in sample.entries() if e.frame.live]
        (tmp_path / name).write_bytes(b"".join(sorted(lines)))
    assert (tmp_path / "1").read_bytes() != (tmp_path / "2").read_bytes()
    assert list(changes_between(tmp_path / "1", tmp_path / "2", {})) == []


def test_a_changed_record_is_told_field_by_field(tmp_path: Path) -> None:
    wider = replace(entry(F1).frame, years=replace(entry(F1).frame.years, end=None))
    asked = frame(1, qualifier=sample.SERIAL | {"is": "X"}).qualifier
    after = changed_entry(F1, frame=replace(wider, qualifier=asked))
    (change,) = changes(tmp_path, sample.entries(), sorted(after, key=lambda e: frame_order(e.frame)))["frames"]
    assert change["record"]["years"] == {"before": {"from": 2021, "to": 2023}, "after": {"from": 2021}}
    assert list(change["record"]["qualifier"]) == ["after"]


@pytest.mark.parametrize(
    ("record", "more"),
    [
        ("merged", {"into": (F1,)}),
        ("divided", {"into": (F1, F3)}),
        ("withdrawn", {"why": "it was never made"}),
    ],
)
def test_a_frame_that_answers_no_more_is_told_with_what_became_of_it(
    tmp_path: Path, record: str, more: Mapping[str, Any]
) -> None:
    on = {"withdrawn_on": "2026-03-01"} if record == "withdrawn" else {}
    gone = replace(entry(F2).frame, record=record, **more, **on)
    found = changes(tmp_path, sample.entries(), changed_entry(F2, frame=gone))
    (change,) = found["frames"]
    told_more = {k: list(v) if isinstance(v, tuple) else v for k, v in more.items()}
    assert change == {"frame": F2, "change": record, "make": "tarnvale", "model": "skerry", **told_more}
    assert found["counts"] == {record: 1}


def test_a_frame_that_is_just_not_there_is_missing(tmp_path: Path) -> None:
    found = changes(tmp_path, sample.entries(), [e for e in sample.entries() if e.frame.id != F2])
    assert [(c["frame"], c["change"]) for c in found["frames"]] == [(F2, "missing")]


def test_added_changed_and_gone_are_told_together_in_order(tmp_path: Path) -> None:
    before = [e for e in sample.entries() if e.frame.id != F1]
    gone = replace(entry(F3).frame, record="merged", into=(F2,))
    after = changed_entry(F3, frame=gone)
    after = [replace(e, claims=()) if e.frame.id == F2 else e for e in after]
    found = changes(tmp_path, before, after)
    assert [(c["frame"], c["change"]) for c in found["frames"]] == [(F1, "added"), (F2, "changed"), (F3, "merged")]
    assert found["counts"] == {"added": 1, "changed": 1, "merged": 1}


def end(standing: str, value: Mapping[str, Any] | None = None, advice: str = "sell", **more: Any) -> dict[str, Any]:
    labelled = {"value": exact(value)} if value else {}
    return {"standing": standing, "advice": advice, **labelled, **more}


M8_22 = {"mount": "hardware", "bolt_mm": 8, "width_mm": "22.2", "label": "M8 x 22.2"}
M8_25 = {**M8_22, "width_mm": "25.4", "label": "M8 x 25.4"}
M10_25 = {**M8_25, "bolt_mm": 10, "label": "M10 x 25.4"}
TRUNNION = {"mount": "trunnion", "label": "trunnion"}


@pytest.mark.parametrize(
    ("before", "after", "text"),
    [
        (end("settled", M8_22), end("settled", M8_25), "upper: 22.2 -> 25.4 mm"),
        (end("settled", {**M8_22, "width_mm": 25, "label": "M8 x 25"}), end("settled", {**M8_22, "width_mm": 30}),
         "upper: 25 -> 30 mm"),
        (end("settled", M8_22), end("settled", M10_25), "upper: M8 x 22.2 -> M10 x 25.4"),
        (end("settled", M8_22), end("settled", TRUNNION), "upper: M8 x 22.2 -> trunnion"),
        (end("provisional", M8_22), end("settled", M8_22), "upper: provisional -> settled"),
        (end("settled", M8_22), end("withheld"), "upper: M8 x 22.2 -> no value, settled -> withheld"),
        (end("unknown"), end("settled", M8_22), "upper: no value -> M8 x 22.2, unknown -> settled"),
        (end("settled", M8_22), end("settled", M8_22, "ask_first", contested=True), "upper: contested"),
        (end("settled", M8_22, "ask_first", contested=True), end("settled", M8_22), "upper: no longer contested"),
        (end("settled", M8_22), end("settled", M8_22, "ask_first"), "upper: sell -> ask_first"),
        (end("settled", M8_22), end("settled", {**M8_22, "bearing_compatible": True}), "upper: bearing compatible"),
        ({}, end("unknown", advice="do_not_sell"), "upper: not asked -> unknown"),
    ],
)  # fmt: skip
def test_a_change_in_words(before: Mapping[str, Any], after: Mapping[str, Any], text: str) -> None:
    assert told("upper", before, after) == text
