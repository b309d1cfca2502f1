"""Files into a database and back, on both databases: byte for byte the same when nobody touched them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from boltspan.dataset.contents import Dataset
from boltspan.dataset.documents import documents_in
from boltspan.dataset.files import check_folder, read_dataset
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.errors import Clash
from boltspan.services.cases import case_tag
from boltspan.services.datasets import export_dataset, fill
from boltspan.services.protocols import Storage
from boltspan.services.publishing import findings_of
from boltspan.services.review import decide
from tests.services.conftest import StandingClock
from tests.services.dataset_world import (
    BUSHING,
    CONTRADICTED,
    SKERRY,
    SWAPPED,
    People,
    answer,
    bring,
    entry,
    export_to,
    page,
    shipped,
    with_entry,
    year_answer,
)


def test_a_filled_database_exports_the_same_bytes(filled: Storage, tmp_path: Path) -> None:
    assert export_to(filled, tmp_path) == {d.path: d.raw for d in documents_in(dataset_folder())}


def test_a_second_database_filled_from_the_export_exports_them_too(
    filled: Storage, clock: StandingClock, tmp_path: Path
) -> None:
    """An export at a later event fills another database so that its last event is the export's head."""
    first = entry(shipped(), SKERRY)
    bring(filled, with_entry(shipped(), replace(first, claims=(*first.claims, page(first.frame, "lower", 1)))), clock)
    exported = export_to(filled, tmp_path / "one")
    again = read_dataset(tmp_path / "one")
    assert again.head == shipped().head + 1
    with filled.writing() as uow:
        assert uow.events.last() == again.head
        with pytest.raises(Clash):
            fill(uow, again, clock)
    assert export_to(filled, tmp_path / "two") == exported


def test_events_are_numbered_up_to_the_files_head(storage: Storage, clock: StandingClock) -> None:
    later = replace(shipped(), head=1000)
    with storage.writing() as uow:
        assert fill(uow, later, clock) == 1000
        assert uow.events.first() == 1000 - later.records + 1
    with storage.reading() as uow:
        assert export_dataset(uow) == later


def test_files_written_by_hand_with_a_low_head_are_numbered_from_one(storage: Storage, clock: StandingClock) -> None:
    with storage.writing() as uow:
        assert fill(uow, replace(shipped(), head=0), clock) == shipped().records
        assert uow.events.first() == 1


def test_an_empty_dataset_fills_nothing(storage: Storage, clock: StandingClock) -> None:
    with storage.writing() as uow:
        assert fill(uow, Dataset("Empty", "CC0-1.0", False, 0), clock) == 0
    with storage.reading() as uow:
        assert export_dataset(uow) == Dataset("Empty", "CC0-1.0", False, 0)


def test_every_record_is_an_event_that_holds_it(filled: Storage) -> None:
    with filled.reading() as uow:
        events = uow.events.page(0, 1000)
        assert [e.sequence for e in events] == list(range(1, shipped().records + 1))
        kinds = {kind: sum(e.kind == kind for e in events) for kind in {e.kind for e in events}}
        whole = shipped()
        assert kinds == {
            "make_added": len(whole.makes), "model_added": len(whole.models), "frame_added": len(whole.entries),
            "shock_model_added": len(whole.shock_models), "shock_added": len(whole.shocks),
            "hardware_added": len(whole.hardware),
        }  # fmt: skip
        for key in ("make/tarnvale", "model/tarnvale/skerry", SKERRY, "shock_model/orrinfell/brindle", "s-ht9c2a18qb"):
            assert uow.events.newest_record(key, whole.head) is not None


def test_refused_claims_are_refused_and_withdrawn_ones_withdrawn(filled: Storage) -> None:
    with filled.reading() as uow:
        states = {c.state for e in shipped().entries for c in uow.statements.claims(e.frame.id)}
        refused = {i for e in shipped().entries for d in e.decisions for i in d.refuses}
        assert states == {"accepted", "refused", "withdrawn"}
        assert {uow.statements.claim(i).state for i in refused} == {"refused"}  # type: ignore[union-attr]


def test_contradictions_nobody_has_decided_wait_for_a_review(filled: Storage) -> None:
    with filled.reading() as uow:
        cases = uow.cases.page("open", None, 500)
        undecided = {
            (e.about.id, f.subject)
            for e in shipped().made
            if e.about.live
            for f in findings_of(uow, [e.about])[e.about.id]
            if (f.standing == "disputed" and f.decision is None) or f.contested
        }
    assert {(c.frame, c.subject) for c in cases} == undecided
    assert undecided >= {(SWAPPED, "upper"), (CONTRADICTED, "rear"), (BUSHING, "rear")}
    assert {c.reasons for c in cases} == {("disputed",)}


def test_a_filled_database_answers(filled: Storage) -> None:
    found = answer(filled, SKERRY)
    assert found["demo"] is True
    assert found["ends"]["upper"]["standing"] == "settled"
    assert answer(filled, "f-z3hdrmyvjg") is None, "a merged record answers for nothing"
    assert year_answer(filled, "tarnvale/skerry/2022") is not None


def test_what_waits_for_a_review_is_not_exported(filled: Storage, clock: StandingClock, people: People) -> None:
    people.claim(filled, SKERRY, "lower")
    people.proposal(filled, "Ossiter", "fennard", 2010)
    people.proposal(filled, "Unheard", "unheard", 2010)
    with filled.reading() as uow:
        found = export_dataset(uow)
    assert replace(found, head=shipped().head) == shipped()


def test_a_waiting_claim_that_a_decision_names_is_exported(
    filled: Storage, clock: StandingClock, people: People, tmp_path: Path
) -> None:
    claim = people.claim(filled, SKERRY, "lower")
    with filled.writing() as uow:
        case = uow.cases.of_subject(SKERRY, "lower")
        assert case is not None
        body = {"ruling": "refuse_claims", "refuses": [claim], "why": "no such page"}
        decide(people.maintainer, uow, clock, case.id, body, case_tag(case), people.key())
    exported = export_to(filled, tmp_path)
    assert claim.encode() in exported["frames/tarnvale/skerry.json"]
    assert [p.code for p in check_folder(tmp_path).errors] == []
    assert bring(filled, read_dataset(tmp_path), clock).plan.empty
