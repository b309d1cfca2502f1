"""Review cases: one a subject, listed by the number of their last event."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from boltspan.domain.errors import Clash
from boltspan.services.protocols import Case
from boltspan.storage import SqlStorage, queries
from tests.storage.samples import CALIPER_SOURCE, PAGE_SOURCE, claim, frame, put_frames


def case(number: int, subject: str = "upper", *, state: str = "open", sequence: int = 1, rank: int = 0) -> Case:
    return Case(f"q-{number:010d}", f"f-{number:010d}", subject, state, "2026-05-01", ("new_claim",), sequence, rank)


@pytest.fixture
def with_frames(storage: SqlStorage) -> SqlStorage:
    with storage.writing() as unit:
        put_frames(unit, [frame(n) for n in range(1, 9)])
    return storage


def test_no_case_at_first(with_frames: SqlStorage) -> None:
    with with_frames.reading() as unit:
        assert unit.cases.case("q-0000000001") is None
        assert unit.cases.of_subject("f-0000000001", "upper") is None
        assert unit.cases.page(None, None, 10) == []


def test_a_case_is_kept_found_and_replaced(with_frames: SqlStorage) -> None:
    first, second = case(1), replace(case(1, "lower"), id="q-0000000009")
    with with_frames.writing() as unit:
        unit.cases.put(first)
        unit.cases.put(second)
        closed = replace(
            first, state="closed", reasons=("new_claim", "reversed"), sequence=2**40, opened_on="2026-06-01"
        )
        unit.cases.put(closed)
    with with_frames.reading() as unit:
        assert unit.cases.case(first.id) == closed
        assert unit.cases.of_subject("f-0000000001", "upper") == closed
        assert unit.cases.of_subject("f-0000000001", "lower") == second
        assert unit.cases.of_subject("f-0000000002", "upper") is None


def test_a_subject_has_one_case_and_its_frame_is_there(with_frames: SqlStorage) -> None:
    with with_frames.writing() as unit:
        unit.cases.put(case(1))
    with pytest.raises(Clash), with_frames.writing() as unit:
        unit.cases.put(replace(case(1), id="q-0000000009"))
    with pytest.raises(Clash), with_frames.writing() as unit:
        unit.cases.put(case(99))


def test_pages_are_by_rank_sequence_and_id(with_frames: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 2)
    places = {4: (-5, 1), 2: (-5, 2), 7: (-5, 2), 1: (0, 1), 8: (0, 3), 3: (7, 0)}
    kept = [case(n, state="closed" if n in (2, 8) else "open", rank=r, sequence=s) for n, (r, s) in places.items()]
    with with_frames.writing() as unit:
        for one in reversed(kept):
            unit.cases.put(one)
    with with_frames.reading() as unit:
        assert unit.cases.page(None, None, 100) == kept
        assert unit.cases.page(None, None, 3) == kept[:3]
        assert unit.cases.page(None, (kept[2].rank, kept[2].sequence, kept[2].id), 100) == kept[3:]
        still_open = [c for c in kept if c.state == "open"]
        assert unit.cases.page("open", None, 100) == still_open
        assert unit.cases.page("open", (-5, 2, "q-0000000002"), 1) == still_open[1:2]
        assert unit.cases.page("closed", (0, 3, "q-0000000008"), 100) == []


def test_cases_that_wait_for_nothing_but_a_large_document_are_folded(with_frames: SqlStorage) -> None:
    """1 to 3: the large document alone; 4: something else beside it; 5: a small document; 6: flagged; 7: closed."""
    named = {1: ["large"], 2: ["large"], 3: ["large", "large"], 4: ["large", None], 5: ["small"], 6: ["large"],
             7: ["large"]}  # fmt: skip
    numbers = itertools.count(1)
    with with_frames.writing() as unit:
        for n, documents in named.items():
            sources = (PAGE_SOURCE if d else CALIPER_SOURCE for d in documents)
            unit.statements.add_claims(
                replace(claim(next(numbers), frame(n).id), source=replace(source, document=d), state="submitted")
                for d, source in zip(documents, sources, strict=True)
            )
            unit.cases.put(case(n, state="closed" if n == 7 else "open"))
        unit.cases.put(replace(case(6), reasons=("new_claim", "flagged")))
    with with_frames.reading() as unit:
        assert unit.statements.waiting_documents(5, 9) == [("large", 7)]
        for state, least, shown in (("open", 5, [4, 5, 6]), (None, 5, [4, 5, 6, 7]), ("open", 8, [1, 2, 3, 4, 5, 6]),
                                    ("closed", 5, [7])):  # fmt: skip
            assert [c.id for c in unit.cases.page(state, None, 9, least)] == [case(n).id for n in shown]
        assert [c.id for c in unit.cases.page("open", (0, 1, case(4).id), 1, 5)] == [case(5).id]
