"""Every length comes back from both databases to the last digit, and stands there as whole nanometres.

Published source: an inch is exactly 25.4 mm (international yard and pound agreement of 1959; NIST SP 811, appendix B),
so k/64 in is k x 396,875 nm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from boltspan.domain.ids import mint
from boltspan.domain.lengths import inches, trimmed
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.sources import Measurement, Source
from boltspan.domain.values import EndValue
from boltspan.storage import SqlStorage, tables
from tests.storage.samples import PERSON, claim, decision, frame, put_frames

FRAME = "f-0000000001"
nanometres = st.integers(1, 2_000_000_000)
lengths = st.one_of(
    st.integers(1, 64 * 78).map(lambda k: inches(Fraction(k, 64))),
    nanometres.map(lambda n: trimmed(Decimal(n).scaleb(-6))),
)
again: Callable[[Any], Any] = settings(
    derandomize=True, deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.fixture
def with_frame(storage: SqlStorage) -> SqlStorage:
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
    return storage


@again
@given(st.lists(lengths, min_size=4, max_size=4), st.lists(lengths, min_size=1, max_size=20))
def test_lengths_come_back_to_the_last_digit(
    with_frame: SqlStorage, sizes: list[Decimal], readings: list[Decimal]
) -> None:
    one, two, three, four = sizes
    measured = Measurement("vernier_caliper", four, "shank", "tab_gap", tuple(readings), tuple(reversed(readings)))
    end = replace(
        claim(0, FRAME, value=EndValue("open_eyelet", one, two, three)),
        id=mint("claim"),
        source=Source("measured", PERSON, "2026-04-01", measurement=measured),
    )
    size = replace(claim(0, FRAME, "shock_size", ShockSize(one, two)), id=mint("claim"))
    ruling = replace(decision(0, FRAME), id=mint("decision"), value=EndValue("hardware", three, four))
    with with_frame.writing() as unit:
        unit.statements.add_claims([end, size])
        unit.statements.add_decisions([ruling])
    with with_frame.reading() as unit:
        # repr too: 22.20 == 22.2, yet would be written with another digit
        assert repr(unit.statements.claim(end.id)) == repr(end)
        assert repr(unit.statements.claim(size.id)) == repr(size)
        assert repr(unit.statements.decision(ruling.id)) == repr(ruling)


@again
@given(st.integers(1, 64 * 78))
def test_inch_fractions_stand_as_whole_nanometres(with_frame: SqlStorage, sixty_fourths: int) -> None:
    width = inches(Fraction(sixty_fourths, 64))
    kept = replace(claim(0, FRAME, value=EndValue("hardware", width_mm=width)), id=mint("claim"))
    with with_frame.writing() as unit:
        unit.statements.add_claims([kept])
    with with_frame.engine.connect() as connection:
        stored = connection.execute(select(tables.claims.c.width_nm).where(tables.claims.c.id == kept.id)).scalar_one()
    assert stored == sixty_fourths * 396_875


def test_a_finer_digit_is_refused_and_nothing_is_stored(with_frame: SqlStorage) -> None:
    with pytest.raises(ValueError, match="six decimal places"), with_frame.writing() as unit:
        unit.statements.add_claims([claim(1, FRAME, value=EndValue("hardware", width_mm=Decimal("22.2000001")))])
    with with_frame.reading() as unit:
        assert unit.statements.claims(FRAME) == []
