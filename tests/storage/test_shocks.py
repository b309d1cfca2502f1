"""Shocks and hardware sizes in the database: all that a record holds comes back, and rows are about one record."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import insert, select
from sqlalchemy.exc import IntegrityError

from boltspan.domain.errors import Clash
from boltspan.domain.frames import Make, Qualifier, Years
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.shock_values import ShockEnd, ShockSize, ShockSizes
from boltspan.domain.shocks import Shock, ShockModel, SoldWith
from boltspan.services.protocols import Case, ShockQuery, StoredShock, UnitOfWork
from boltspan.storage import SqlStorage, tables
from boltspan.storage.engine import WRITE
from tests.storage.samples import PAGE_SOURCE, claim, decision, frame, put_frames

D = Decimal
MODEL = ShockModel("orrinfell", "brindle", "Brindle", ("Brindle Air",))
F1, S1 = "f-0000000001", "s-0000000001"


def shock(number: int, start: int = 2019, end: int | None = None) -> Shock:
    return Shock(f"s-{number:010d}", "orrinfell", "brindle", "shock", Years(start, end))


def full() -> Shock:
    sold = (SoldWith(F1, ("upper", "lower"), PAGE_SOURCE), SoldWith("f-0000000002", ("lower",), PAGE_SOURCE))
    told = Qualifier("serial", "Which serial number?", start="K1", end="K9")
    return replace(shock(1), qualifier=told, sold_with=sold)


def put(unit: UnitOfWork, *shocks: Shock) -> None:
    put_frames(unit, [frame(1), frame(2, start=2024)])
    unit.catalogue.put_make(Make("orrinfell", "Orrinfell"))
    unit.shocks.put_model(MODEL)
    for sequence, one in enumerate(shocks, 1):
        unit.shocks.put_shock(StoredShock(one, sequence))


def test_all_that_a_shock_has_comes_back_and_is_replaced_whole(storage: SqlStorage) -> None:
    gone = replace(shock(2), record="withdrawn", withdrawn_on="2026-05-01", why="never sold")
    with storage.writing() as unit:
        put(unit, full(), gone)
    with storage.reading() as unit:
        assert unit.shocks.shock(S1) == StoredShock(full(), 1)
        assert unit.shocks.shock(gone.id) == StoredShock(gone, 2)
        assert unit.shocks.shock("s-0000000009") is None
        assert unit.shocks.models() == unit.shocks.models("orrinfell") == [MODEL]
        assert unit.shocks.model("orrinfell", "brindle") == MODEL
        assert unit.shocks.model("orrinfell", "other") is None
        assert unit.shocks.count() == {"shock_models": 1, "shocks": 2, "hardware_sizes": 0}
    with storage.writing() as unit:
        unit.shocks.put_shock(StoredShock(shock(1), 3))
    with storage.reading() as unit:
        assert unit.shocks.shock(S1) == StoredShock(shock(1), 3)
        assert [s.shock.id for s in unit.shocks.every_shock()] == [S1, gone.id]


def test_shocks_are_found_by_make_model_and_year_page_by_page(storage: SqlStorage) -> None:
    made = [shock(1, 2014, 2018), shock(2, 2019), replace(shock(3, 2016), record="merged", into=(S1,))]
    with storage.writing() as unit:
        put(unit, *made)
    with storage.reading() as unit:

        def ids(**asked: object) -> list[str]:
            return [s.shock.id[-1] for s in unit.shocks.find(ShockQuery(**asked))]  # type: ignore[arg-type]

        assert ids() == ids(make="orrinfell", model="brindle") == ids(models=(("orrinfell", "brindle"),)) == ["1", "2"]
        assert ids(year=2018) == ids(limit=1) == ["1"]
        assert ids(year=2030) == ids(after=("orrinfell", "brindle", 2014, S1)) == ["2"]
        assert ids(year=2013) == ids(models=()) == ids(make="x") == []
        assert [s.shock.id[-1] for s in unit.shocks.shocks_of("orrinfell", "brindle")] == ["1", "3", "2"]


def test_a_shock_needs_its_model_and_the_frames_it_names(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put(unit)
    for wrong in (
        replace(shock(1), model="other"),
        replace(full(), sold_with=(SoldWith("f-0000000009", ("upper",), PAGE_SOURCE),)),
    ):
        with pytest.raises(Clash), storage.writing() as unit:
            unit.shocks.put_shock(StoredShock(wrong))


VALUES = [
    ("body", ShockEnd("bearing_eyelet", D(12), D("20.5"), D("22.2"), "fixed")),
    ("shaft", ShockEnd(None, None, D("20.240625"))),
    ("shaft", ShockEnd("trunnion")),
    ("sizes", ShockSizes((ShockSize(D(210), D("52.5")), ShockSize(D(230), D(65))), only=True)),
    ("sizes", ShockSizes((ShockSize(D(210), D(55)),))),
    ("body", None),
]


def test_values_and_rulings_about_shocks_come_back(storage: SqlStorage) -> None:
    said = [claim(n, S1, subject, value) for n, (subject, value) in enumerate(VALUES)]
    ruled = [replace(decision(n, S1, subject), value=value) for n, (subject, value) in enumerate(VALUES)]
    other = claim(99, F1)
    with storage.writing() as unit:
        put(unit, shock(1))
        unit.statements.add_claims([*said, other])
        unit.statements.add_decisions(ruled)
    with storage.reading() as unit:
        assert repr(unit.statements.claims(S1)) == repr(said)
        assert unit.statements.decisions(S1) == ruled
        assert unit.statements.claims_of_frames([S1, F1]) == {S1: said, F1: [other]}
        assert unit.statements.claim(said[0].id) == said[0]
    with pytest.raises(Clash), storage.writing() as unit:
        unit.statements.add_claims([claim(5, "s-0000000009")])


def test_a_row_is_about_a_frame_or_a_shock_and_never_about_both_or_none(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put(unit, shock(1))
        unit.statements.add_claims([claim(1, F1)])
    writing = storage.engine.execution_options(**{WRITE: True})
    with storage.engine.begin() as connection:
        row = dict(connection.execute(select(tables.claims)).one()._mapping)
    for frame_id, shock_id in ((None, None), (F1, S1)):
        with pytest.raises(IntegrityError, match="about_one"), writing.begin() as connection:
            connection.execute(
                insert(tables.claims), row | {"id": "c-0000000002", "frame": frame_id, "shock": shock_id}
            )


def test_a_subject_of_a_shock_has_one_case(storage: SqlStorage) -> None:
    case = Case("q-0000000001", S1, "body", "open", "2026-05-01", ("new_claim",), 1)
    of_frame = replace(case, id="q-0000000002", frame=F1, sequence=2)
    with storage.writing() as unit:
        put(unit, shock(1))
        unit.cases.put(case)
        unit.cases.put(of_frame)
    with storage.reading() as unit:
        assert (unit.cases.of_subject(S1, "body"), unit.cases.of_subject(F1, "body")) == (case, of_frame)
        assert unit.cases.page(None, None, 9) == [case, of_frame]
    with pytest.raises(Clash), storage.writing() as unit:
        unit.cases.put(replace(case, id="q-0000000003"))


def test_hardware_sizes_come_back_in_their_order(storage: SqlStorage) -> None:
    rows = [
        HardwareSizes("h-0000000003", D(6), (D(20),), PAGE_SOURCE, D(15), sequence=4),
        HardwareSizes("h-0000000002", D("7.9375"), (D("22.225"), D(30)), PAGE_SOURCE),
        HardwareSizes("h-0000000001", D(8), (D(20),), PAGE_SOURCE, D("12.7"), "2026-05-01", "not so"),
    ]
    with storage.writing() as unit:
        for row in reversed(rows):
            unit.hardware.put(row)
    with storage.reading() as unit:
        assert repr(unit.hardware.rows()) == repr(rows)
