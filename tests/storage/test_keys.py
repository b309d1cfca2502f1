"""Saved answers by owner and key, and counters of rate limits."""

from __future__ import annotations

import threading
from dataclasses import replace
from decimal import Decimal

from boltspan.services.protocols import SavedAnswer
from boltspan.storage import SqlStorage
from tests.storage.samples import PERSON

ANSWER = SavedAnswer(
    "f" * 64, 201, {"claim": {"width_mm": Decimal("22.2")}}, "/v1/claims/c-0000000001", "2026-05-01T10:00:00.000000Z"
)
OWNER = f"{PERSON} POST /v1/claims"


def test_an_answer_belongs_to_owner_and_key(storage: SqlStorage) -> None:
    without_place = replace(ANSWER, location=None, status=200)
    with storage.writing() as unit:
        assert unit.keys.saved(OWNER, "k") is None
        unit.keys.save(OWNER, "k", ANSWER)
        unit.keys.save(OWNER, "K", without_place)
    with storage.reading() as unit:
        assert unit.keys.saved(OWNER, "k") == ANSWER
        assert unit.keys.saved(OWNER, "K") == without_place
        assert unit.keys.saved("somebody else", "k") is None


def test_an_answer_can_be_saved_anew(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        unit.keys.save(OWNER, "k", ANSWER)
        unit.keys.save(OWNER, "k", replace(ANSWER, fingerprint="e" * 64))
        assert unit.keys.saved(OWNER, "k") == replace(ANSWER, fingerprint="e" * 64)


def test_what_is_older_is_forgotten(storage: SqlStorage) -> None:
    instants = ["2026-04-30T23:59:59.999999Z", "2026-05-01T00:00:00.000000Z", "2026-05-01T00:00:00.000001Z"]
    with storage.writing() as unit:
        for n, instant in enumerate(instants):
            unit.keys.save(OWNER, str(n), replace(ANSWER, saved_at=instant))
        assert unit.keys.forget_before(instants[1]) == 1
        assert unit.keys.forget_before(instants[1]) == 0
    with storage.reading() as unit:
        assert [unit.keys.saved(OWNER, str(n)) is not None for n in range(3)] == [False, True, True]


def test_forgetting_drops_counters_whose_window_is_over(storage: SqlStorage) -> None:
    # 2026-05-01T00:00:00Z is 1777593600 seconds after 1970 (POSIX: 20574 days of 86400 s)
    midnight_s = 20574 * 86400.0
    with storage.writing() as unit:
        for name, start_s in (("over", midnight_s - 61), ("running", midnight_s - 59)):
            assert unit.keys.hit(name, start_s, 60) == 1
        assert unit.keys.forget_before("2026-05-01T00:00:00.000000Z") == 0
        # a dropped counter starts again, even at an instant inside its old window
        assert unit.keys.hit("over", midnight_s - 30, 60) == 1
        assert unit.keys.hit("running", midnight_s - 30, 60) == 2


def test_hits_are_counted_until_the_window_ends(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        hits = [unit.keys.hit("a", t, 60) for t in (1000.0, 1000.0, 1059.9, 1060.0, 1060.5, 2000.0)]
        assert hits == [1, 2, 3, 1, 2, 1]
        assert unit.keys.hit("b", 2000.0, 60) == 1


def test_a_clock_set_back_starts_a_new_window(storage: SqlStorage) -> None:
    year_s = 365 * 86400.0
    with storage.writing() as unit:
        assert [unit.keys.hit("a", t, 60) for t in (year_s, year_s + 1)] == [1, 2]
        assert [unit.keys.hit("a", t, 60) for t in (5.0, 6.0, 64.9, 65.0)] == [1, 2, 3, 1]


def test_hits_of_many_threads_are_all_counted(storage: SqlStorage) -> None:
    seen: list[int] = []

    def hit() -> None:
        for _ in range(10):
            with storage.writing() as unit:
                n = unit.keys.hit("a", 1000.0, 60)
            seen.append(n)

    threads = [threading.Thread(target=hit) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(seen) == list(range(1, 81))
