"""Shocks through the services, on both databases: looked up, spoken of, ruled on, edited, imported and exported."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.dataset.contents import Dataset, as_files
from boltspan.domain.errors import Clash, Gone, InvalidInput, Moved, NotAllowed, NotFound, Stale
from boltspan.domain.frames import Years
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.shocks import Shock
from boltspan.services import case_view, lookup, review, shocks, submit
from boltspan.services.cases import case_tag
from boltspan.services.datasets import ImportReport, export_dataset, import_dataset
from boltspan.services.edit_shock import edit_shock, shock_tag
from boltspan.services.permissions import ANYBODY, COMMAND_LINE
from boltspan.services.protocols import ShockQuery, StoredShock
from tests.dataset.sample import with_shock
from tests.services.conftest import Shop

S1 = "s-0000000001"
EYELET = {"mount": "eyelet", "eyelet_bore_mm": Decimal(15)}


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    """Return a shop whose database has the sample's shock and hardware sizes beside the frames."""
    with shop.storage.writing() as uow:
        uow.settings.put("demo", "true")
    bring(shop, head=0)
    return shop


def sample(shop: Shop, change: Callable[[Dataset], Dataset] = lambda d: d, head: int | None = None) -> Dataset:
    """Return what the database exports with the sample's shock in it, after ``change``."""
    with shop.storage.reading() as uow:
        own = export_dataset(uow)
    extra = with_shock()
    merged = replace(
        own,
        head=own.head if head is None else head,
        shock_models=own.shock_models or extra.shock_models,
        shocks=own.shocks or extra.shocks,
        hardware=own.hardware or extra.hardware,
    )
    return change(merged)


def bring(
    shop: Shop, change: Callable[[Dataset], Dataset] = lambda d: d, *, head: int | None = None, preview: bool = False
) -> ImportReport:
    dataset = sample(shop, change, head)
    with shop.storage.writing() as uow:
        report = import_dataset(COMMAND_LINE, uow, dataset, shop.clock, preview=preview)
    assert report.plan.problems == ()
    return report


def answer(shop: Shop, shock_id: str = S1) -> dict[str, Any]:
    with shop.storage.reading() as uow:
        return shocks.shock(uow, ANYBODY, shock_id)


def claim_on(shop: Shop, who: str = "ann", subject: str = "body", value: Any = None, document: str = "example.org/z",
             **more: Any) -> Any:  # fmt: skip
    body = {
        "shock": S1,
        "subject": subject,
        "value": value or EYELET,
        "source": {"kind": "spec_page", "document": document, "seen_on": "2026-05-01"},
    } | more
    with shop.storage.writing() as uow:
        return submit.submit_claim(shop.people[who], uow, shop.clock, body, shop.key(body))


def decide(shop: Shop, who: str, subject: str, data: dict[str, Any]) -> Any:
    with shop.storage.writing() as uow:
        case = uow.cases.of_subject(S1, subject)
        assert case is not None
        return review.decide(shop.people[who], uow, shop.clock, case.id, data, case_tag(case), shop.key(data))


def edit(shop: Shop, data: dict[str, Any], who: str = "mia", tag: str | None = "", shock_id: str = S1) -> Any:
    with shop.storage.writing() as uow:
        stored = uow.shocks.shock(shock_id)
        if tag == "" and stored is not None:
            tag = shock_tag(stored)
        return edit_shock(shop.people[who], uow, shop.clock, shock_id, data | {"why": "so it is"}, tag, shop.key(data))


def test_what_was_imported_is_answered_and_exported_again(stocked: Shop) -> None:
    found = answer(stocked)
    assert (found["make"]["slug"], found["demo"], found["sizes"]["standing"]) == ("tarnvale", True, "unknown")
    body = found["ends"]["body"]
    assert (body["standing"], body["value"]["label"], "supply" in body) == ("provisional", "eyelet, bore 15", False)
    assert found["sold_with"][0]["frame"] == "f-0000000001"
    with stocked.storage.reading() as uow:
        assert export_dataset(uow).shocks == as_files(with_shock()).shocks
        assert shocks.find_shock(uow, S1).findings["body"].value == ShockEnd("eyelet", Decimal(15))
        with pytest.raises(NotFound):
            shocks.find_shock(uow, "s-0000000009")
    assert bring(stocked).plan.empty


def test_shocks_are_found_by_name_with_errors_by_make_and_by_year(stocked: Shop) -> None:
    with stocked.storage.reading() as uow:
        index = shocks.shock_index(uow)

        def ids(text: str | None = None, **asked: Any) -> list[str]:
            return [s["id"] for s in shocks.shocks(uow, ShockQuery(**asked), index, text).shocks]

        assert ids("tarnvle brindel") == ids("Brindle 2022") == ids(make="tarnvale") == ids(year=2021) == [S1]
        assert ids("brindle 2019") == ids("quillhope") == ids(year=2020) == ids(make="other") == []
        page = shocks.shocks(uow, ShockQuery(limit=1), index)
        assert page.after == ("tarnvale", "brindle", 2021, S1)
        assert ids(after=page.after) == []


def test_a_make_of_shocks_alone_is_no_make_of_frames(stocked: Shop) -> None:
    def other(d: Dataset) -> Dataset:
        make = replace(d.makes[0], slug="orrinfell", name="Orrinfell", aliases=())
        model = replace(d.shock_models[0], make="orrinfell")
        return replace(d, makes=(*d.makes, make), shock_models=(*d.shock_models, model))

    bring(stocked, other)
    with stocked.storage.reading() as uow:
        assert [m["slug"] for m in lookup.makes(uow)["makes"]] == ["tarnvale"]
        with pytest.raises(NotFound):
            lookup.make(uow, "orrinfell")
        assert {m.slug for m in export_dataset(uow).makes} == {"tarnvale", "orrinfell"}


def test_from_a_claim_to_a_ruling_and_the_feed(stocked: Shop) -> None:
    receipt = claim_on(stocked)
    claim = receipt.body["claim"]
    assert (receipt.body["shock"], claim["state"], receipt.body["review"]["state"]) == (S1, "submitted", "open")
    with pytest.raises(Clash):
        claim_on(stocked)
    with pytest.raises(NotAllowed):
        decide(stocked, "ann", "body", {"ruling": "leave_open", "why": "mine"})
    ruling = {"ruling": "settle", "value": EYELET, "rests_on": [claim["id"]], "why": "two pages agree"}
    told = decide(stocked, "mia", "body", ruling)
    assert (told.body["review"]["shock"], told.body["review"]["state"]) == (S1, "closed")
    body = answer(stocked)["ends"]["body"]
    assert (body["standing"], body["basis"]["independent"]) == ("settled", 2)
    with stocked.storage.reading() as uow:
        history = shocks.history(uow, ANYBODY, S1)["history"]
        assert [e["kind"] for e in history] == ["shock_added", "claim_submitted", "decision_made"]
        assert all(e["shock"] == S1 and "frame" not in e for e in history)
        feed = lookup.changes(uow, 0, 100)["changes"]
        assert {e["kind"] for e in feed} >= {"shock_model_added", "shock_added", "hardware_added", "decision_made"}
        assert [e["hardware"] for e in feed if e["kind"] == "hardware_added"] == ["h-0000000001"]
        said = shocks.claims(uow, stocked.people["ben"], S1)["subjects"]["body"]
        assert [c["state"] for c in said["claims"]] == ["accepted", "accepted"]
        (case,) = case_view.reviews(stocked.people["mia"], uow, None, None, 50).reviews
        assert (case["shock"], case["subject"], "frame" in case) == (S1, "body", False)


def test_a_contradiction_disputes_and_a_withdrawal_of_the_claim_undoes_it(stocked: Shop) -> None:
    claim = claim_on(stocked, value={"mount": "trunnion"}).body["claim"]
    assert answer(stocked)["ends"]["body"]["standing"] == "disputed"
    with stocked.storage.writing() as uow:
        submit.withdraw_claim(stocked.people["ann"], uow, stocked.clock, claim["id"], "misread", stocked.key())
    assert answer(stocked)["ends"]["body"]["standing"] == "provisional"


@pytest.mark.parametrize(
    ("more", "pointer", "code"),
    [
        ({"shock": "s-0000000009"}, "/shock", "unknown_shock"),
        ({"frame": "f-0000000001"}, "/shock", "field_not_taken"),
        ({"subject": "upper"}, "/subject", "unknown_subject"),
        ({"value": {"mount": "hardware", "bolt_mm": 8}}, "/value/mount", "unknown_mount"),
        ({"years": {"from": 2010, "to": 2012}}, "/years", "years_outside"),
        ({"label": "M8 x 30"}, "/label", "not_an_end"),
    ],
)
def test_a_claim_that_does_not_go_is_refused(stocked: Shop, more: dict[str, Any], pointer: str, code: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        claim_on(stocked, **more)
    assert [(p.pointer, p.code) for p in refused.value.problems] == [(pointer, code)]


def test_a_settled_end_says_what_hardware_needs(stocked: Shop) -> None:
    claim = claim_on(stocked).body["claim"]
    with pytest.raises(InvalidInput) as refused:
        decide(stocked, "mia", "body", {"ruling": "settle", "value": {"mount": "eyelet"}, "rests_on": [claim["id"]],
                                        "why": "x"})  # fmt: skip
    assert [p.code for p in refused.value.problems] == ["value_incomplete"]


def test_edits_of_a_record(stocked: Shop) -> None:
    edit(stocked, {"edit": "years", "years": {"from": 2021, "to": 2024}})
    edit(stocked, {"edit": "names", "name": "Brindle Air", "aliases": ["Brindle"]})
    source = {"kind": "spec_page", "document": "example.org/box", "seen_on": "2026-05-01"}
    box = {"frame": "f-0000000001", "ends": ["lower"], "source": source}
    edit(stocked, {"edit": "sold_with", "sold_with": [box]})
    found = answer(stocked)
    assert (found["years"], found["model"]["name"]) == ({"from": 2021, "to": 2024}, "Brindle Air")
    assert [s["ends"] for s in found["sold_with"]] == [["lower"]]
    for wrong in ({**box, "frame": "f-0000000009"}, {**box, "ends": ["front"]}):
        with pytest.raises(InvalidInput):
            edit(stocked, {"edit": "sold_with", "sold_with": [wrong]})
    with pytest.raises(Stale):
        edit(stocked, {"edit": "withdraw"}, tag='"s-0000000001-1"')
    with pytest.raises(NotAllowed):
        edit(stocked, {"edit": "withdraw"}, who="ann")
    serial = {"kind": "serial", "ask": "Which serial number?"}
    parts = [{"qualifier": {**serial, "to": "K1"}}, {"qualifier": {**serial, "from": "K2"}}]
    divided = edit(stocked, {"edit": "divide", "parts": parts}).body["shocks"]
    one, other = (s["id"] for s in divided[1:])
    with pytest.raises(Gone) as gone:
        answer(stocked)
    assert gone.value.ask_instead == (one, other)
    assert "sold_with" not in answer(stocked, one)
    edit(stocked, {"edit": "merge", "into": other}, shock_id=one)
    with pytest.raises(Moved) as moved:
        answer(stocked, one)
    assert moved.value.into == other
    edit(stocked, {"edit": "withdraw"}, shock_id=other)
    with pytest.raises(Gone):
        answer(stocked, other)
    with pytest.raises(Clash):
        edit(stocked, {"edit": "withdraw"}, shock_id=other)
    with pytest.raises(InvalidInput):
        claim_on(stocked)


def test_a_field_that_both_sides_changed_is_a_conflict_and_nothing_is_written(stocked: Shop) -> None:
    def shortened(d: Dataset) -> Dataset:
        entry = d.shocks[0]
        return replace(d, shocks=(replace(entry, shock=replace(entry.shock, years=Years(2021, 2022))),))

    before = sample(stocked, shortened)
    edit(stocked, {"edit": "years", "years": {"from": 2021, "to": 2024}})
    with stocked.storage.writing() as uow:
        report = import_dataset(COMMAND_LINE, uow, before, stocked.clock, preview=False)
    assert [c.code for c in report.plan.conflicts] == ["changed_on_both_sides"]
    assert answer(stocked)["years"] == {"from": 2021, "to": 2024}


def test_an_import_changes_withdraws_and_renames(stocked: Shop) -> None:
    def changed(d: Dataset) -> Dataset:
        entry, row = d.shocks[0], d.hardware[0]
        record = replace(entry.shock, years=Years(2021, 2022), sold_with=())
        claim = replace(entry.claims[0], withdrawn_on="2026-05-01", withdrawn_why="misread", state="withdrawn")
        return replace(
            d,
            shock_models=(replace(d.shock_models[0], name="Brindle Two"),),
            shocks=(replace(entry, shock=record, claims=(claim,)),),
            hardware=(replace(row, withdrawn_on="2026-05-01", withdrawn_why="not so"),),
        )

    report = bring(stocked, changed)
    assert (report.plan.stands, report.written) == (True, True)
    found = answer(stocked)
    assert (found["model"]["name"], found["years"]["to"], "sold_with" in found) == ("Brindle Two", 2022, False)
    assert found["ends"]["body"]["standing"] == "unknown"
    with stocked.storage.reading() as uow:
        assert shocks.hardware_sizes(uow) == ()
        assert len(uow.hardware.rows()) == 1
    assert bring(stocked).plan.empty


def test_hardware_sizes_are_found_by_bolt_width_and_bore(stocked: Shop) -> None:
    def more(d: Dataset) -> Dataset:
        row = replace(d.hardware[0], id="h-0000000002", eyelet_bore_mm=Decimal(15), widths_mm=(Decimal("22.225"),))
        return replace(d, hardware=(*d.hardware, row))

    bring(stocked, more)
    with stocked.storage.reading() as uow:

        def ids(**asked: str) -> list[str]:
            found = shocks.hardware_answer(uow, **{k: Decimal(v) for k, v in asked.items()})
            return [row["id"][-1] for row in found["sizes"]]

        assert ids() == ids(bolt_mm="8.01") == ids(eyelet_bore_mm="15") == ["1", "2"]
        assert ids(width_mm="22.2") == ["2"]
        assert ids(eyelet_bore_mm="12.7") == ids(width_mm="30") == ["1"]
        assert ids(bolt_mm="10") == []
        widths = shocks.hardware_answer(uow, Decimal(8), None, Decimal(15))["widths_mm"]
        assert widths == [Decimal(20), Decimal("22.225"), Decimal(30)]


def test_of_two_editors_the_second_is_told_what_changed(stocked: Shop) -> None:
    with stocked.storage.reading() as uow:
        stored = uow.shocks.shock(S1)
        assert stored is not None
    edit(stocked, {"edit": "years", "years": {"from": 2021, "to": 2024}})
    with pytest.raises(Stale) as told:
        edit(stocked, {"edit": "withdraw"}, who="max", tag=shock_tag(stored))
    assert [(e["kind"], e["edit"], e["why"]) for e in told.value.changed] == [("shock_edited", "years", "so it is")]


@pytest.mark.parametrize("how", ["merge", "divide", "withdraw"])
def test_a_merge_a_division_and_a_withdrawal_of_a_shock_are_restored(stocked: Shop, how: str) -> None:
    other = Shock("s-0000000009", "tarnvale", "brindle", "shock", Years(2018, 2019))
    with stocked.storage.writing() as uow:
        uow.shocks.put_shock(StoredShock(other))
    claim_on(stocked)
    before = answer(stocked)
    asks = [{"kind": "serial", "from": s, "ask": f"Does it start with {s}?"} for s in ("A", "B")]
    more = {"merge": {"into": other.id}, "divide": {"parts": [{"qualifier": q} for q in asks]}, "withdraw": {}}[how]
    with pytest.raises(Clash):
        edit(stocked, {"edit": "restore"})
    edit(stocked, {"edit": how, **more})
    with stocked.storage.reading() as uow:
        assert uow.cases.of_subject(S1, "body").state == "closed"  # type: ignore[union-attr]
    parts = edit(stocked, {"edit": "restore"}, who="max").body["shocks"][1:]
    assert {k: v for k, v in answer(stocked).items() if k != "event"} == {
        k: v for k, v in before.items() if k != "event"
    }
    with stocked.storage.reading() as uow:
        assert uow.cases.of_subject(S1, "body").state == "open"  # type: ignore[union-attr]
        assert len(uow.shocks.shocks_of("tarnvale", "brindle")) == 2 + len(parts)
    for part in parts:
        with pytest.raises(Moved):
            answer(stocked, part["id"])
    claim_on(stocked, who="ben", document="example.org/again")
