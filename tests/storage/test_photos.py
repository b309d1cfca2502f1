"""Photos of claims, and what a person has sent, in the database."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boltspan.domain.errors import Clash
from boltspan.services.protocols import StoredPhoto
from boltspan.storage import SqlStorage
from tests.storage.samples import OTHER_PERSON, PERSON, claim, frame, put_frames

HASH, OTHER_HASH = "a" * 64, "b" * 64


def test_photos_are_found_by_claim_by_person_and_by_hash(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
        one, two = claim(1, frame(1).id), claim(2, frame(1).id)
        unit.statements.add_claims([one, two])
        later = StoredPhoto(one.id, OTHER_HASH, PERSON, "2026-05-02", 40, 60, 900, 8)
        earlier = StoredPhoto(one.id, HASH, PERSON, "2026-05-01", 60, 40, 1000, 7)
        other = StoredPhoto(two.id, HASH, OTHER_PERSON, "2026-05-03", 60, 40, 1000, 9)
        for photo in (later, earlier, other, earlier):
            unit.photos.put(photo)
    with storage.reading() as unit:
        assert unit.photos.of_claims([one.id, two.id, "c-nnnnnnnnnn"]) == {one.id: [earlier, later], two.id: [other]}
        assert unit.photos.of_claims([]) == {}
        assert unit.photos.of_person(PERSON) == [earlier, later]
        assert unit.photos.with_hash(HASH) == [earlier, other]
        assert unit.photos.with_hash("c" * 64) == []


def test_a_photo_needs_its_claim(storage: SqlStorage) -> None:
    with pytest.raises(Clash), storage.writing() as unit:
        unit.photos.put(StoredPhoto("c-nnnnnnnnnn", HASH, PERSON, "2026-05-01", 1, 1, 1, 1))


def test_a_photo_taken_back_is_found_by_its_hash_alone(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        put_frames(unit, [frame(1)])
        one = claim(1, frame(1).id)
        unit.statements.add_claims([one])
        taken = StoredPhoto(one.id, HASH, PERSON, "2026-05-01", 60, 40, 1000, 7)
        unit.photos.put(taken)
        gone = replace(taken, withdrawn_on="2026-06-01", sequence=9)
        unit.photos.put(gone)
    with storage.reading() as unit:
        assert (unit.photos.of_claims([one.id]), unit.photos.of_person(PERSON)) == ({}, [])
        assert unit.photos.with_hash(HASH) == [gone]
