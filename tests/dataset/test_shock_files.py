"""Shocks and hardware sizes in files: checked, merged and written as frames are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.compare import answer_changes
from boltspan.dataset.contents import Dataset, ShockEntry
from boltspan.dataset.files import read_dataset, write_dataset
from boltspan.dataset.merge import plan_import
from boltspan.dataset.plan import RecordOf
from boltspan.domain.frames import Years
from boltspan.domain.shock_values import ShockEnd
from tests.dataset.sample import SHOCKS, bent, with_shock

HARDWARE = "hardware/sizes.json"
Bend = Callable[[dict[str, Any]], None]


def shock(content: dict[str, Any]) -> Any:
    return content[SHOCKS]["shocks"][0]


def doubled(content: dict[str, Any]) -> None:
    empty = {s: {"claims": []} for s in ("sizes", "body", "shaft")}
    content[SHOCKS]["shocks"].append({**shock(content), "id": "s-0000000002", "subjects": empty})


def frames_id(content: dict[str, Any]) -> None:
    shock(content)["subjects"]["body"]["claims"][0]["id"] = "c-0000000001"


def renamed(content: dict[str, Any]) -> None:
    content["shocks/tarnvale/other.json"] = content.pop(SHOCKS)


BROKEN: list[tuple[str, Bend, str, str]] = [
    ("sold_with", lambda c: shock(c)["sold_with"][0].update(frame="f-0000000009"), SHOCKS,
     "/shocks/0/sold_with/0/frame"),
    ("sold_with", lambda c: shock(c)["sold_with"][0].update(ends=["front"]), SHOCKS, "/shocks/0/sold_with/0/ends"),
    ("id_twice", frames_id, SHOCKS, "/shocks/0/subjects/body/claims/0/id"),
    ("years_overlap", doubled, SHOCKS, "/shocks/1/years"),
    ("successor", lambda c: shock(c).update(record="merged", into="s-0000000009"), SHOCKS, "/shocks/0/into"),
    ("make", lambda c: c.pop("makes/tarnvale.json"), SHOCKS, "/make"),
    ("path", renamed, "shocks/tarnvale/other.json", "/model/slug"),
    ("name", lambda c: c[SHOCKS]["model"].update(name="Brin  dle"), SHOCKS, "/model/name"),
    ("person", lambda c: shock(c)["sold_with"][0]["source"].update(by="Ann"), SHOCKS,
     "/shocks/0/sold_with/0/source/by"),
    ("person", lambda c: c[HARDWARE]["sizes"][0]["source"].update(by="Ann"), HARDWARE, "/sizes/0/source/by"),
    ("demo", lambda c: c[HARDWARE]["sizes"][0]["source"].update(url="https://shop.example.shop/a"), HARDWARE,
     "/sizes/0/source/url"),
    ("record", lambda c: c[HARDWARE]["sizes"][0].update(widths_mm=[30, 20]), HARDWARE, "/sizes/0/widths_mm"),
    ("record", lambda c: shock(c)["subjects"]["body"]["claims"][0]["value"].update(eyelet_outer_mm=14), SHOCKS,
     "/shocks/0/subjects/body/claims/0/value/eyelet_outer_mm"),
    ("schema", lambda c: shock(c)["subjects"].update(upper={"claims": []}), SHOCKS, "/shocks/0/subjects/upper"),
]  # fmt: skip


def test_sound_files_of_shocks_have_no_problems() -> None:
    assert bent(lambda _: None, with_shock()).problems == ()


@pytest.mark.parametrize(("code", "bend", "path", "pointer"), BROKEN)
def test_a_broken_rule_is_told_at_its_place(code: str, bend: Bend, path: str, pointer: str) -> None:
    assert (code, path, pointer) in [(p.code, p.path, p.pointer) for p in bent(bend, with_shock()).problems]


def test_files_say_again_what_was_written(tmp_path: Path) -> None:
    write_dataset(with_shock(), tmp_path)
    assert read_dataset(tmp_path) == with_shock()
    assert write_dataset(with_shock(), tmp_path) == []


def entry(of: Dataset) -> ShockEntry:
    return of.shocks[0]


def with_entry(of: Dataset, changed: ShockEntry) -> Dataset:
    return replace(of, shocks=(changed,))


def base(key: str) -> RecordOf | None:
    of = with_shock()
    return {entry(of).shock.id: entry(of).shock, "shock_model/tarnvale/brindle": of.shock_models[0]}.get(key)


def test_records_of_shocks_are_merged_three_ways() -> None:
    here = with_entry(
        with_shock(), replace(entry(with_shock()), shock=replace(entry(with_shock()).shock, sold_with=()))
    )
    coming = with_entry(
        with_shock(), replace(entry(with_shock()), shock=replace(entry(with_shock()).shock, years=Years(2021, 2024)))
    )
    plan = plan_import(coming, here, base, 20)
    assert plan.stands
    (changed,) = plan.changed
    assert changed == replace(entry(here).shock, years=Years(2021, 2024)), "each side's change is kept"
    other = with_entry(here, replace(entry(here), shock=replace(entry(here).shock, years=Years(2021, 2023))))
    assert [c.code for c in plan_import(coming, other, base, 20).conflicts] == ["changed_on_both_sides"]


def test_claims_on_shocks_are_a_union_and_an_edited_one_is_refused() -> None:
    here = with_shock()
    claim = entry(here).claims[0]
    more = replace(claim, id="c-0000000077", subject="shaft", value=ShockEnd("trunnion"))
    plan = plan_import(with_entry(here, replace(entry(here), claims=(claim, more))), here, base, 20)
    assert (plan.stands, [c.id for c in plan.claims]) == (True, [more.id])
    (change,) = answer_changes(plan.before, plan.after)
    assert (change.frame, change.subject, change.after and change.after.standing) == (
        claim.frame,
        "shaft",
        "provisional",
    )
    edited = replace(claim, value=ShockEnd("eyelet", Decimal("12.7")))
    told = plan_import(with_entry(here, replace(entry(here), claims=(edited,))), here, base, 20).conflicts
    assert [c.code for c in told] == ["claim_differs"]


def test_hardware_sizes_are_added_withdrawn_and_never_edited() -> None:
    here = with_shock()
    (row,) = here.hardware
    new = replace(row, id="h-0000000002")
    gone = replace(row, withdrawn_on="2026-05-01", withdrawn_why="another maker's page")
    plan = plan_import(replace(here, hardware=(gone, new)), here, base, 20)
    assert (plan.stands, plan.hardware, plan.hardware_withdrawn) == (True, (new,), (gone,))
    edited = replace(row, widths_mm=(Decimal(20),))
    told = plan_import(replace(here, hardware=(edited,)), here, base, 20).conflicts
    assert [c.code for c in told] == ["hardware_differs"]
    again = replace(gone, withdrawn_why="something else")
    told = plan_import(replace(here, hardware=(again,)), replace(here, hardware=(gone,)), base, 20).conflicts
    assert [c.code for c in told] == ["withdrawn_differently"]
    assert plan_import(here, replace(here, hardware=(gone,)), base, 20).empty, "a withdrawal that is only here stays"
