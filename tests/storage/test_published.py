"""Published answers: by path, by what is newer, tombstones included; read a page at a time."""

from __future__ import annotations

import tracemalloc

import pytest

from boltspan.services.protocols import Encoded
from boltspan.storage import SqlStorage, queries


def answer(path: str, sequence: int, body: bytes | None = b"{}") -> Encoded:
    return Encoded(path, body, "" if body is None else f'"{path}-{sequence}"', sequence)


def test_nothing_is_published_at_first(storage: SqlStorage) -> None:
    with storage.reading() as unit:
        assert unit.published.get("/v1/frames/f-0000000001") is None
        assert list(unit.published.since(0)) == []
        assert list(unit.published.newest(10)) == []


def test_an_answer_is_kept_to_the_byte_and_replaced_by_path(storage: SqlStorage) -> None:
    every_byte = answer("/a", 1, bytes(range(256)))
    with storage.writing() as unit:
        unit.published.put([every_byte, answer("/b", 1)])
        assert unit.published.get("/a") == every_byte
        unit.published.put([answer("/a", 2, b"new")])
    with storage.reading() as unit:
        assert unit.published.get("/a") == answer("/a", 2, b"new")
        assert unit.published.get("/b") == answer("/b", 1)
        assert list(unit.published.since(0)) == [answer("/b", 1), answer("/a", 2, b"new")]


def test_a_withdrawal_leaves_a_tombstone_that_others_learn_of(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        unit.published.put([answer("/a", 1), answer("/b", 2)])
    with storage.writing() as unit:
        unit.published.put([answer("/a", 3, None)])
    with storage.reading() as unit:
        assert unit.published.get("/a") == answer("/a", 3, None)
        assert list(unit.published.since(2)) == [answer("/a", 3, None)]
        assert list(unit.published.newest(10)) == [answer("/b", 2)]


def test_since_and_newest_keep_their_order_across_pages(storage: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 3)
    kept = [answer(path, sequence) for sequence in (1, 2, 3) for path in ("/a-b", "/a2", "/ab")]
    kept = [Encoded(f"{a.path}/{a.sequence}", a.body, a.etag, a.sequence) for a in kept]
    kept = [*kept, answer("/gone", 4, None)]
    with storage.writing() as unit:
        unit.published.put(reversed(kept))
    with storage.reading() as unit:
        assert list(unit.published.since(0)) == kept
        assert list(unit.published.since(1)) == kept[3:]
        assert list(unit.published.since(4)) == []
        assert list(unit.published.newest(100)) == kept[-2::-1]
        for limit in (0, 1, 3, 4, 7):
            assert list(unit.published.newest(limit)) == kept[-2::-1][:limit]


def test_all_can_be_cleared(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        unit.published.put([answer("/a", 1), answer("/b", 2, None)])
        unit.published.clear()
        assert list(unit.published.since(0)) == []


def test_reading_all_takes_little_memory(storage: SqlStorage) -> None:
    size, number = 4000, 4000
    with storage.writing() as unit:
        unit.published.put(answer(f"/{n}", n, b"x" * size) for n in range(number))
    with storage.reading() as unit:
        tracemalloc.start()
        try:
            assert sum(len(a.body or b"") for a in unit.published.since(-1)) == size * number
            _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
    assert peak < size * number / 2
