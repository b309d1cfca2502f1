"""Importing is a union of statements and a three-way merge of records; what clashes is listed and nothing is lost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given

from boltspan.dataset.contents import Dataset, FrameEntry, as_files, with_states
from boltspan.dataset.merge import CONFLICTS, plan_import
from boltspan.dataset.plan import ImportPlan, RecordOf
from boltspan.dataset.recordfields import key_of
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model, Qualifier, Years
from boltspan.domain.review import Decision
from tests.dataset.sample import dataset, entry
from tests.dataset.strategies import datasets
from tests.dataset.test_round_trip import SOME
from tests.domain.builders import BEN, CAM, SIZE, frame, page, ruling

HEAD = 10
OTHER = {"mount": "hardware", "bolt_mm": 8, "width_mm": "25.4"}


def records(of: Dataset) -> dict[str, RecordOf]:
    """Return the records of a dataset by key: what stood at its head."""
    every: list[RecordOf] = [*of.makes, *of.models, *(e.frame for e in of.entries)]
    return {key_of(r): r for r in every}


def base() -> Dataset:
    """Return what was exported at event 10."""
    return dataset(entry(), head=HEAD)


def with_frame(of: Dataset, **fields: Any) -> Dataset:
    """Return the dataset with fields of its first frame changed."""
    first, *rest = of.entries
    return replace(of, entries=(replace(first, frame=replace(first.frame, **fields)), *rest))


def with_statements(of: Dataset, *more: Claim | Decision) -> Dataset:
    """Return the dataset with more claims and decisions on its first frame."""
    first, *rest = of.entries
    claims = (*first.claims, *(s for s in more if isinstance(s, Claim)))
    decisions = (*first.decisions, *(s for s in more if isinstance(s, Decision)))
    return replace(of, entries=(replace(first, claims=claims, decisions=decisions), *rest))


def held(of: Dataset) -> Dataset:
    """Return a dataset as a database holds it: refused claims are in that state."""
    return replace(of, entries=tuple(replace(e, claims=with_states(e.claims, e.decisions)) for e in of.entries))


def plan(
    incoming: Dataset,
    current: Dataset,
    at_head: Mapping[str, RecordOf] | None = None,
    last: int = 20,
    unlisted: frozenset[str] = frozenset(),
) -> ImportPlan:
    """Return the plan; the base is what ``base`` holds unless ``at_head`` is given."""
    stood = records(base()) if at_head is None else at_head
    return plan_import(incoming, current, stood.get, last, unlisted)


def codes(of: ImportPlan) -> list[str]:
    """Return the codes of the plan's conflicts."""
    return [c.code for c in of.conflicts]


def test_an_untouched_export_brings_nothing() -> None:
    found = plan(base(), base())
    assert found.empty
    assert found.stands
    assert found.after == found.before


@SOME
@given(datasets())
def test_whatever_a_dataset_holds_it_brings_itself_nothing(whole: Dataset) -> None:
    found = plan_import(whole, held(whole), records(whole).get, whole.head)
    assert found.empty
    assert found.stands


@SOME
@given(datasets())
def test_an_empty_database_gets_everything(whole: Dataset) -> None:
    empty = Dataset(whole.title, whole.licence, whole.demo, 0)
    found = plan_import(whole, empty, lambda _: None, whole.head)
    assert found.stands
    assert as_files(replace(found.after, head=whole.head)) == whole


def test_new_makes_models_frames_claims_and_decisions_are_added() -> None:
    claim, decided = (
        page(3, SIZE, by=BEN, subject="lower"),
        ruling(2, "settle", subject="lower", value=SIZE, rests_on=[3]),
    )
    new = FrameEntry(replace(frame(4), model="wrackline"), (page(4, SIZE, of=replace(frame(4), model="wrackline")),))
    incoming = with_statements(base(), claim, decided)
    incoming = replace(
        incoming,
        makes=(*incoming.makes, Make("quillhope", "Quillhope")),
        models=(*incoming.models, Model("tarnvale", "wrackline", "Wrackline")),
        entries=(*incoming.entries, new),
    )
    found = plan(incoming, base())
    assert found.stands
    assert [m.slug for m in found.makes] == ["quillhope"]
    assert [m.slug for m in found.models] == ["wrackline"]
    assert [e.frame.id for e in found.frames] == [new.frame.id]
    assert (found.claims, found.decisions) == ((claim,), (decided,))
    assert as_files(found.after) == as_files(incoming)


def test_what_is_missing_from_the_files_is_not_touched() -> None:
    bare = replace(base(), models=(), makes=(), entries=(FrameEntry(entry().frame),))
    found = plan(bare, base())
    assert found.empty
    assert as_files(found.after) == as_files(base())


def test_a_field_changed_in_the_files_only_is_taken() -> None:
    found = plan(with_frame(base(), years=Years(2021, 2024)), base())
    assert found.stands
    assert [c.text() for c in found.changes] == [
        'f-0000000001 years: {"from": 2021, "to": 2023} -> {"from": 2021, "to": 2024}'
    ]
    assert found.after.entries[0].frame.years == Years(2021, 2024)


def test_a_field_changed_in_the_database_only_stays() -> None:
    found = plan(base(), with_frame(base(), years=Years(2021, 2024)))
    assert found.empty
    assert found.after.entries[0].frame.years == Years(2021, 2024)


SERIAL = Qualifier("serial", "What does the serial number say?", start="T5000")
SIDES: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "years": ({"years": Years(2021, 2024)}, {"years": Years(2020, 2023)}),
    "qualifier": ({"qualifier": SERIAL}, {"qualifier": replace(SERIAL, start="T6000")}),
    "record": (
        {"record": "withdrawn", "withdrawn_on": "2026-01-01", "why": "never made"},
        {"record": "withdrawn", "withdrawn_on": "2026-01-01", "why": "a double"},
    ),
    "same_ends": (
        {"same_ends": frame(1, same_ends={"names": {"front": "upper", "rear": "lower"},
                                          "source": {"kind": "fitted", "by": BEN, "seen_on": "2026-01-01"}}).same_ends},
        {"same_ends": frame(1, same_ends={"names": {"front": "lower", "rear": "upper"},
                                          "source": {"kind": "fitted", "by": CAM, "seen_on": "2026-01-01"}}).same_ends},
    ),
    "model": ({"model": "skerry-2"}, {"model": "skerry-3"}),
}  # fmt: skip


@pytest.mark.parametrize("field", SIDES)
def test_a_field_changed_on_both_sides_is_listed(field: str) -> None:
    theirs, ours = SIDES[field]
    found = plan(with_frame(base(), **theirs), with_frame(base(), **ours))
    assert codes(found) == ["changed_on_both_sides"]
    assert found.conflicts[0].record == f"f-0000000001 {field}"
    assert not found.changes


@pytest.mark.parametrize("field", SIDES)
def test_a_field_changed_alike_on_both_sides_is_no_conflict(field: str) -> None:
    theirs, _ = SIDES[field]
    found = plan(with_frame(base(), **theirs), with_frame(base(), **theirs))
    assert found.empty
    assert not found.conflicts


def test_two_fields_changed_on_one_side_each_are_both_kept() -> None:
    found = plan(with_frame(base(), years=Years(2021, 2024)), with_frame(base(), qualifier=SERIAL))
    assert found.stands
    merged = found.after.entries[0].frame
    assert (merged.years, merged.qualifier) == (Years(2021, 2024), SERIAL)


@pytest.mark.parametrize("field", ["name", "aliases"])
@pytest.mark.parametrize("kind", ["makes", "models"])
def test_names_and_aliases_are_merged_three_ways_too(kind: str, field: str) -> None:
    def renamed(value: str) -> Dataset:
        (record,) = getattr(base(), kind)
        changed: dict[str, Any] = {kind: (replace(record, **{field: value if field == "name" else (value,)}),)}
        return replace(base(), **changed)

    taken = plan(renamed("Tarn Dale"), base())
    assert taken.stands
    assert len(taken.changes) == 1
    assert plan(base(), renamed("Tarn Dale")).empty
    both = plan(renamed("Tarn Dale"), renamed("Tarn Hollow"))
    assert codes(both) == ["changed_on_both_sides"]


def test_a_record_of_which_no_base_is_known_may_not_differ() -> None:
    assert plan(base(), base(), at_head={}).empty
    found = plan(with_frame(base(), years=Years(2021, 2024)), base(), at_head={})
    assert codes(found) == ["no_common_record"]


def test_a_claim_with_a_known_id_and_other_content_is_listed() -> None:
    first = entry().claims[0]
    for other in (
        page(1, OTHER),
        replace(first, subject="lower"),
        replace(first, years=Years(2021, 2021)),
        replace(first, source=replace(first.source, quote="22.2")),
    ):
        edited = replace(base(), entries=(replace(entry(), claims=(other, entry().claims[1])),))
        assert codes(plan(edited, base())) == ["claim_differs"]


def test_a_decision_with_a_known_id_and_other_content_is_listed() -> None:
    edited = replace(base(), entries=(replace(entry(), decisions=(replace(entry().decisions[0], why="other"),)),))
    assert codes(plan(edited, base())) == ["decision_differs"]


def test_a_claim_moved_to_a_new_frame_is_listed() -> None:
    moved = replace(entry().claims[0], frame="f-0000000009")
    incoming = replace(base(), entries=(*base().entries, FrameEntry(frame(9, start=2024, end=None), (moved,))))
    assert "claim_differs" in codes(plan(incoming, base()))


def withdrawn(claim: Claim, why: str = "wrong page") -> Claim:
    return replace(claim, withdrawn_on="2026-05-01", withdrawn_why=why, state="withdrawn")


def taken_back(why: str = "wrong page") -> Dataset:
    first, second = entry().claims
    return replace(base(), entries=(replace(entry(), claims=(withdrawn(first, why), second)),))


def test_a_claim_withdrawn_in_the_database_stays_so() -> None:
    found = plan(base(), taken_back())
    assert found.empty
    assert found.after.entries[0].claims[0].state == "withdrawn"


def test_a_claim_withdrawn_in_the_files_is_withdrawn() -> None:
    found = plan(taken_back(), base())
    assert found.stands
    assert [(c.id, c.state, c.withdrawn_why) for c in found.restated] == [("c-0000000001", "withdrawn", "wrong page")]
    assert plan(taken_back(), taken_back()).empty


def test_a_claim_withdrawn_for_two_reasons_is_listed() -> None:
    assert codes(plan(taken_back("a double"), taken_back())) == ["withdrawn_differently"]


def decided(number: int, sequence: int = 0, kind: str = "withhold") -> Decision:
    return replace(ruling(number, kind), sequence=sequence)


def test_a_subject_decided_on_both_sides_is_listed() -> None:
    found = plan(with_statements(base(), decided(3)), with_statements(base(), decided(2, HEAD + 1)))
    assert codes(found) == ["decided_on_both_sides"]
    assert (found.conflicts[0].here, found.conflicts[0].coming) == ("d-0000000002", "d-0000000003")


def test_different_subjects_decided_on_either_side_are_no_conflict() -> None:
    ours = replace(ruling(2, "withhold", subject="lower"), sequence=HEAD + 1)
    found = plan(with_statements(base(), decided(3)), with_statements(base(), ours))
    assert found.stands
    assert [d.id for d in found.decisions] == ["d-0000000003"]


def test_a_decision_that_the_files_lack_though_it_was_exported_is_no_decision_since() -> None:
    older = replace(base(), entries=(replace(entry(), decisions=()),))
    found = plan(with_statements(older, decided(3)), base())
    assert found.stands
    assert [d.id for d in found.after.entries[0].decisions] == ["d-0000000001", "d-0000000003"]


def test_a_decision_before_known_ones_is_listed() -> None:
    first = entry()
    inserted = replace(base(), entries=(replace(first, decisions=(decided(3), *first.decisions)),))
    assert codes(plan(inserted, base())) == ["decision_inserted"]


def test_files_of_a_later_event_than_the_databases_are_refused() -> None:
    assert codes(plan(base(), base(), last=HEAD - 1)) == ["head_not_reached"]
    assert plan(base(), base(), last=HEAD).stands


def test_invented_records_and_real_ones_do_not_mix() -> None:
    assert "demo_differs" in codes(plan(replace(base(), demo=False), base()))


def test_ends_that_bear_statements_are_not_renamed() -> None:
    swapped = replace(entry().frame, ends=("front", "rear"))
    found = plan(replace(base(), entries=(FrameEntry(swapped),)), base())
    assert "ends_in_use" in codes(found)
    bare = replace(base(), entries=(FrameEntry(entry().frame),))
    free = plan(replace(base(), entries=(FrameEntry(swapped),)), bare)
    assert free.stands
    assert [c.field for c in free.changes] == ["ends"]


def test_two_sound_sides_that_together_break_a_rule_do_not_stand() -> None:
    ours = replace(base(), entries=(*base().entries, FrameEntry(frame(8, start=2024, end=2025))))
    theirs = replace(base(), entries=(*base().entries, FrameEntry(frame(9, start=2025, end=2026))))
    found = plan(theirs, ours)
    assert not found.conflicts
    assert [p.code for p in found.problems] == ["years_overlap"]
    assert not found.stands


def test_a_rule_that_is_broken_already_does_not_stand_in_the_way() -> None:
    broken = replace(base(), entries=(*base().entries, FrameEntry(frame(8, start=2023, end=2025))))
    found = plan(with_statements(broken, page(3, SIZE, by=BEN)), broken)
    assert found.stands
    assert len(found.claims) == 1


def test_a_refusal_in_the_files_refuses_and_its_reversal_lets_in_again() -> None:
    refusing = with_statements(base(), ruling(2, "refuse_claims", refuses=[1]))
    refused = plan(refusing, base())
    assert [(c.id, c.state) for c in refused.restated] == [("c-0000000001", "refused")]
    back = plan(with_statements(refusing, ruling(3, "reverse", reverses=2)), refused.after)
    assert [(c.id, c.state) for c in back.restated] == [("c-0000000001", "accepted")]


def test_an_unreviewed_claim_that_the_files_hold_is_let_in() -> None:
    waiting = with_statements(base(), page(3, SIZE, by=BEN, state="submitted"))
    assert plan(base(), waiting).empty
    found = plan(with_statements(base(), page(3, SIZE, by=BEN)), waiting)
    assert [(c.id, c.state) for c in found.restated] == [("c-0000000003", "accepted")]


def test_a_proposed_frame_that_the_files_hold_is_listed() -> None:
    proposal = FrameEntry(frame(5, start=2024, end=None))
    known = replace(base(), entries=(*base().entries, proposal))
    unlisted = frozenset({proposal.frame.id})
    assert plan(base(), known, unlisted=unlisted).empty
    found = plan(known, known, unlisted=unlisted)
    assert [f.id for f in found.listed] == [proposal.frame.id]
    assert proposal.frame.id not in {e.frame.id for e in found.before.entries}
    assert proposal.frame.id in {e.frame.id for e in found.after.entries}


def test_a_changed_title_is_a_change() -> None:
    found = plan(replace(base(), title="Another title"), base())
    assert (found.title, found.empty, found.stands) == ("Another title", False, True)


def test_every_conflict_says_what_it_means_on_one_line() -> None:
    found = plan(with_frame(base(), years=Years(2021, 2024)), with_frame(base(), years=Years(2020, 2023)))
    assert found.conflicts[0].text() == (
        f"f-0000000001 years: {CONFLICTS['changed_on_both_sides']}; "
        'here: {"from": 2020, "to": 2023}; coming: {"from": 2021, "to": 2024} [changed_on_both_sides]'
    )
    assert all("\n" not in text for text in CONFLICTS.values())


def test_the_fields_that_are_merged_are_all_the_fields_there_are() -> None:
    from dataclasses import fields

    from boltspan.dataset.recordfields import FIELDS

    identity: dict[type, set[str]] = {Make: {"slug"}, Model: {"make", "slug"}, Frame: {"id"}}
    for kind, names in identity.items():
        merged = {name for group in FIELDS[kind].values() for name in group}
        assert merged | names == {f.name for f in fields(kind)}
        assert not merged & names
