"""The index of findings is replaced whole, frame by frame."""

from __future__ import annotations

from decimal import Decimal

import pytest

from boltspan.domain.errors import Clash
from boltspan.services.protocols import FrameQuery
from boltspan.storage import SqlStorage
from tests.storage.samples import frame, hidden, put_frames, shock_shown, shown


def test_every_standing_is_counted_none_included(storage: SqlStorage) -> None:
    nothing = {"settled": 0, "provisional": 0, "disputed": 0, "unknown": 0, "withheld": 0}
    with storage.writing() as unit:
        assert unit.findings.count_by_standing() == nothing
        put_frames(unit, [frame(1), frame(2)])
        unit.findings.put("f-0000000001", [shown("upper", "8", "22.2"), hidden("lower", "disputed"), shock_shown()])
        unit.findings.put("f-0000000002", [shown("upper", "8", "40"), hidden("lower", "unknown")])
    with storage.reading() as unit:
        assert unit.findings.count_by_standing() == nothing | {
            "settled": 2, "provisional": 1, "disputed": 1, "unknown": 1,
        }  # fmt: skip


def test_what_was_indexed_before_is_gone(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1), frame(2)])
        for number in (1, 2):
            unit.findings.put(f"f-{number:010d}", [shown("upper", "8", "22.2"), hidden("lower", "disputed")])
    with storage.writing() as unit:
        unit.findings.put("f-0000000001", [shown("upper", "10", "40")])
    with storage.reading() as unit:
        assert unit.findings.count_by_standing()["disputed"] == 1
        assert [s.frame.id for s in unit.catalogue.find(FrameQuery(bolt_mm=Decimal(8)))] == ["f-0000000002"]
        assert [s.frame.id for s in unit.catalogue.find(FrameQuery(bolt_mm=Decimal(10)))] == ["f-0000000001"]
    with storage.writing() as unit:
        unit.findings.put("f-0000000001", [])
        unit.findings.put("f-0000000002", [])
        assert sum(unit.findings.count_by_standing().values()) == 0


def test_a_frame_must_be_there(storage: SqlStorage) -> None:
    with pytest.raises(Clash), storage.writing() as unit:
        unit.findings.put("f-0000000001", [hidden("upper", "unknown")])
