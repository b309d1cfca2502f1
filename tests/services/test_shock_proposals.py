"""Proposed shocks and readings of eyelets through the services, on both databases: files, own data, undoing."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.contents import Dataset
from boltspan.dataset.files import read_dataset, write_dataset
from boltspan.domain.errors import InvalidInput, NotFound
from boltspan.domain.jsontext import dumps
from boltspan.services import case_view, lookup, own_account, review, shocks, submit
from boltspan.services.cases import case_tag
from boltspan.services.clock import SystemClock
from boltspan.services.datasets import ImportReport, export_dataset, fill, import_dataset
from boltspan.services.edit_shock import edit_shock, shock_tag
from boltspan.services.permissions import ANYBODY, COMMAND_LINE, ROLES, Actor
from boltspan.services.propose_shock import propose_shock
from boltspan.services.undoing import undo_account
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.dataset.sample import with_shock
from tests.services.conftest import Shop

S1 = "s-0000000001"
NEW = {"make": {"name": "Orrinfell"}, "model": {"name": "Brindle TR"}, "years": {"from": 2021}}


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    """Return a shop whose database has the sample's shock beside its frames."""
    with shop.storage.writing() as uow:
        uow.settings.put("demo", "true")
        extra, own = with_shock(), export_dataset(uow)
        dataset = replace(own, shock_models=extra.shock_models, shocks=extra.shocks, hardware=extra.hardware, head=0)
        import_dataset(COMMAND_LINE, uow, dataset, shop.clock, preview=False)
    return shop


def proposed(shop: Shop, who: str = "ann", **more: Any) -> str:
    body = {**NEW, **more}
    with shop.storage.writing() as uow:
        return str(propose_shock(shop.people[who], uow, shop.clock, body, shop.key(body)).body["shock"]["id"])


def measure(shop: Shop, shock: str, who: str = "ann", **readings: list[str]) -> dict[str, Any]:
    source = {
        "kind": "measured", "seen_on": "2026-05-01",
        "instrument": {"kind": "digital_caliper", "resolution_mm": Decimal("0.01")},
        "features": {part: f"eyelet_{part}" for part in readings},
        "readings_mm": {part: [Decimal(r) for r in taken] for part, taken in readings.items()},
    }  # fmt: skip
    body = {"shock": shock, "subject": "body", "source": source}
    with shop.storage.writing() as uow:
        return submit.submit_claim(shop.people[who], uow, shop.clock, body, shop.key(body)).body


def accept(shop: Shop, shock: str, who: str = "mia", **data: Any) -> None:
    body = {"edit": "accept", "why": "it is there"} | data
    with shop.storage.writing() as uow:
        stored = uow.shocks.shock(shock)
        assert stored is not None
        edit_shock(shop.people[who], uow, shop.clock, shock, body, shock_tag(stored), shop.key(body))


def exported(shop: Shop) -> Dataset:
    with shop.storage.reading() as uow:
        return export_dataset(uow)


def bring(shop: Shop, dataset: Dataset) -> ImportReport:
    with shop.storage.writing() as uow:
        return import_dataset(COMMAND_LINE, uow, dataset, shop.clock, preview=False)


def ruled(shop: Shop, claim: str) -> None:
    """Let a claim in by a decision that leaves its subject open."""
    with shop.storage.writing() as uow:
        found = uow.statements.claim(claim)
        assert found is not None
        case = uow.cases.of_subject(found.frame, found.subject)
        assert case is not None
        data = {"ruling": "leave_open", "why": "one more caliper"}
        review.decide(shop.people["mia"], uow, shop.clock, case.id, data, case_tag(case), shop.key(data))


def test_readings_go_out_to_files_and_come_back_the_same(stocked: Shop, tmp_path: Path) -> None:
    claim = measure(stocked, S1, bore=["15.02", "15.01"], width=["22.01"], outer=["25"])["claim"]["id"]
    assert claim not in {c.id for e in exported(stocked).shocks for c in e.claims}, "it waits for review"
    ruled(stocked, claim)
    dataset = exported(stocked)
    write_dataset(dataset, tmp_path / "one")
    text = (tmp_path / "one" / "shocks" / "tarnvale" / "brindle.json").read_text()
    assert '"features": {"width": "eyelet_width", "bore": "eyelet_bore", "outer": "eyelet_outer"}' in text
    assert bring(stocked, dataset).plan.empty
    write_dataset(read_dataset(tmp_path / "one"), tmp_path / "two")
    for path in sorted((tmp_path / "one").rglob("*.json")):
        assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()
    with stocked.storage.reading() as uow:
        stored = uow.statements.claim(claim)
    assert stored is not None
    kept = next(c for e in dataset.shocks for c in e.claims if c.id == claim)
    assert kept.source == stored.source


def test_a_proposal_stays_out_of_files_and_searches_and_claims_wait_with_it(stocked: Shop) -> None:
    before = exported(stocked)
    shock = proposed(stocked)
    claim = measure(stocked, shock, bore=["15.02"])["claim"]["id"]
    after = exported(stocked)
    assert replace(after, head=before.head) == before
    with pytest.raises(InvalidInput):
        measure(stocked, shock, "ben", bore=["15.02"])
    with stocked.storage.reading() as uow:
        for look in (shocks.shock, shocks.history, shocks.claims):
            with pytest.raises(NotFound):
                look(uow, ANYBODY, shock)
            look(uow, stocked.people["ann"], shock)
        told = dumps(lookup.changes(uow, 0, 1000))
        assert not {word for word in (shock, claim, "Orrinfell") if word in told}
        assert [p["shock"]["id"] for p in own_account.own_data(stocked.people["ann"], uow, stocked.clock)["proposals"]
                if "shock" in p] == [shock]  # fmt: skip
        queue = case_view.reviews(stocked.people["mia"], uow, "open", None, 50).reviews
    assert ("record", shock) in {(c["subject"], c.get("shock")) for c in queue}
    accept(stocked, shock)
    listed = exported(stocked)
    assert [(e.shock.id, e.claims) for e in listed.shocks if e.shock.id == shock] == [(shock, ())]
    assert [m.slug for m in listed.shock_models] == ["brindle-tr", "brindle"]
    assert "orrinfell" in {m.slug for m in listed.makes}


def test_files_that_hold_a_proposed_shock_list_it(stocked: Shop) -> None:
    shock = proposed(stocked)
    with stocked.storage.reading() as uow:
        stored, make = uow.shocks.shock(shock), uow.catalogue.make("orrinfell")
        model = uow.shocks.model("orrinfell", "brindle-tr")
    assert stored is not None and make is not None and model is not None
    own = exported(stocked)
    brought = replace(
        own,
        makes=(*own.makes, make),
        shock_models=(*own.shock_models, model),
        shocks=(*own.shocks, replace(own.shocks[0], shock=stored.shock, claims=(), decisions=())),
    )
    report = bring(stocked, brought)
    assert (report.written, [r.id for r in report.plan.listed]) == (True, [shock])
    with stocked.storage.reading() as uow:
        now, case = uow.shocks.shock(shock), uow.cases.of_subject(shock, "record")
    assert now is not None and now.listed and now.proposed_by == stocked.people["ann"].person
    assert case is not None and case.state == "closed"
    assert bring(stocked, exported(stocked)).plan.empty


def test_what_an_account_did_about_shocks_is_undone_with_the_rest(stocked: Shop) -> None:
    with stocked.storage.reading() as uow:
        before = {k: v for k, v in shocks.shock(uow, ANYBODY, S1).items() if k != "event"}
    shock = proposed(stocked, "ann")
    measure(stocked, S1, "ann", bore=["12.7"])
    operator = Actor("p-0000000077", ROLES["operator"])
    ann, mia = (stocked.people[who].person for who in ("ann", "mia"))
    assert ann is not None and mia is not None
    accept(stocked, S1, edit="years", years={"from": 2019})
    accept(stocked, S1, edit="names", name="Brindle Two")
    with stocked.storage.writing() as uow:
        found = undo_account(operator, uow, stocked.clock, ann, "spoilt on purpose")
    assert found["claims"] == 1
    with stocked.storage.writing() as uow:
        found = undo_account(operator, uow, stocked.clock, mia, "spoilt on purpose")
    assert (found["records"], found["left"]) == (2, [])
    with stocked.storage.reading() as uow:
        assert {k: v for k, v in shocks.shock(uow, ANYBODY, S1).items() if k != "event"} == before
        stored = uow.shocks.shock(shock)
    assert stored is not None and not stored.listed


def test_a_withdrawn_proposal_waits_again_when_its_withdrawal_is_undone(stocked: Shop) -> None:
    shock = proposed(stocked)
    operator, mia = Actor("p-0000000077", ROLES["operator"]), stocked.people["mia"].person
    assert mia is not None
    accept(stocked, shock, edit="withdraw")
    assert record_case(stocked, shock) == ("closed", ("proposal",))
    with stocked.storage.writing() as uow:
        undo_account(operator, uow, stocked.clock, mia, "spoilt on purpose")
    assert record_case(stocked, shock) == ("open", ("proposal",))


def record_case(shop: Shop, shock: str) -> tuple[str, tuple[str, ...]]:
    with shop.storage.reading() as uow:
        case = uow.cases.of_subject(shock, "record")
    assert case is not None
    return case.state, case.reasons


def test_a_filled_database_with_readings_exports_the_same_bytes(stocked: Shop, tmp_path: Path) -> None:
    claim = measure(stocked, S1, bore=["15.02"])["claim"]["id"]
    ruled(stocked, claim)
    dataset = exported(stocked)
    write_dataset(dataset, tmp_path / "one")
    engine = make_engine(f"sqlite:///{tmp_path / 'filled.db'}")
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    with storage.writing() as uow:
        fill(uow, dataset, stocked.clock)
    with storage.reading() as uow:
        write_dataset(export_dataset(uow), tmp_path / "two")
    engine.dispose()
    for path in sorted((tmp_path / "one").rglob("*.json")):
        assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()
