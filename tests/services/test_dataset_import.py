"""Edited files imported into a database that has gone on, on both databases: merged, or refused as a whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.contents import Dataset, FrameEntry
from boltspan.dataset.files import check_folder, read_dataset, write_dataset
from boltspan.dataset.layout import HEADER
from boltspan.domain.errors import NotAllowed, NotAuthenticated
from boltspan.domain.frames import Model, Years
from boltspan.domain.jsontext import loads
from boltspan.services.cases import RECORD, case_tag
from boltspan.services.datasets import export_dataset, import_dataset
from boltspan.services.permissions import ANYBODY, ROLES, Actor
from boltspan.services.protocols import Storage
from boltspan.services.review import decide
from tests.services.conftest import StandingClock
from tests.services.dataset_world import (
    PERSON,
    SKERRY,
    SKERRY_NEXT,
    SWAPPED,
    People,
    answer,
    bring,
    edited,
    entry,
    export_to,
    page,
    ruling,
    shipped,
    with_entry,
    with_frame,
    year_answer,
)


def test_the_files_a_database_was_filled_from_change_nothing(
    filled: Storage, clock: StandingClock, tmp_path: Path
) -> None:
    before = export_to(filled, tmp_path / "one")
    report = bring(filled, shipped(), clock)
    assert (report.plan.empty, report.plan.stands, report.written, report.answers) == (True, True, False, ())
    assert export_to(filled, tmp_path / "two") == before


def test_only_the_command_line_or_whoever_is_permitted_imports(filled: Storage, clock: StandingClock) -> None:
    with filled.writing() as uow:
        with pytest.raises(NotAuthenticated):
            import_dataset(ANYBODY, uow, shipped(), clock, preview=True)
        with pytest.raises(NotAllowed):
            import_dataset(Actor(PERSON, ROLES["maintainer"]), uow, shipped(), clock, preview=True)
        import_dataset(Actor(PERSON, ROLES["operator"]), uow, shipped(), clock, preview=True)


def test_an_edited_export_is_taken_whole_and_every_change_is_an_event(
    filled: Storage, clock: StandingClock, tmp_path: Path
) -> None:
    start = shipped().head
    write_dataset(edited(shipped()), tmp_path / "edited")
    report = bring(filled, read_dataset(tmp_path / "edited"), clock)
    assert (report.plan.stands, report.written) == (True, True)
    with filled.reading() as uow:
        events = uow.events.page(start, 100)
        assert report.head == uow.events.last() == start + len(events)
        found = export_dataset(uow)
    assert sorted(e.kind for e in events) == sorted([
        "dataset_changed", "make_added", "make_edited", "model_added", "model_edited", "frame_added", "frame_edited",
        "claim_added", "claim_withdrawn", "decision_made",
    ])  # fmt: skip
    assert replace(found, head=start) == read_dataset(tmp_path / "edited")
    assert bring(filled, found, clock).plan.empty


def test_what_is_imported_answers_at_once(filled: Storage, clock: StandingClock) -> None:
    before = answer(filled, SKERRY)
    bring(filled, edited(shipped()), clock)
    after = answer(filled, SKERRY)
    assert before != after
    assert after["model"]["name"] == "Skerry 27"
    assert after["years"] == {"from": 2020, "to": 2023}
    assert answer(filled, SKERRY_NEXT)["model"]["name"] == "Skerry 27", "a new name is in every answer that has it"
    assert answer(filled, "f-0000000001")["make"]["name"] == "Osbrae"
    assert year_answer(filled, "osbrae/holm/2019") is not None
    with filled.reading() as uow:
        stored = uow.catalogue.frame(SKERRY)
        published = uow.published.get(f"/v1/frames/{SKERRY}")
        assert stored is not None and published is not None
        assert stored.sequence == published.sequence > shipped().head, "other workers see that it has changed"


def test_the_report_shows_what_becomes_of_the_answers(filled: Storage, clock: StandingClock) -> None:
    report = bring(filled, edited(shipped()), clock, preview=True)
    told = {(c.name, c.subject): c.text().partition(", ")[2].partition(": ")[2] for c in report.answers}
    skerry, holm = "Tarnvale Skerry 27 2020 to 2023", "Osbrae Holm 2019 on"
    assert told[skerry, "lower"] == "no value (unknown, do_not_sell) -> M8 x 30 (settled, sell)"
    assert told[holm, "upper"] == "no answer -> M8 x 22.2 (provisional, ask_first)"


def test_a_preview_writes_nothing(filled: Storage, clock: StandingClock, tmp_path: Path) -> None:
    before = export_to(filled, tmp_path / "one")
    report = bring(filled, edited(shipped()), clock, preview=True)
    assert (report.plan.stands, report.plan.empty, report.written) == (True, False, False)
    assert report.head == shipped().head
    assert export_to(filled, tmp_path / "two") == before


def test_an_edited_export_is_merged_into_a_database_that_has_gone_on(
    filled: Storage, clock: StandingClock, people: People, tmp_path: Path
) -> None:
    """The files change one frame, the database meanwhile others, and other fields of the same one: both are kept."""
    people.edit(filled, SKERRY_NEXT, {"edit": "years", "years": {"from": 2024, "to": 2027}})
    people.edit(filled, SWAPPED, {"edit": "qualifier",
                                  "qualifier": {"kind": "material", "is": "alloy", "ask": "Is it alloy?"}})  # fmt: skip
    claim = people.claim(filled, SKERRY, "lower", width="30")
    with filled.writing() as uow:
        case = uow.cases.of_subject(SKERRY_NEXT, "lower") or uow.cases.of_subject(SWAPPED, "upper")
        assert case is not None
        body = {"ruling": "leave_open", "why": "the maker is asked"}
        decide(people.maintainer, uow, clock, case.id, body, case_tag(case), people.key())
    files = with_frame(shipped(), SWAPPED, years=Years(2021, 2023))
    skerry = entry(files, SKERRY)
    files = with_entry(files, replace(skerry, claims=(*skerry.claims, page(skerry.frame, "lower", 1, "30"))))
    report = bring(filled, files, clock)
    assert (report.plan.stands, report.written) == (True, True)
    with filled.reading() as uow:
        whole = export_dataset(uow)
        waiting = uow.statements.claim(claim)
    assert entry(whole, SKERRY_NEXT).frame.years == Years(2024, 2027)
    merged = entry(whole, SWAPPED).frame
    assert merged.years == Years(2021, 2023)
    assert merged.qualifier is not None and merged.qualifier.equals == "alloy"
    assert [c.id for c in entry(whole, SKERRY).claims_on("lower")] == ["c-0000000001"]
    assert waiting is not None and waiting.state == "submitted", "a review is not decided by an import"
    assert [d.ruling for d in entry(whole, SWAPPED).decisions_on("upper")] == ["leave_open"]


CLASHES: list[tuple[str, dict[str, Any], Callable[[Dataset], Dataset]]] = [
    ("changed_on_both_sides", {"edit": "years", "years": {"from": 2021, "to": 2024}},
     lambda d: with_frame(d, SWAPPED, years=Years(2021, 2023))),
    ("changed_on_both_sides", {"edit": "withdraw"},
     lambda d: with_frame(d, SWAPPED, record="merged", into=(SKERRY,))),
    ("changed_on_both_sides", {"edit": "names", "name": "Wrackline One"},
     lambda d: replace(d, models=tuple(replace(m, name="Wrack") if m.slug == "wrackline" else m for m in d.models))),
]  # fmt: skip


@pytest.mark.parametrize(("code", "edit", "bend"), CLASHES, ids=["years", "record", "name"])
def test_a_field_changed_on_both_sides_is_listed_and_nothing_is_written(
    filled: Storage,
    clock: StandingClock,
    people: People,
    tmp_path: Path,
    code: str,
    edit: dict[str, Any],
    bend: Callable[[Dataset], Dataset],
) -> None:
    people.edit(filled, SWAPPED, edit)
    before = export_to(filled, tmp_path / "one")
    skerry = entry(shipped(), SKERRY)
    more = with_entry(shipped(), replace(skerry, claims=(*skerry.claims, page(skerry.frame, "lower", 1))))
    report = bring(filled, bend(more), clock)
    assert [c.code for c in report.plan.conflicts] == [code]
    assert not report.written
    assert export_to(filled, tmp_path / "two") == before, "not even what does not clash"


def test_a_subject_decided_on_both_sides_is_listed(filled: Storage, clock: StandingClock, people: People) -> None:
    with filled.writing() as uow:
        case = uow.cases.of_subject(SWAPPED, "upper")
        assert case is not None
        body = {"ruling": "leave_open", "why": "the maker is asked"}
        decide(people.maintainer, uow, clock, case.id, body, case_tag(case), people.key())
    swapped = entry(shipped(), SWAPPED)
    files = with_entry(shipped(), replace(swapped, decisions=(*swapped.decisions, ruling(swapped.frame, "upper", 1))))
    assert [c.code for c in bring(filled, files, clock).plan.conflicts] == ["decided_on_both_sides"]


def test_files_from_the_future_are_refused(filled: Storage, clock: StandingClock) -> None:
    report = bring(filled, replace(shipped(), head=shipped().head + 1), clock)
    assert [c.code for c in report.plan.conflicts] == ["head_not_reached"]


def test_a_merge_that_breaks_a_rule_is_refused(filled: Storage, clock: StandingClock, people: People) -> None:
    people.edit(filled, SKERRY, {"edit": "years", "years": {"from": 2021, "to": 2023}})
    report = bring(filled, with_frame(shipped(), SKERRY, years=Years(2021, 2025)), clock)
    assert [p.code for p in report.plan.problems] == ["years_overlap"]
    assert not report.written


def test_a_decision_from_the_files_closes_the_case_and_a_reversal_opens_it(
    filled: Storage, clock: StandingClock
) -> None:
    swapped = entry(shipped(), SWAPPED)
    held = ruling(swapped.frame, "upper", 1)
    files = with_entry(shipped(), replace(swapped, decisions=(*swapped.decisions, held)))
    bring(filled, files, clock)
    with filled.reading() as uow:
        case = uow.cases.of_subject(SWAPPED, "upper")
        assert case is not None and case.state == "closed"
        files = export_dataset(uow)
    swapped = entry(files, SWAPPED)
    undone = ruling(swapped.frame, "upper", 2, "reverse", reverses=held.id)
    bring(filled, with_entry(files, replace(swapped, decisions=(*swapped.decisions, undone))), clock)
    with filled.reading() as uow:
        case = uow.cases.of_subject(SWAPPED, "upper")
        assert case is not None and case.state == "open"
        assert set(case.reasons) == {"reversed", "disputed"}


def test_a_claim_against_a_ruling_opens_a_review_and_contests_the_answer(filled: Storage, clock: StandingClock) -> None:
    skerry = entry(shipped(), SKERRY)
    other = page(skerry.frame, "upper", 1, "25.4")
    bring(filled, with_entry(shipped(), replace(skerry, claims=(*skerry.claims, other))), clock)
    with filled.reading() as uow:
        case = uow.cases.of_subject(SKERRY, "upper")
    assert case is not None and (case.state, case.reasons) == ("open", ("disputed",))


def test_a_refusal_from_the_files_refuses_the_claim(filled: Storage, clock: StandingClock) -> None:
    swapped = entry(shipped(), SWAPPED)
    claim = swapped.claims_on("upper")[0]
    refusal = ruling(swapped.frame, "upper", 1, "refuse_claims", refuses=[claim.id])
    bring(filled, with_entry(shipped(), replace(swapped, decisions=(*swapped.decisions, refusal))), clock)
    with filled.reading() as uow:
        stored = uow.statements.claim(claim.id)
    assert stored is not None and stored.state == "refused"


def test_a_proposal_and_a_waiting_claim_that_the_files_hold_are_let_in(
    filled: Storage, clock: StandingClock, people: People
) -> None:
    frame = people.proposal(filled, "Ossiter", "fennard", 2010)
    claim = people.claim(filled, SKERRY, "lower")
    with filled.reading() as uow:
        proposed, waiting = uow.catalogue.frame(frame), uow.statements.claim(claim)
    assert proposed is not None and waiting is not None
    skerry = entry(shipped(), SKERRY)
    files = with_entry(
        shipped(), replace(skerry, claims=(*skerry.claims, replace(waiting, state="accepted", sequence=0)))
    )
    files = replace(files, entries=(*files.entries, FrameEntry(proposed.frame)))
    report = bring(filled, files, clock)
    assert report.written
    with filled.reading() as uow:
        listed, accepted = uow.catalogue.frame(frame), uow.statements.claim(claim)
        case = uow.cases.of_subject(frame, RECORD)
        kinds = [e.kind for e in uow.events.page(report.head - 2, 2)]
    assert listed is not None and listed.listed
    assert accepted is not None and accepted.state == "accepted"
    assert case is not None and case.state == "closed"
    assert set(kinds) == {"frame_listed", "claim_accepted"}
    assert answer(filled, frame) is not None


def test_a_record_that_became_something_else_is_told_as_that(filled: Storage, clock: StandingClock) -> None:
    withdrawn = with_frame(shipped(), SWAPPED, record="withdrawn", withdrawn_on="2026-05-05", why="never sold")
    report = bring(filled, with_frame(withdrawn, SKERRY_NEXT, record="merged", into=(SKERRY,)), clock)
    with filled.reading() as uow:
        events = {e.kind: e for e in uow.events.page(shipped().head, 10)}
    assert set(events) == {"frame_withdrawn", "frame_merged"}
    assert events["frame_withdrawn"].payload["why"] == "never sold"
    assert events["frame_merged"].payload["into"] == SKERRY
    assert answer(filled, SWAPPED) is None
    assert {a.frame for a in report.answers} == {SWAPPED, SKERRY_NEXT}


def test_a_frame_moved_to_another_model_leaves_no_old_answer(filled: Storage, clock: StandingClock) -> None:
    assert year_answer(filled, "tarnvale/wrackline/2022") is not None
    moved = with_frame(shipped(), SWAPPED, model="wrackline-evo")
    wrong = entry(moved, SWAPPED)
    frame = wrong.frame
    files = replace(
        with_entry(moved, FrameEntry(frame, wrong.claims, wrong.decisions)),
        models=(*moved.models, Model("tarnvale", "wrackline-evo", "Wrackline Evo")),
    )
    assert bring(filled, files, clock).written
    left = year_answer(filled, "tarnvale/wrackline/2022")
    assert left is not None
    assert (left["outcome"], left["frames"]) == ("unknown", [])
    assert year_answer(filled, "tarnvale/wrackline-evo/2022") is not None


def test_years_given_up_are_answered_anew(filled: Storage, clock: StandingClock) -> None:
    old = year_answer(filled, "tarnvale/wrackline/2022")
    assert bring(filled, with_frame(shipped(), SWAPPED, years=Years(2021, 2021)), clock).written
    new = year_answer(filled, "tarnvale/wrackline/2022")
    assert old != new
    assert SWAPPED not in str(new)


def test_whatever_was_imported_is_exported_as_sound_files(
    filled: Storage, clock: StandingClock, tmp_path: Path
) -> None:
    bring(filled, edited(shipped()), clock)
    exported = export_to(filled, tmp_path)
    assert check_folder(tmp_path).errors == ()
    assert read_dataset(tmp_path).head == loads(exported[HEADER])["head"] > shipped().head
