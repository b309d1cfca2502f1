"""The steps that brought shocks, readings of their eyelets and proposals of them, both ways with rows in the tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import pytest
from alembic import command
from sqlalchemy import Engine, inspect, text

from boltspan.domain.claim_states import Question
from boltspan.domain.frames import Years
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.domain.sources import Measurement, Source
from boltspan.services.clock import SystemClock
from boltspan.services.protocols import Case, Flag, StoredShock
from boltspan.storage import SqlStorage, downgrade, make_engine, migrate, migrations
from tests.storage.samples import OTHER_PERSON, PERSON, claim, decision, put_frames
from tests.storage.samples import frame as plain_frame

FRAME, SHOCK, PROPOSED = "f-0000000001", "s-0000000001", "s-0000000002"
EYELET = Source(
    "measured",
    PERSON,
    "2026-05-01",
    measurement=Measurement(
        "digital_caliper",
        Decimal("0.01"),
        bore_feature="eyelet_bore",
        outer_feature="eyelet_outer",
        bore_readings_mm=(Decimal("15.02"), Decimal("15.01")),
        outer_readings_mm=(Decimal(25),),
    ),
)
OF_A_FRAME = Measurement("vernier_caliper", Decimal("0.05"), width_feature="tab_gap", width_readings_mm=(Decimal(22),))


@pytest.fixture
def empty(database_url: str) -> Iterator[Engine]:
    engine = make_engine(database_url)
    yield engine
    engine.dispose()


def up_to(engine: Engine, revision: str) -> None:
    with migrations._changing_tables(engine) as connection:
        command.upgrade(migrations._config(connection), revision)


def run(engine: Engine, *statements: str) -> None:
    with migrations._changing_tables(engine) as connection:
        for statement in statements:
            connection.execute(text(statement))


def counted(engine: Engine, *tables: str) -> dict[str, int]:
    with engine.connect() as connection:
        return {t: connection.exec_driver_sql(f"SELECT count(*) FROM {t}").scalar_one() for t in tables}


A_FRAME = (
    "INSERT INTO makes (slug, name, aliases) VALUES ('tarnvale', 'Tarnvale', '[]')",
    "INSERT INTO models (make, slug, name, aliases) VALUES ('tarnvale', 'skerry', 'Skerry', '[]')",
    "INSERT INTO frames (id, make, model, record, year_from, first_end, second_end, went_into, listed, sequence) "
    f"VALUES ('{FRAME}', 'tarnvale', 'skerry', 'frame', 2021, 'upper', 'lower', '[]', true, 1)",
)
SAID_OF_IT = (
    "INSERT INTO claims (id, frame, subject, source_kind, source_by, source_seen_on, source_document, mount, "
    "bearing_compatible, state, sequence) VALUES "
    f"('c-0000000001', '{FRAME}', 'upper', 'spec_page', '{PERSON}', '2026-01-01', 'a', 'trunnion', false, "
    "'accepted', 1)",
    "INSERT INTO decisions (id, frame, subject, ruled_on, ruled_by, ruling, why, rests_on, overrules, refuses, "
    f"sequence) VALUES ('d-0000000001', '{FRAME}', 'upper', '2026-01-02', '{PERSON}', 'leave_open', 'unsure', '[]', "
    "'[]', '[]', 1)",
    "INSERT INTO cases (id, frame, subject, state, opened_on, reasons, sequence) VALUES "
    f"('q-0000000001', '{FRAME}', 'upper', 'open', '2026-01-01', '[\"new_claim\"]', 1)",
)
SAID = ("claims", "decisions", "cases")


def test_what_is_said_of_frames_stays_when_shocks_come_and_go(empty: Engine) -> None:
    up_to(empty, "0002")
    run(empty, *A_FRAME, *SAID_OF_IT)
    migrate(empty)
    storage = SqlStorage(empty, SystemClock())
    with storage.writing() as unit:
        (said,), (ruled,) = unit.statements.claims(FRAME), unit.statements.decisions(FRAME)
        case = unit.cases.of_subject(FRAME, "upper")
        assert (said.frame, ruled.frame, case and case.frame) == (FRAME, FRAME, FRAME)
        unit.shocks.put_model(ShockModel("tarnvale", "brindle", "Brindle"))
        unit.shocks.put_shock(StoredShock(Shock(SHOCK, "tarnvale", "brindle", "shock", Years(2021)), 2))
        of_shock = claim(2, SHOCK, "body", ShockEnd("trunnion"))
        unit.statements.add_claims([of_shock])
        unit.statements.put_question(
            Question("n-0000000001", of_shock.id, PERSON, "2026-02-01", "Which end?", sequence=2)
        )
        unit.statements.add_decisions([decision(2, SHOCK, "body", 2)])
        unit.cases.put(Case("q-0000000002", SHOCK, "body", "open", "2026-02-01", ("new_claim",), 2))
    assert counted(empty, *SAID) == dict.fromkeys(SAID, 2)
    downgrade(empty, "0002")
    assert counted(empty, *SAID) == dict.fromkeys(SAID, 1)
    assert not {"shocks", "shock_models", "sold_with", "hardware_sizes"} & set(inspect(empty).get_table_names())
    with pytest.raises(Exception, match=r"(?i)null"):
        run(empty, "UPDATE claims SET frame = NULL")  # a row is about a frame again, and about nothing else
    migrate(empty)
    migrations.check(empty)
    with storage.reading() as unit:
        assert unit.statements.claims(FRAME) == [said]
        assert unit.statements.decisions(FRAME) == [ruled]
        assert unit.cases.of_subject(FRAME, "upper") == case
        assert list(unit.shocks.every_shock()) == []


def test_a_row_is_about_one_record_and_just_one(empty: Engine) -> None:
    up_to(empty, "0003")
    run(empty, *A_FRAME, *SAID_OF_IT)
    with pytest.raises(Exception, match="ck_claims_about_one"):
        run(empty, "UPDATE claims SET frame = NULL")


def test_readings_that_stand_are_kept_and_what_the_step_brought_goes_with_it(empty: Engine) -> None:
    up_to(empty, "0005")
    run(
        empty,
        *A_FRAME,
        "INSERT INTO claims (id, frame, subject, source_kind, source_by, source_seen_on, instrument, resolution_nm, "
        "width_feature, bolt_readings_nm, width_readings_nm, state, sequence, unreviewed) VALUES ('c-0000000001', "
        f"'{FRAME}', 'upper', 'measured', '{OTHER_PERSON}', '2026-01-01', 'vernier_caliper', 50000, 'tab_gap', '[]', "
        "'[22000000]', 'accepted', 1, false)",
        "INSERT INTO shock_models (make, slug, name, aliases) VALUES ('tarnvale', 'brindle', 'Brindle', '[]')",
        "INSERT INTO shocks (id, make, model, record, year_from, went_into, sequence) VALUES "
        f"('{SHOCK}', 'tarnvale', 'brindle', 'shock', 2021, '[]', 1)",
    )
    migrate(empty)
    storage = SqlStorage(empty, SystemClock())
    listed = StoredShock(Shock(SHOCK, "tarnvale", "brindle", "shock", Years(2021)), 1)
    proposed = StoredShock(replace(listed.shock, id=PROPOSED, years=Years(2020, 2020)), 2, False, PERSON)
    with storage.writing() as unit:
        (said,) = unit.statements.claims(FRAME)
        assert said.source.measurement == OF_A_FRAME
        assert unit.shocks.shock(SHOCK) == listed
        unit.shocks.put_shock(proposed)
        read = claim(2, SHOCK, "body", None, source=EYELET)
        unit.statements.add_claims([read, claim(3, PROPOSED, "body", ShockEnd("trunnion")),
                                    claim(4, SHOCK, "body", ShockEnd("eyelet"))])  # fmt: skip
        unit.statements.put_question(Question("n-0000000001", read.id, PERSON, "2026-02-01", "Which end?", sequence=2))
        unit.statements.add_decisions([decision(1, PROPOSED, "body", 2)])
        unit.cases.put(Case("q-0000000002", PROPOSED, "record", "open", "2026-02-01", ("proposal",), 2))
    with storage.reading() as unit:
        assert unit.shocks.shock(PROPOSED) == proposed
        assert unit.shocks.proposed_by(PERSON) == [proposed]
        assert next(c for c in unit.statements.claims(SHOCK) if c.id == read.id).source == EYELET
    downgrade(empty, "0005")
    gone = ("questions", "decisions", "cases")
    assert counted(empty, "claims", "shocks", *gone) == {"claims": 2, "shocks": 1, **dict.fromkeys(gone, 0)}
    migrate(empty)
    migrations.check(empty)
    with storage.reading() as unit:
        assert unit.statements.claims(FRAME) == [said]
        assert [c.id for c in unit.statements.claims(SHOCK)] == ["c-0000000004"]
        assert list(unit.shocks.every_shock()) == [listed]


def test_flags_on_frames_stay_when_flags_on_shocks_come_and_go(empty: Engine) -> None:
    up_to(empty, "0007")
    run(
        empty,
        *A_FRAME,
        "INSERT INTO flags (id, frame, subject, reason, flagged_on, sequence) VALUES "
        f"('g-0000000001', '{FRAME}', 'upper', 'unsafe', '2026-01-01', 1)",
    )
    migrate(empty)
    storage = SqlStorage(empty, SystemClock())
    on_shock = Flag("g-0000000002", SHOCK, "record", "doubled", "2026-02-01", by=PERSON, sequence=2)
    with storage.writing() as unit:
        on_frame = unit.flags.of_frame(FRAME)
        assert on_frame == [Flag("g-0000000001", FRAME, "upper", "unsafe", "2026-01-01", sequence=1)]
        unit.shocks.put_model(ShockModel("tarnvale", "brindle", "Brindle"))
        unit.shocks.put_shock(StoredShock(Shock(SHOCK, "tarnvale", "brindle", "shock", Years(2021)), 2))
        unit.flags.put(on_shock)
        unit.flags.put(replace(on_shock, closed_on="2026-02-02"))
    with storage.reading() as unit:
        assert unit.flags.of_frame(SHOCK) == unit.flags.by(PERSON) == [replace(on_shock, closed_on="2026-02-02")]
    downgrade(empty, "0007")
    assert counted(empty, "flags") == {"flags": 1}
    migrate(empty)
    migrations.check(empty)
    with storage.reading() as unit:
        assert unit.flags.of_frame(FRAME) == on_frame


def test_a_make_or_model_of_proposals_alone_is_not_told(empty: Engine) -> None:
    migrate(empty)
    storage = SqlStorage(empty, SystemClock())
    shock = Shock(SHOCK, "orrinfell", "brindle", "shock", Years(2021))
    with storage.writing() as unit:
        put_frames(unit, [plain_frame(1)])
        unit.catalogue.put_make(replace(unit.catalogue.makes()[0], slug="orrinfell"))
        unit.shocks.put_model(ShockModel("orrinfell", "brindle", "Brindle"))
        unit.shocks.put_shock(StoredShock(shock, 1, False, PERSON))
    with storage.writing() as unit:
        assert ([m.slug for m in unit.catalogue.makes()], unit.shocks.models()) == (["tarnvale"], [])
        assert unit.shocks.model("orrinfell", "brindle") is not None
        unit.shocks.put_shock(StoredShock(shock, 2, True, PERSON))
    with storage.reading() as unit:
        assert [m.slug for m in unit.catalogue.makes()] == ["orrinfell", "tarnvale"]
        assert [m.slug for m in unit.shocks.models()] == ["brindle"]
