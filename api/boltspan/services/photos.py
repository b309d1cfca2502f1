"""Photos of claims: added by who made the claim, shown to everybody once the claim is accepted."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, Gone, NotFound, StorageFull, Unavailable
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


def add_photo(
    actor: Actor, uow: UnitOfWork, clock: Clock, data: Path, claim_id: str, picture: Picture, key: OnceKey
) -> Receipt:
    """Add a photo, whose file is kept already, to an own claim. The same photo again changes nothing.

    One that was taken back may be added again. Raises as ``may_add`` and ``keep``.
    """

    def work() -> Receipt:
        known = uow.photos.of_claims([claim_id]).get(claim_id, [])
        photo = next((p for p in known if p.hash == picture.hash and p.person == actor.person), None)
        if photo is None:
            keep(data, picture)  # under the writers' turn: nobody removes the file of a photo that is being added
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
            uow.photos.put(photo)
        return Receipt(photo_json(photo) | {"claim": claim_id}, photo_path(photo.hash))

    return once(uow, clock, key, work)


def withdraw_photo(
    actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str, photo_hash: str, why: str, key: OnceKey
) -> Receipt:
    """Take an own photo of a claim back, with a reason, whatever became of the claim; from now on it is gone.

    Its file is removed by ``remove_unused``, after the commit. Raises NotFound for somebody else's and for one that the
    claim does not have, or has no more.
    """
    person = actor.must("add_photo")

    def work() -> Receipt:
        found = next((p for p in _stored(uow, photo_hash) if p.claim == claim_id and p.person == person), None)
        if found is None or found.withdrawn_on is not None:
            raise NotFound("photo", photo_hash)
        claim = uow.statements.claim(claim_id)
        assert claim is not None, "a photo's claim is never deleted"
        payload = {"claim": claim_id, "photo": photo_hash, "why": why}
        sequence = uow.events.record(
            person, "photo_withdrawn", frame=claim.frame, subject=claim.subject, payload=payload
        )
        gone = replace(found, withdrawn_on=clock.today(), sequence=sequence)
        uow.photos.put(gone)
        return Receipt(
            {"claim": claim_id, "photo": photo_hash, "withdrawn_on": clock.today()}, photo_path(photo_hash), 200
        )

    return once(uow, clock, key, work)


def remove_unused(uow: UnitOfWork, data: Path, photo_hash: str) -> bool:
    """Remove a photo's file when no claim has it any more, in a transaction that writes; return whether it did.

    Writers take turns, so that nobody adds the photo meanwhile. A file that cannot be removed now is shown to nobody.
    """
    if not _HASH.fullmatch(photo_hash) or any(p.withdrawn_on is None for p in uow.photos.with_hash(photo_hash)):
        return False
    with contextlib.suppress(OSError):
        file_of(data, photo_hash).unlink()
        return True
    return False


def photo(actor: Actor, uow: UnitOfWork, data: Path, photo_hash: str) -> ShownPhoto:
    """Return the photo: for everybody when a claim it shows is accepted, else for its author and maintainers.

    Raises Gone, for those who could see it, when its author took it back; NotFound for all others alike.
    """
    stored = _stored(uow, photo_hash)
    live = [p for p in stored if p.withdrawn_on is None]
    seen = [p for p in live or stored if _may_see(actor, uow, p)]
    path = file_of(data, photo_hash)
    if seen and not live:
        raise Gone("photo", photo_hash, "its author took it back")
    if not seen or not path.is_file():
        raise NotFound("photo", photo_hash)
    return ShownPhoto(photo_hash, path, any(_is_public(uow, p) for p in live))


def _stored(uow: UnitOfWork, photo_hash: str) -> list[StoredPhoto]:
    return uow.photos.with_hash(photo_hash) if _HASH.fullmatch(photo_hash) else []


def _may_see(actor: Actor, uow: UnitOfWork, photo: StoredPhoto) -> bool:
    return photo.person == actor.person or "see_reviews" in actor.may or _is_public(uow, photo)


def _is_public(uow: UnitOfWork, photo: StoredPhoto) -> bool:
    claim = uow.statements.claim(photo.claim)
    return claim is not None and claim.state == "accepted"


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
