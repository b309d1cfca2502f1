"""Photos of claims in the database; their bytes stand in files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, Select, select

from boltspan.services.protocols import StoredPhoto
from boltspan.storage.queries import Queries, chunks
from boltspan.storage.tables import photos


class SqlPhotos(Queries):
    """Photos by claim, by person and by hash."""

    def put(self, photo: StoredPhoto) -> None:
        """Insert the photo, or replace the claim's one of its hash. Raises Clash when there is no such claim."""
        self._put(photos, [asdict(photo)])

    def of_claims(self, claim_ids: Sequence[str]) -> dict[str, list[StoredPhoto]]:
        """Return the photos of each claim that has any, by sequence, then hash; withdrawn ones are left out."""
        found: dict[str, list[StoredPhoto]] = {}
        for some in chunks(claim_ids):
            for photo in self._photos(select(photos).where(photos.c.claim.in_(some), photos.c.withdrawn_on.is_(None))):
                found.setdefault(photo.claim, []).append(photo)
        return found

    def of_person(self, person: str) -> list[StoredPhoto]:
        """Return the person's photos, by sequence, then hash; withdrawn ones are left out."""
        return self._photos(select(photos).where(photos.c.person == person, photos.c.withdrawn_on.is_(None)))

    def with_hash(self, photo_hash: str) -> list[StoredPhoto]:
        """Return the photo with each claim that it belongs to, withdrawn or not; [] for none."""
        return self._photos(select(photos).where(photos.c.hash == photo_hash))

    def _photos(self, statement: Select[Any]) -> list[StoredPhoto]:
        ordered = statement.order_by(photos.c.sequence, photos.c.hash, photos.c.claim)
        return [_photo(row) for row in self._all(ordered)]


def _photo(row: Row[Any]) -> StoredPhoto:
    return StoredPhoto(
        row.claim,
        row.hash,
        row.person,
        row.added_on,
        row.width_px,
        row.height_px,
        row.bytes,
        row.sequence,
        row.withdrawn_on,
    )
