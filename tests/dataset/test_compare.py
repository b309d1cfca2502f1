"""What a change of records does to the answers."""

from __future__ import annotations

from dataclasses import replace

from boltspan.dataset.compare import answer_changes
from boltspan.dataset.contents import FrameEntry
from tests.dataset.sample import dataset, entry, sound
from tests.domain.builders import BEN, frame, page, ruling


def test_nothing_changed_says_nothing() -> None:
    assert answer_changes(sound(), sound()) == []


def test_a_new_ruling_is_shown_as_the_value_it_changes() -> None:
    other = {"mount": "hardware", "bolt_mm": 8, "width_mm": "25.4"}
    claims = (*entry().claims, page(3, other, by=BEN))
    ruled = (*entry().decisions, ruling(2, "settle", value=other, rests_on=[3], overrules=[1, 2]))
    (change,) = answer_changes(dataset(entry()), dataset(replace(entry(), claims=claims, decisions=ruled)))
    assert change.text() == (
        "Tarnvale Skerry 2021 to 2023 (f-0000000001), upper: M8 x 22.2 (settled, sell) -> M8 x 25.4 (settled, sell)"
    )


def test_a_claim_against_a_ruling_contests_it() -> None:
    against = page(3, {"mount": "hardware", "bolt_mm": 8, "width_mm": "25.4"}, by=BEN)
    contested = replace(entry(), claims=(*entry().claims, against))
    (change,) = answer_changes(dataset(entry()), dataset(contested))
    assert change.text().endswith("M8 x 22.2 (settled, sell) -> M8 x 22.2 (settled, contested, ask_first)")


def test_one_more_witness_of_the_same_changes_no_answer() -> None:
    more = replace(entry(), claims=(*entry().claims, page(3, {"width_mm": "22.2"}, by=BEN)))
    assert answer_changes(dataset(entry()), dataset(more)) == []


def test_a_frame_that_begins_or_ends_to_answer_is_told_for_each_subject() -> None:
    gone = replace(entry(), frame=frame(1, record="withdrawn", withdrawn_on="2026-01-01", why="never made"))
    new = FrameEntry(frame(3, start=2024, end=None))
    found = answer_changes(dataset(entry()), dataset(gone, new))
    assert [(c.frame[-1], c.subject, c.before is None, c.after is None) for c in found] == [
        ("1", "shock_size", False, True),
        ("1", "upper", False, True),
        ("1", "lower", False, True),
        ("3", "shock_size", True, False),
        ("3", "upper", True, False),
        ("3", "lower", True, False),
    ]
    assert found[1].text().endswith("upper: M8 x 22.2 (settled, sell) -> no answer")
    assert (
        found[4].text() == "Tarnvale Skerry 2024 on (f-0000000003), upper: no answer -> no value (unknown, do_not_sell)"
    )


def test_a_frame_that_is_no_longer_there_is_told_last() -> None:
    found = answer_changes(
        dataset(entry(), FrameEntry(frame(3, start=2024, end=None))),
        dataset(FrameEntry(frame(3, start=2024, end=None))),
    )
    assert {c.frame for c in found} == {"f-0000000001"}
    assert all(c.after is None for c in found)
