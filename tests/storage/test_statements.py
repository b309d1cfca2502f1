"""Claims and decisions come back as they went in, in their order."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, NotFound
from boltspan.domain.frames import Years
from boltspan.domain.review import Decision
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.values import EndValue, Value
from boltspan.storage import SqlStorage, queries
from tests.storage.samples import (
    CALIPER_SOURCE,
    HARDWARE,
    OTHER_PERSON,
    PAGE_SOURCE,
    PERSON,
    WIDTH_ONLY_SOURCE,
    claim,
    decision,
    frame,
    put_frames,
)

FRAME = "f-0000000001"
VALUES: list[tuple[str, Value | None]] = [
    ("upper", HARDWARE),
    ("upper", EndValue("hardware", Decimal("7.9375"), Decimal("22.225"), bearing_compatible=True)),
    ("upper", EndValue("hardware")),
    ("lower", EndValue(None, width_mm=Decimal("22.2"))),
    ("lower", EndValue("trunnion")),
    ("lower", EndValue("open_eyelet", eyelet_bore_mm=Decimal("12.7"))),
    ("lower", None),
    ("shock_size", ShockSize(Decimal(210), Decimal("52.5"))),
    ("shock_size", ShockSize(stroke_mm=Decimal(55))),
    ("shock_size", None),
]


@pytest.fixture
def with_frames(storage: SqlStorage) -> SqlStorage:
    with storage.writing() as unit:
        put_frames(unit, [frame(n) for n in range(1, 8)])
    return storage


def test_nothing_is_there_at_first(with_frames: SqlStorage) -> None:
    with with_frames.reading() as unit:
        assert unit.statements.claim("c-0000000001") is None
        assert unit.statements.claims(FRAME) == []
        assert unit.statements.claims_by(PERSON) == []
        assert unit.statements.decision("d-0000000001") is None
        assert unit.statements.decisions(FRAME) == []
        assert unit.statements.claims_of_frames([]) == {}
        assert unit.statements.decisions_of_frames(["f-zzzzzzzzzz"]) == {"f-zzzzzzzzzz": []}


@pytest.mark.parametrize("source", [PAGE_SOURCE, CALIPER_SOURCE, WIDTH_ONLY_SOURCE], ids=["page", "caliper", "tape"])
def test_claims_come_back_as_they_went_in(with_frames: SqlStorage, source: object) -> None:
    kept = [
        Claim(
            f"c-{n:010d}",
            FRAME,
            subject,
            source,  # type: ignore[arg-type]
            value,
            years=(None, Years(2021), Years(2021, 2022))[n % 3],
            state=("accepted", "submitted", "refused")[n % 3],
            sequence=n,
        )
        for n, (subject, value) in enumerate(VALUES)
    ]
    with with_frames.writing() as unit:
        unit.statements.add_claims(iter(kept))
    with with_frames.reading() as unit:
        assert unit.statements.claims(FRAME) == kept
        assert [unit.statements.claim(c.id) for c in kept] == kept


def test_decisions_come_back_as_they_went_in(with_frames: SqlStorage) -> None:
    kept = [
        Decision("d-0000000009", FRAME, "upper", "2026-04-02", PERSON, "settle", "both agree", HARDWARE,
                 rests_on=("c-0000000002", "c-0000000001"), overrules=("c-0000000003",), sequence=4),
        Decision("d-0000000008", FRAME, "lower", "2026-04-02", PERSON, "refuse_claims", "copied",
                 refuses=("c-0000000004",), sequence=4),
        Decision("d-0000000007", FRAME, "upper", "2026-04-03", "rule/1", "reverse", "new page",
                 reverses="d-0000000009", sequence=5),
        Decision("d-0000000006", FRAME, "shock_size", "2026-04-03", PERSON, "settle", "page",
                 ShockSize(Decimal(210), Decimal(55)), rests_on=("c-0000000005",), sequence=6),
    ]  # fmt: skip
    with with_frames.writing() as unit:
        unit.statements.add_decisions(kept)
    with with_frames.reading() as unit:
        assert unit.statements.decisions(FRAME) == kept
        assert [unit.statements.decision(d.id) for d in kept] == kept


def test_claims_are_ordered_by_sequence_then_id(with_frames: SqlStorage) -> None:
    kept = [claim(3, FRAME, sequence=1), claim(1, FRAME, sequence=2), claim(2, FRAME, sequence=2)]
    with with_frames.writing() as unit:
        unit.statements.add_claims(reversed(kept))
    with with_frames.reading() as unit:
        assert unit.statements.claims(FRAME) == kept
        assert unit.statements.claims_by(PERSON) == kept[::-1]
        assert unit.statements.claims_by(OTHER_PERSON) == []


def test_decisions_are_ordered_by_sequence_then_arrival(with_frames: SqlStorage) -> None:
    with with_frames.writing() as unit:
        unit.statements.add_decisions([decision(n, FRAME, sequence=2) for n in (5, 1)])
        unit.statements.add_decisions([decision(3, FRAME, sequence=2), decision(9, FRAME, sequence=1)])
    with with_frames.writing() as unit:
        unit.statements.add_decisions([decision(2, FRAME, sequence=2)])
    with with_frames.reading() as unit:
        assert [d.id[-1] for d in unit.statements.decisions(FRAME)] == ["9", "5", "1", "3", "2"]


def test_statements_of_many_frames_are_asked_for_in_parts(
    with_frames: SqlStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(queries, "PAGE", 2)
    frames = [f"f-{n:010d}" for n in range(1, 8)]
    claims = {f: [claim(n * 10 + k, f, sequence=k) for k in range(3)] for n, f in enumerate(frames[:5])}
    rulings = {f: [decision(n * 10 + k, f, sequence=k) for k in range(2)] for n, f in enumerate(frames[:5])}
    with with_frames.writing() as unit:
        unit.statements.add_claims(c for many in claims.values() for c in many)
        unit.statements.add_decisions(d for many in rulings.values() for d in many)
    asked = [*frames[1:], frames[2]]
    with with_frames.reading() as unit:
        assert unit.statements.claims_of_frames(asked) == {f: claims.get(f, []) for f in frames[1:]}
        assert unit.statements.decisions_of_frames(asked) == {f: rulings.get(f, []) for f in frames[1:]}


def test_the_state_is_all_that_can_change(with_frames: SqlStorage) -> None:
    before = claim(1, FRAME, sequence=3)
    other = claim(2, FRAME, sequence=3)
    with with_frames.writing() as unit:
        unit.statements.add_claims([before, other])
    taken = replace(before, state="withdrawn", withdrawn_on="2026-05-01", withdrawn_why="misread")
    changed = replace(taken, subject="lower", value=None, sequence=99, source=CALIPER_SOURCE, years=Years(1999))
    with with_frames.writing() as unit:
        unit.statements.set_state(changed)
    with with_frames.reading() as unit:
        assert unit.statements.claims(FRAME) == [taken, other]
    with with_frames.writing() as unit:
        unit.statements.set_state(replace(before, state="accepted"))
    with with_frames.reading() as unit:
        assert unit.statements.claim(before.id) == before


def test_the_state_of_an_unknown_claim(with_frames: SqlStorage) -> None:
    with pytest.raises(NotFound), with_frames.writing() as unit:
        unit.statements.set_state(claim(1, FRAME))


def test_an_id_is_taken_once_and_a_frame_must_be_there(with_frames: SqlStorage) -> None:
    with with_frames.writing() as unit:
        unit.statements.add_claims([claim(1, FRAME)])
        unit.statements.add_decisions([decision(1, FRAME)])
    with pytest.raises(Clash), with_frames.writing() as unit:
        unit.statements.add_claims([claim(2, FRAME), claim(1, FRAME, value=None)])
    with pytest.raises(Clash), with_frames.writing() as unit:
        unit.statements.add_decisions([decision(2, FRAME), decision(1, FRAME)])
    with pytest.raises(Clash), with_frames.writing() as unit:
        unit.statements.add_claims([claim(3, "f-zzzzzzzzzz")])
    with pytest.raises(Clash), with_frames.writing() as unit:
        unit.statements.add_decisions([decision(3, "f-zzzzzzzzzz")])
    with with_frames.reading() as unit:
        assert unit.statements.claims(FRAME) == [claim(1, FRAME)]
        assert unit.statements.decisions(FRAME) == [decision(1, FRAME)]


def test_documents_with_many_waiting_claims_are_found_largest_first(with_frames: SqlStorage) -> None:
    named = [
        ("b", 1),
        ("b", 2),
        ("a", 3),
        ("a", 4),
        ("c", 5),
        ("c", 6),
        ("c", 7),
        ("alone", 8),
        ("done", 9),
        ("done", 10),
    ]
    with with_frames.writing() as unit:
        unit.statements.add_claims(
            replace(
                claim(n, FRAME, source=replace(PAGE_SOURCE, document=name)),
                state="accepted" if name == "done" else "submitted",
            )
            for name, n in named
        )
    with with_frames.reading() as unit:
        assert unit.statements.waiting_documents(2, 9) == [("c", 3), ("a", 2), ("b", 2)]
        assert unit.statements.waiting_documents(2, 1) == [("c", 3)]
