"""Look-ups of frames: by make, model and year, by size at one end, by standing, page by page."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from boltspan.services.protocols import FrameQuery, StoredFrame
from boltspan.storage import SqlStorage, queries
from tests.storage.samples import frame, hidden, put_frames, shock_shown, shown


def found(storage: SqlStorage, query: FrameQuery) -> list[str]:
    with storage.reading() as unit:
        return [stored.frame.id[-2:] for stored in unit.catalogue.find(query)]


@pytest.fixture
def sized(storage: SqlStorage) -> SqlStorage:
    """Five frames of known sizes."""
    with storage.writing() as unit:
        put_frames(unit, [frame(n) for n in range(1, 6)])
        for number, at in {
            1: [shown("upper", "8", "22.2"), shown("lower", "10", "40"), shock_shown()],
            2: [shown("upper", "8", "40"), shown("lower", "10", "22.2", standing="provisional")],
            3: [shown("upper", "8", "22.225"), hidden("lower", "disputed")],
            4: [shown("upper", mount="trunnion"), shown("lower", "8", "22.256")],
            5: [hidden("upper", "unknown"), hidden("lower", "withheld")],
        }.items():
            unit.findings.put(f"f-{number:010d}", at)
    return storage


@pytest.mark.parametrize(
    ("bolt", "width", "wanted"),
    [
        ("8", "22.2", ["01", "03"]),  # not 02, whose 22.2 is at the other end; not 04, 0.056 away
        ("8", "22.225", ["01", "03"]),
        ("8", "22.226", ["01", "03", "04"]),  # 22.256 is just 0.03 away, the limit included
        ("8", "22.2251", ["01", "03"]),  # 22.256 is 0.0309 away
        ("8", "22.286", ["04"]),
        ("8", "22.286001", []),  # a nanometre beyond the limit
        ("10", "40", ["01"]),
        ("10", "22.2", ["02"]),
        ("10", None, ["01", "02"]),
        (None, "40", ["01", "02"]),
        (None, "22.2", ["01", "02", "03"]),
        ("6", None, []),
    ],
)
def test_sizes_match_within_three_hundredths_at_one_and_the_same_end(
    sized: SqlStorage, bolt: str | None, width: str | None, wanted: list[str]
) -> None:
    query = FrameQuery(bolt_mm=(bolt and Decimal(bolt)) or None, width_mm=(width and Decimal(width)) or None)
    assert found(sized, query) == wanted


@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        (FrameQuery(mount="trunnion"), ["04"]),
        (FrameQuery(mount="hardware"), ["01", "02", "03", "04"]),
        (FrameQuery(mount="trunnion", bolt_mm=Decimal(8)), []),  # the bolt is at the other end
        (FrameQuery(standing="disputed"), ["03"]),
        (FrameQuery(standing="withheld"), ["05"]),
        (FrameQuery(standing="provisional"), ["01", "02"]),  # of 01 it is the shock's size
        (FrameQuery(standing="provisional", width_mm=Decimal("22.2")), ["02"]),
        (FrameQuery(standing="settled", bolt_mm=Decimal(10), width_mm=Decimal("22.2")), []),
    ],
)
def test_mount_and_standing_hold_at_that_end_too(sized: SqlStorage, query: FrameQuery, wanted: list[str]) -> None:
    assert found(sized, query) == wanted


def test_by_make_model_and_year(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(
            unit,
            [
                frame(1, start=2018, end=2020),
                frame(2, start=2021, end=2021),
                frame(3, start=2022, end=None),
                frame(4, model="other", start=2018, end=2020),
                frame(5, make="ostmere", start=2018, end=2020),
            ],
        )
    for year, wanted in {2017: [], 2018: ["01"], 2020: ["01"], 2021: ["02"], 2022: ["03"], 2099: ["03"]}.items():
        assert found(storage, FrameQuery(make="tarnvale", model="skerry", year=year)) == wanted
    assert found(storage, FrameQuery(year=2019)) == ["05", "04", "01"]
    assert found(storage, FrameQuery(make="tarnvale")) == ["04", "01", "02", "03"]
    assert found(storage, FrameQuery(model="skerry")) == ["05", "01", "02", "03"]


def test_proposals_and_records_that_no_longer_answer_are_not_found(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
        put_frames(unit, [frame(2)], listed=False)
        for number, record in ((3, "merged"), (4, "divided"), (5, "withdrawn")):
            unit.catalogue.put_frame(StoredFrame(replace(frame(number), record=record)))
        for number in range(1, 6):
            unit.findings.put(f"f-{number:010d}", [shown("upper", "8", "22.2")])
    assert found(storage, FrameQuery()) == ["01"]
    assert found(storage, FrameQuery(bolt_mm=Decimal(8))) == ["01"]


def test_only_these_models(storage: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 2)  # so that four pairs are asked for in two goes
    with storage.writing() as unit:
        put_frames(unit, [frame(n, make=make, model=model, start=2010 + n)
                          for make, model in (("a-b", "x"), ("a-b", "y"), ("ab", "x"), ("ab", "y"))
                          for n in ([1, 2] if (make, model) == ("a-b", "x") else [])])  # fmt: skip
        put_frames(
            unit, [frame(3, make="a-b", model="y"), frame(4, make="ab", model="x"), frame(5, make="ab", model="y")]
        )
    pairs = (("ab", "y"), ("a-b", "x"), ("no", "such"), ("a-b", "y"), ("a-b", "x"))
    assert found(storage, FrameQuery(models=pairs)) == ["01", "02", "03", "05"]
    assert found(storage, FrameQuery(models=pairs, limit=3)) == ["01", "02", "03"]
    assert found(storage, FrameQuery(models=pairs, after=("a-b", "x", 2012, "f-0000000002"))) == ["03", "05"]
    assert found(storage, FrameQuery(models=(("a-b", "y"), ("ab", "x")), year=2022)) == ["03", "04"]
    assert found(storage, FrameQuery(models=())) == []


def test_pages_go_on_where_the_last_one_ended(storage: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 2)  # smaller than a page asked for
    frames = [
        frame(n, make=("a-b", "ab")[n % 2], model=("m-1", "m1")[n % 3 % 2], start=2015 + n % 4) for n in range(20)
    ]
    wanted = sorted(frames, key=lambda f: (f.make, f.model, f.years.start, f.id))
    with storage.writing() as unit:
        put_frames(unit, frames)
    seen = []
    query = FrameQuery(limit=3)
    while True:
        with storage.reading() as unit:
            page = [s.frame for s in unit.catalogue.find(query)]
        seen += page
        if len(page) < 3:
            break
        last = page[-1]
        query = replace(query, after=(last.make, last.model, last.years.start, last.id))
    assert seen == wanted
