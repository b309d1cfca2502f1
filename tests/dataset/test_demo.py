"""The shipped dataset: sound, invented, and showing what it says it shows."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

import pytest

from boltspan.dataset.contents import Dataset, FrameEntry, ShockEntry
from boltspan.dataset.files import check_folder, read_dataset
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.findings import STANDINGS, Finding, find
from boltspan.domain.frames import END_PAIRS, RECORDS
from boltspan.domain.hardware_sizes import produced_widths
from boltspan.domain.review import RULINGS, rulings
from boltspan.domain.shock_values import BEARINGS, SHOCK_MOUNTS, ShockEnd, ShockSizes
from boltspan.domain.sources import KINDS
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.values import MOUNTS, EndValue
from tests.dataset.weighed_demo import findings
from tests.docs.markdown import rows

README = (dataset_folder() / "README.md").read_text("utf-8")
CONFLICTS = [(row[1].strip("`"), *row[2:5]) for row in rows(README) if len(row) == 6 and row[1].startswith("`f-")]
"""Frame, subject, kind of conflict and what it comes out as, from the table of conflicts."""


@cache
def shipped() -> Dataset:
    return read_dataset(dataset_folder())


def entry(frame_id: str) -> FrameEntry:
    return next(e for e in shipped().entries if e.frame.id == frame_id)


def finding(frame_id: str, subject: str) -> Finding:
    return findings()[frame_id][subject]


def test_it_is_sound_but_for_the_one_warning_that_the_readme_names() -> None:
    assert [(p.code, p.warning, p.path) for p in check_folder(dataset_folder()).problems] == [
        ("claim_twice", True, "frames/quillhope/sandreel.json")
    ]


def test_it_says_that_it_is_invented_and_at_which_event_it_stands() -> None:
    whole = shipped()
    assert whole.demo
    assert "nvented" in whole.title
    assert whole.head == whole.records, "filling an empty database takes just as many events"


def test_every_kind_of_record_mount_source_ruling_standing_and_pair_of_ends_occurs() -> None:
    entries = shipped().entries
    claims = [c for e in entries for c in e.claims]
    ends = [c.value for c in claims if isinstance(c.value, EndValue)]
    assert {e.frame.record for e in entries} == set(RECORDS)
    assert {e.frame.ends for e in entries} == set(END_PAIRS)
    assert {v.mount for v in ends} == {*MOUNTS, None}
    assert {c.source.kind for c in claims} == set(KINDS)
    assert {d.ruling for e in entries for d in e.decisions} == set(RULINGS)
    live = [e for e in entries if e.frame.live]
    assert {f.standing for of_frame in findings().values() for f in of_frame.values()} == set(STANDINGS)
    assert any(e.frame.years.end is None for e in live)
    assert any(e.frame.same_ends for e in live)
    assert any(c.withdrawn_on for c in claims)
    assert any(d.by == "rule/1" for e in entries for d in e.decisions)


STORIES = [
    ("f-7k3m9q2dxw", "upper", "settled", "M8 x 22.2"),
    ("f-7k3m9q2dxw", "lower", "unknown", None),
    ("f-gmgcyyj3jd", "upper", "settled", "M8 x 25.4"),  # a typing error in a chart
    ("f-ez83tbaffe", "upper", "disputed", None),  # swapped ends
    ("f-ez83tbaffe", "lower", "disputed", None),
    ("f-vhwpraebv3", "lower", "settled", "M8 x 40"),  # a wrong year, refused
    ("f-rjy7cptgqm", "rear", "settled", "M8 x 31.75"),  # a rule against a caliper
    ("f-qnzqwugmvj", "rear", "disputed", None),  # the bushing's bore taken for the bolt
    ("f-fu4m5hyd5e", "front", "settled", "M8 x 22.2"),  # worn hardware, settled anew
    ("f-sx9bvpcdwq", "front", "provisional", "M8 x 24"),  # one chart brought twice
    ("f-sx9bvpcdwq", "rear", "disputed", None),
    ("f-425tzc8b5e", "link", "settled", "M8 x 25.4"),  # a running change, both parts
    ("f-wf13cxpa1u", "link", "settled", "M8 x 30"),
    ("f-hs20s0jmcm", "body", "withheld", None),
    ("f-v406w8v9cg", "front", "provisional", "open eyelet 10"),
    ("f-v406w8v9cg", "rear", "provisional", "proprietary"),
    ("f-43kneskfwe", "link", "provisional", "bearing M8 x 30"),
    ("f-vthdwj1uv7", "frame", "provisional", "bolt not stated x 25.4"),
]


@pytest.mark.parametrize(("frame", "subject", "standing", "label"), STORIES)
def test_each_story_comes_out_as_the_readme_tells_it(
    frame: str, subject: str, standing: str, label: str | None
) -> None:
    found = finding(frame, subject)
    assert (found.standing, found.value.label if found.value else None) == (standing, label)


def test_one_chart_counts_once_and_the_bushing_is_named() -> None:
    chart = finding("f-sx9bvpcdwq", "front")
    assert (chart.claims, chart.independent) == (2, 1)
    assert [code for _, code in finding("f-qnzqwugmvj", "rear").mistakes] == ["measured_bushing_or_eyelet_bore"]


def test_the_reversed_ruling_on_worn_hardware_is_undone_and_still_there() -> None:
    decisions = entry("f-fu4m5hyd5e").decisions_on("front")
    assert [d.ruling for d in decisions] == ["settle", "reverse", "settle"]
    assert rulings(decisions).reversed == {decisions[0].id}


def test_the_running_change_asks_one_question_of_both_parts() -> None:
    whole = entry("f-mp0cs0uvm4").frame
    parts = [entry(i).frame.qualifier for i in whole.into]
    assert len({q.ask for q in parts if q}) == 1
    assert {(q.start, q.end) for q in parts if q} == {(None, "FO224999"), ("FO225000", None)}


def test_it_has_the_size_that_it_is_meant_to_have() -> None:
    whole = shipped()
    years = [e.frame.years for e in whole.entries]
    assert (len(whole.makes), len(whole.models), len(whole.entries)) == (17, 60, 250)
    assert 900 <= sum(len(e.claims) for e in whole.entries) <= 1200
    assert (min(y.start for y in years), max(y.end or y.start for y in years)) == (2013, 2027)
    assert {(m.make, m.slug) for m in whole.models} == {(e.frame.make, e.frame.model) for e in whole.entries}


def test_the_readme_tells_of_frames_that_are_there_and_of_thirty_conflicts_of_many_kinds() -> None:
    told = re.findall(r"`(f-[0-9a-z]{10})`", README)
    assert len(told) == len(set(told))
    assert set(told) <= {e.frame.id for e in shipped().entries}
    assert {story[0] for story in STORIES} <= set(told)
    assert len(CONFLICTS) >= 30
    assert len({kind for _, _, kind, _ in CONFLICTS}) >= 20


@pytest.mark.parametrize(("frame", "subject", "kind", "comes_out"), CONFLICTS, ids=lambda text: text[:20])
def test_sources_of_a_conflict_cannot_all_be_right_and_it_comes_out_as_told(
    frame: str, subject: str, kind: str, comes_out: str
) -> None:
    of = entry(frame)
    statements = [statement_of(c) for c in of.claims_on(subject)]
    assert any(a.value and not b.allows(a.value) for a in statements for b in statements if a is not b), kind
    if not of.frame.live:
        assert comes_out == of.frame.record
        return
    found = finding(frame, subject)
    assert comes_out == ", ".join([found.standing, *([found.value.label] if found.value else [])])


def test_decisions_by_the_rule_rest_on_two_voices_with_nothing_against_them() -> None:
    ruled = [(e, d) for e in shipped().entries for d in e.decisions if d.by == "rule/1"]
    assert len(ruled) >= 10
    for e, decision in ruled:
        found = finding(e.frame.id, decision.subject)
        assert (found.standing, found.contested, found.dissent) == ("settled", False, ()), decision.id
        assert found.independent >= 2, decision.id


def test_no_ruling_settles_what_none_of_its_grounds_allows() -> None:
    for e in shipped().entries:
        for d in e.decisions:
            if d.ruling == "settle" and d.value is not None:
                grounds = [statement_of(c) for c in e.claims if c.id in d.rests_on]
                assert all(s.allows(d.value) for s in grounds), d.id


SHOCKS = [(row[1].strip("`"), row[3]) for row in rows(README) if len(row) == 4 and row[1].startswith("`s-")]
"""Shock and what it comes out as, from the table of shocks."""


def shock_entry(shock_id: str) -> ShockEntry:
    return next(e for e in shipped().shocks if e.shock.id == shock_id)


def shock_finding(shock_id: str, subject: str) -> Finding:
    e = shock_entry(shock_id)
    return find(e.shock, subject, e.claims_on(subject), e.decisions_on(subject))


@pytest.mark.parametrize(("shock", "comes_out"), SHOCKS)
def test_each_shock_comes_out_as_the_readme_tells_it(shock: str, comes_out: str) -> None:
    record = shock_entry(shock).shock
    found = [shock_finding(shock, s) for s in ("body", "shaft", "sizes")]
    words = [f"{f.subject} {f.standing}{' (contested)' if f.contested else ''}" for f in found]
    assert comes_out == ("; ".join(words) if record.live else record.record)


def test_a_shock_sold_with_hardware_for_a_frame_is_made_in_the_size_that_the_frame_takes() -> None:
    sold = [(e.shock, frame) for e in shipped().shocks for frame in {s.frame for s in e.shock.sold_with}]
    assert len(sold) >= 3
    for shock, frame in sold:
        takes, made = finding(frame, "shock_size").value, shock_finding(shock.id, "sizes").value
        assert isinstance(made, ShockSizes)
        assert takes in made.sizes, f"{shock.id} for {frame}"


def test_the_readme_tells_of_most_shocks_and_every_kind_of_end_and_standing_occurs() -> None:
    shocks = shipped().shocks
    assert len(shocks) == 40
    assert len(SHOCKS) == len(set(SHOCKS)) >= 25
    ends = [c.value for e in shocks for c in e.claims if isinstance(c.value, ShockEnd)]
    assert {v.mount for v in ends} == {*SHOCK_MOUNTS, None}
    assert {v.bearings for v in ends} == {*BEARINGS, None}
    assert {shock_finding(e.shock.id, s).standing for e in shocks if e.shock.live for s in e.shock.subjects} == set(
        STANDINGS
    )


def test_an_older_bore_and_a_newer_one_are_two_generations_of_one_model() -> None:
    older, newer = shock_entry("s-j9y8tqqe64").shock, shock_entry("s-ht9c2a18qb").shock
    assert (older.model, older.years.end) == (newer.model, newer.years.start - 1)
    bores = [shock_finding(s.id, "body").value for s in (older, newer)]
    assert [v.eyelet_bore_mm for v in bores if isinstance(v, ShockEnd)] == [Decimal("12.7"), Decimal(15)]


def test_a_trunnion_shock_has_an_eyelet_at_the_shaft() -> None:
    body, shaft = (shock_finding("s-x4f8vs0hk1", s).value for s in ("body", "shaft"))
    assert isinstance(body, ShockEnd)
    assert isinstance(shaft, ShockEnd)
    assert (body.mount, shaft.mount, shaft.eyelet_bore_mm) == ("trunnion", "eyelet", Decimal(15))


def test_hardware_is_produced_for_the_usual_bolts_and_both_bores() -> None:
    rows_ = shipped().hardware
    for bolt in (6, 8, 10):
        for bore in ("12.7", "15"):
            assert Decimal("22.2") in produced_widths(rows_, Decimal(bolt), Decimal(bore))
    assert Decimal("23.5") not in produced_widths(rows_, Decimal(8), Decimal(15)), "the row is withdrawn"
