"""Events are numbered without a gap, kept as they are, and found by frame and by the record they hold."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.errors import Clash
from boltspan.services.protocols import Event
from boltspan.storage import SqlStorage, queries
from boltspan.storage.events import record_key
from tests.storage.samples import PERSON


class FixedClock:
    """A clock that stands, or is put elsewhere."""

    def __init__(self, instant: str) -> None:
        self.instant = instant

    def now(self) -> str:
        return self.instant

    def today(self) -> str:
        return self.instant[:10]


def test_an_empty_log(storage: SqlStorage) -> None:
    with storage.reading() as unit:
        assert (unit.events.first(), unit.events.last()) == (0, 0)
        assert unit.events.page(0, 10) == []
        assert unit.events.of_frame("f-0000000001") == []
        assert unit.events.newest_record("f-0000000001", 10) is None


def test_an_event_comes_back_as_it_was_recorded(storage: SqlStorage) -> None:
    clock = FixedClock("2026-11-25T10:00:00.000001Z")
    dated = SqlStorage(storage.engine, clock)
    payload = {"claim": "c-0000000001", "width_mm": Decimal("22.225"), "n": [1, {"yes": True}], "why": "“Größe”\n"}
    with dated.writing() as unit:
        assert (
            unit.events.record(PERSON, "claim_submitted", frame="f-0000000001", subject="upper", payload=payload) == 1
        )
        clock.instant = "2025-01-01T00:00:00.000000Z"  # set back: the order stays that of arrival
        assert unit.events.record(None, "exported") == 2
        assert (unit.events.first(), unit.events.last()) == (1, 2)
    wanted = [
        Event(1, "2026-11-25T10:00:00.000001Z", PERSON, "claim_submitted", "f-0000000001", "upper", payload),
        Event(2, "2025-01-01T00:00:00.000000Z", None, "exported"),
    ]
    with dated.reading() as unit:
        assert [replace(e, hash="") for e in unit.events.page(0, 10)] == wanted
        assert [replace(e, hash="") for e in unit.events.of_frame("f-0000000001")] == wanted[:1]
        assert list(unit.events.page(0, 1)[0].payload) == list(payload)  # the order of keys too


def test_pages_and_frames(storage: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 3)
    with storage.writing() as unit:
        for number in range(10):
            unit.events.record(None, "touched", frame=f"f-{number % 2:010d}")
    with storage.reading() as unit:
        assert [e.sequence for e in unit.events.page(0, 100)] == list(range(1, 11))
        assert [e.sequence for e in unit.events.page(4, 5)] == [5, 6, 7, 8, 9]
        assert unit.events.page(10, 5) == []
        assert [e.sequence for e in unit.events.of_frame("f-0000000001")] == [2, 4, 6, 8, 10]


def test_numbers_go_on_and_a_rolled_back_one_is_given_again(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        assert [unit.events.record(None, "x") for _ in range(2)] == [1, 2]

    def lose_one() -> None:
        with storage.writing() as unit:
            assert unit.events.record(None, "lost") == 3
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        lose_one()
    with storage.writing() as unit:
        assert unit.events.last() == 2
        assert unit.events.record(None, "kept") == 3
    with storage.reading() as unit:
        assert [e.kind for e in unit.events.page(0, 10)] == ["x", "x", "kept"]


def test_a_refused_payload_uses_no_number_up(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        with pytest.raises(TypeError):
            unit.events.record(None, "x", payload={"width_mm": 22.2})
        with pytest.raises(ValueError, match="'slug'"):
            unit.events.record(None, "x", payload={"make": {"name": "Tarnvale"}})
        assert unit.events.record(None, "x") == 1


def test_an_empty_database_can_start_at_another_number(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        unit.events.start_after(1200)
    with storage.writing() as unit:
        assert (unit.events.first(), unit.events.last()) == (0, 1200)
        assert unit.events.record(None, "x") == 1201
        assert unit.events.first() == 1201
        with pytest.raises(Clash):
            unit.events.start_after(5)
        assert unit.events.record(None, "x") == 1202


@pytest.mark.parametrize(
    ("payload", "key"),
    [
        ({}, None),
        ({"claim": "c-0000000001"}, None),
        ({"frame": {"id": "f-0000000001", "record": "frame"}}, "f-0000000001"),
        ({"make_slug": "tarnvale", "model_slug": "skerry", "frame": {"id": "f-0000000001"}}, "f-0000000001"),
        ({"make": {"slug": "tarnvale", "name": "Tarnvale"}}, "make/tarnvale"),
        ({"make_slug": "tarnvale", "model": {"slug": "skerry", "name": "Skerry"}}, "model/tarnvale/skerry"),
        ({"make": "tarnvale", "frame": "f-0000000001", "model": "skerry"}, None),  # names of records, no records
        ({"make": "tarnvale", "make_slug": "tarnvale", "model": {"slug": "skerry"}}, "model/tarnvale/skerry"),
    ],
)
def test_the_key_of_the_record_in_a_payload(payload: dict[str, Any], key: str | None) -> None:
    assert record_key(payload) == key


@pytest.mark.parametrize("payload", [{"frame": {}}, {"model": {"slug": "skerry"}}, {"make": {"name": "x"}}])
def test_a_record_that_does_not_say_which_it_is(payload: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="holds a record without"):
        record_key(payload)


def test_the_newest_record_up_to_an_event(storage: SqlStorage) -> None:
    def years(to: int) -> dict[str, Any]:
        return {"frame": {"id": "f-0000000001", "years": {"from": 2021, "to": to}}}

    with storage.writing() as unit:
        unit.events.record(None, "make_added", payload={"make": {"slug": "skerry"}})  # 1
        unit.events.record(None, "frame_added", frame="f-0000000001", payload=years(2022))  # 2
        unit.events.record(None, "claim_submitted", frame="f-0000000001", payload={"claim": "c-0000000001"})  # 3
        unit.events.record(None, "frame_edited", frame="f-0000000001", payload=years(2023))  # 4
        unit.events.record(None, "frame_added", payload={"frame": {"id": "f-0000000002"}})  # 5
        unit.events.record(None, "model_added", payload={"make_slug": "tarnvale", "model": {"slug": "skerry"}})  # 6

    def newest(key: str, at_most: int) -> int | None:
        with storage.reading() as unit:
            found = unit.events.newest_record(key, at_most)
            assert found is None or found.payload
            return found.sequence if found else None

    assert [newest("f-0000000001", n) for n in range(1, 7)] == [None, 2, 2, 4, 4, 4]
    assert newest("make/skerry", 6) == 1
    assert newest("model/tarnvale/skerry", 6) == 6
    assert newest("model/tarnvale/skerry", 5) is None
    assert newest("skerry", 6) is None
