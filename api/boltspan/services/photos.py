"""Photos of claims: added by who made the claim, shown to everybody once the claim is accepted."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, NotFound, StorageFull, Unavailable
from boltspan.domain.ids import is_id
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.photo_answers import photo_json, photo_path
from boltspan.services.pictures import Picture
from boltspan.services.protocols import Clock, StoredPhoto, UnitOfWork

MOST_PHOTOS: Final = 6
_HASH: Final = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """A photo that may be shown: where its bytes stand, and whether everybody may see it."""

    hash: str
    path: Path
    public: bool


def may_add(actor: Actor, uow: UnitOfWork, claim_id: str) -> Claim:
    """Return the own claim that a photo may be added to.

    Raises NotFound for anybody else's, Clash for one that counts no more or has six photos.
    """
    person = actor.must("add_photo")
    found = uow.statements.claim(claim_id) if is_id("claim", claim_id) else None
    if found is None or found.source.by != person:
        raise NotFound("claim", claim_id)
    if not found.counts:
        raise Clash(f"the claim is {found.state} and counts no more")
    if len(uow.photos.of_claims([claim_id]).get(claim_id, [])) >= MOST_PHOTOS:
        raise Clash(f"the claim has {MOST_PHOTOS} photos already")
    return found


def add_photo(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str, picture: Picture, key: OnceKey) -> Receipt:
    """Add a photo, whose file is kept already, to an own claim. The same photo again changes nothing.

    Raises as ``may_add``.
    """

    def work() -> Receipt:
        known = uow.photos.of_claims([claim_id]).get(claim_id, [])
        photo = next((p for p in known if p.hash == picture.hash and p.person == actor.person), None)
        if photo is None:
            claim = may_add(actor, uow, claim_id)
            payload = {"claim": claim.id, "photo": picture.hash}
            person = claim.source.by
            sequence = uow.events.record(
                person, "photo_added", frame=claim.frame, subject=claim.subject, payload=payload
            )
            photo = StoredPhoto(
                claim.id, picture.hash, person, clock.today(), picture.width_px, picture.height_px, len(picture.webp),
                sequence,
            )  # fmt: skip
            uow.photos.add(photo)
        return Receipt(photo_json(photo) | {"claim": claim_id}, photo_path(photo.hash))

    return once(uow, clock, key, work)


def photo(actor: Actor, uow: UnitOfWork, data: Path, photo_hash: str) -> ShownPhoto:
    """Return the photo: for everybody when a claim it shows is accepted, else for its author and maintainers.

    Raises NotFound for all others alike.
    """
    stored = uow.photos.with_hash(photo_hash) if _HASH.fullmatch(photo_hash) else []
    claims = [uow.statements.claim(p.claim) for p in stored]
    public = any(c is not None and c.state == "accepted" for c in claims)
    own = any(p.person == actor.person for p in stored)
    path = file_of(data, photo_hash)
    if not stored or not (public or own or "see_reviews" in actor.may) or not path.is_file():
        raise NotFound("photo", photo_hash)
    return ShownPhoto(photo_hash, path, public)


def file_of(data: Path, photo_hash: str) -> Path:
    """Return where the bytes of a photo stand below the data folder."""
    return data / "photos" / photo_hash[:2] / f"{photo_hash}.webp"


def keep(data: Path, picture: Picture) -> None:
    """Write a picture's file, whole or not at all, and on the disk before this returns; one that is there stays.

    Raises StorageFull when there is no room, Unavailable when the folder cannot be written.
    """
    path = file_of(data, picture.hash)
    if path.exists():
        return
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _write(path, picture.webp)
    except OSError as e:
        if e.errno in (errno.ENOSPC, errno.EDQUOT):
            raise StorageFull("there is no room for the photo") from e
        raise Unavailable("the photo cannot be written") from e


def _write(path: Path, content: bytes) -> None:
    descriptor, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
