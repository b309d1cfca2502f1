"""Weighed ends come back as they were stored, digit by digit, and a snapshot's are kept apart from another's."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from boltspan.domain.values import EndValue
from boltspan.domain.weighed import Weighed, WeighedCandidate
from boltspan.services.protocols import StoredSnapshot, StoredWeighed
from boltspan.storage import SqlStorage
from tests.storage.samples import frame, put_frames

F1, F2 = "f-0000000001", "f-0000000002"
SAID = Weighed(
    "conflict",
    (
        WeighedCandidate(EndValue("hardware", Decimal(8), Decimal("28.58")), 0.1 + 0.2, ("c-0000000001",)),
        WeighedCandidate(EndValue("trunnion"), 1e-7),
    ),
    1 / 3,
    2,
    "1.0.0+test",
    "s1",
)


def row(snapshot: str, of: str, subject: str, sequence: int, said: Weighed | None = None) -> StoredWeighed:
    return StoredWeighed(snapshot, of, subject, sequence, {"p-000000000a": (1 / 7, 0.1)}, said)


def test_what_was_stored_comes_back_with_every_digit(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1), frame(2)])
        unit.snapshots.put(StoredSnapshot("s1", "2026-06-01", 7, "1.0.0+test", "[]", "{}"))
        unit.weighed.put([row("s1", F1, "upper", 5, SAID), row("s1", F1, "lower", 5), row("s1", F2, "upper", 6, SAID)])
    with storage.reading() as unit:
        found = unit.weighed.of_frames("s1", [F1, F2, "f-0000000009"])
        assert found[F1] == [row("s1", F1, "lower", 5), row("s1", F1, "upper", 5, SAID)]
        assert found["f-0000000009"] == []
        assert unit.weighed.of_frames("s2", [F1]) == {F1: []}
        stored = unit.snapshots.snapshot("s1")
        assert stored is not None
        assert (stored.made_on, stored.event, stored.catalogue) == ("2026-06-01", 7, "[]")
        assert unit.snapshots.snapshot("s2") is None


def test_what_waits_is_counted_by_frame_and_leaves_when_weighed(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1), frame(2)])
        for name in ("s1", "s2"):
            unit.snapshots.put(StoredSnapshot(name, "", 0, "", "[]", "{}"))
        unit.weighed.put(row("s1", of, end, -1) for of in (F2, F1) for end in ("upper", "lower"))
        unit.weighed.put([row("s2", F1, "upper", 3, replace(SAID, snapshot="s2"))])
        assert (unit.weighed.count_waiting("s1"), unit.weighed.waiting("s1", 9)) == (2, [F1, F2])
        assert unit.weighed.waiting("s1", 1) == [F1]
        unit.weighed.put([row("s1", F1, "upper", 4), row("s1", F1, "lower", 4)])
        assert (unit.weighed.count_waiting("s1"), unit.weighed.waiting("s1", 9)) == (1, [F2])
        unit.weighed.drop([F2])
        assert unit.weighed.count_waiting("s1") == 0
        unit.weighed.keep_only("s2")
        assert unit.weighed.of_frames("s1", [F1]) == {F1: []}
        assert len(unit.weighed.of_frames("s2", [F1])[F1]) == 1
