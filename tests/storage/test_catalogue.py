"""Makes, models and frames come back as they went in, in their order, on both databases."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from boltspan.domain.errors import Clash
from boltspan.domain.frames import Frame, Make, Model, Qualifier, Years
from boltspan.services.protocols import FrameQuery, StoredFrame
from boltspan.storage import SqlStorage, queries
from tests.storage.samples import PERSON, claim, decision, frame, full_frame, put_frames, put_model

# Hyphens sort before digits and letters by their code points; the rules of most languages pass over them.
SLUGS = ["a-b", "a-c", "a2", "ab", "b"]


_numbers = itertools.count(1)


def _two() -> tuple[int, int]:
    return next(_numbers), next(_numbers)


def ids(found: list[StoredFrame]) -> list[str]:
    return [stored.frame.id for stored in found]


def test_an_empty_catalogue(storage: SqlStorage) -> None:
    with storage.reading() as unit:
        assert unit.catalogue.makes() == []
        assert unit.catalogue.models() == []
        assert unit.catalogue.make("tarnvale") is None
        assert unit.catalogue.model("tarnvale", "skerry") is None
        assert unit.catalogue.frame("f-7k3m9q2dxw") is None
        assert unit.catalogue.frames_of("tarnvale", "skerry") == []
        assert unit.catalogue.find(FrameQuery()) == []
        assert list(unit.catalogue.every_frame()) == []
        assert unit.catalogue.count() == {"makes": 0, "models": 0, "frames": 0, "claims": 0, "decisions": 0}


def test_makes_are_kept_replaced_and_ordered_by_slug(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        for slug in reversed(SLUGS):
            unit.catalogue.put_make(Make(slug, "Old"))
        unit.catalogue.put_make(Make("ab", "Ærn & Söhne", ("Aern", "A “B”")))
    with storage.reading() as unit:
        assert [make.slug for make in unit.catalogue.makes()] == SLUGS
        assert unit.catalogue.make("ab") == Make("ab", "Ærn & Söhne", ("Aern", "A “B”"))
        assert unit.catalogue.make("a-b") == Make("a-b", "Old")


def test_models_are_kept_replaced_and_ordered_by_make_and_slug(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        for make in ("b", "a-b"):
            unit.catalogue.put_make(Make(make, make))
            for slug in reversed(SLUGS):
                unit.catalogue.put_model(Model(make, slug, "Old"))
        unit.catalogue.put_model(Model("b", "a2", "Skerry", ("Skerry 150",)))
    with storage.reading() as unit:
        assert [(m.make, m.slug) for m in unit.catalogue.models()] == [(m, s) for m in ("a-b", "b") for s in SLUGS]
        assert [m.slug for m in unit.catalogue.models("b")] == SLUGS
        assert unit.catalogue.models("zz") == []
        assert unit.catalogue.model("b", "a2") == Model("b", "a2", "Skerry", ("Skerry 150",))
        assert unit.catalogue.model("a-b", "a2") == Model("a-b", "a2", "Old")


def test_models_with_proposals_only_are_not_shown(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_model(unit, model="none-at-all")
        put_frames(unit, [frame(1, model="proposed")], listed=False)
        put_frames(unit, [frame(2, model="both")], listed=False)
        put_frames(unit, [frame(3, model="both", start=2024)])
        # a proposal under another make must not hide this make's model of the same name
        put_frames(unit, [frame(4, make="ostmere", model="none-at-all")], listed=False)
    with storage.reading() as unit:
        shown = [(m.make, m.slug) for m in unit.catalogue.models()]
        assert shown == [("tarnvale", "both"), ("tarnvale", "none-at-all")]
        assert unit.catalogue.model("tarnvale", "proposed") is not None


@pytest.mark.parametrize(
    "kept",
    [
        StoredFrame(frame(1)),
        StoredFrame(full_frame(), listed=False, proposed_by=PERSON, sequence=2**40),
        StoredFrame(replace(frame(2), record="merged", into=("f-0000000009",)), sequence=7),
        StoredFrame(replace(frame(3), record="divided", into=("f-0000000009", "f-0000000008"))),
        StoredFrame(replace(frame(4), record="withdrawn", withdrawn_on="2026-05-01", why="never made")),
        StoredFrame(replace(frame(5), qualifier=Qualifier("frame_size", "Which size is it?", equals="XL"))),
    ],
    ids=["plain", "full", "merged", "divided", "withdrawn", "named_size"],
)
def test_a_frame_comes_back_as_it_went_in(storage: SqlStorage, kept: StoredFrame) -> None:
    with storage.writing() as unit:
        put_model(unit)
        unit.catalogue.put_frame(kept)
    with storage.reading() as unit:
        assert unit.catalogue.frame(kept.frame.id) == kept
        assert list(unit.catalogue.every_frame()) == [kept]


def test_a_frame_is_replaced_whole(storage: SqlStorage) -> None:
    plain = StoredFrame(
        Frame(full_frame().id, "tarnvale", "skerry", "frame", Years(2020, 2021), ("upper", "lower")), sequence=9
    )
    with storage.writing() as unit:
        put_model(unit)
        unit.catalogue.put_frame(StoredFrame(full_frame(), listed=False, proposed_by=PERSON))
        unit.catalogue.put_frame(plain)
    with storage.reading() as unit:
        assert list(unit.catalogue.every_frame()) == [plain]


def test_frames_of_a_model_are_all_there_by_first_year_and_id(storage: SqlStorage) -> None:
    kept = [
        frame(3, start=2019, end=2020),
        frame(1),
        replace(frame(2), record="withdrawn", withdrawn_on="2026-05-01", why="never made"),
    ]
    with storage.writing() as unit:
        put_frames(unit, list(reversed(kept)))
        put_frames(unit, [frame(4, start=2024)], listed=False)
        put_frames(unit, [frame(5, model="other")])
    with storage.reading() as unit:
        assert ids(unit.catalogue.frames_of("tarnvale", "skerry")) == [f.id for f in kept] + ["f-0000000004"]


def test_frames_are_found_by_their_ids_in_one_reading(storage: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 2)
    with storage.writing() as unit:
        put_frames(unit, [frame(n) for n in (4, 2, 5, 1)])
    wanted = ["f-0000000005", "f-0000000001", "f-0000000009", "f-0000000002", "f-0000000005"]
    with storage.reading() as unit:
        assert ids(unit.catalogue.frames(wanted)) == ["f-0000000001", "f-0000000002", "f-0000000005"]
        assert unit.catalogue.frames([]) == []


def test_every_frame_is_read_in_order_across_pages(storage: SqlStorage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "PAGE", 3)
    places = [(make, model, start) for make in ("a-b", "ab") for model in ("a-c", "a2") for start in (2018, 2021)]
    wanted = [frame(n, make=make, model=model, start=start) for make, model, start in places for n in _two()]
    with storage.writing() as unit:
        put_frames(unit, list(reversed(wanted)))
        seen = []
        for stored in unit.catalogue.every_frame():  # writing while reading on neither loses nor doubles any
            unit.catalogue.put_frame(replace(stored, sequence=5))
            seen.append(stored.frame)
    assert seen == wanted
    with storage.reading() as unit:
        assert [s.frame for s in unit.catalogue.every_frame()] == wanted
        assert {s.sequence for s in unit.catalogue.every_frame()} == {5}


def test_counts(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1), frame(2, start=2024)])
        put_frames(unit, [frame(3, model="other")], listed=False)
        unit.statements.add_claims([claim(n, "f-0000000001") for n in range(4)])
        unit.statements.add_decisions([decision(n, "f-0000000001") for n in range(5)])
    with storage.reading() as unit:
        assert unit.catalogue.count() == {"makes": 1, "models": 2, "frames": 3, "claims": 4, "decisions": 5}


def test_a_model_needs_its_make_and_a_frame_its_model(storage: SqlStorage) -> None:
    with pytest.raises(Clash), storage.writing() as unit:
        unit.catalogue.put_model(Model("tarnvale", "skerry", "Skerry"))
    with pytest.raises(Clash), storage.writing() as unit:
        unit.catalogue.put_frame(StoredFrame(frame(1)))
    with storage.reading() as unit:
        assert sum(unit.catalogue.count().values()) == 0
