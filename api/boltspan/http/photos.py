"""Photos of claims: sent as they are, kept without hidden data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.headers import IMMUTABLE_CACHE, PRIVATE_CACHE
from boltspan.http.operations import KEPT, NOT_MODIFIED, Answer, Resource
from boltspan.http.published import Ready
from boltspan.http.schemas import accounts as shapes
from boltspan.http.schemas import answers, examples, requests
from boltspan.services import photos
from boltspan.services.pictures import MOST_BYTES, cleaned

resource = Resource("photos", __name__, description="Photos of claims.")
WEBP = "image/webp"
TAKEN = ("image/jpeg", "image/png", WEBP)


@resource.operation(
    "/v1/claims/<claim_id>/photos",
    method="POST",
    permission="add_photo",
    counted="write",
    query=shapes.PhotoConsent,
    upload=TAKEN,
    answers=[Answer(201, answers.PhotoAnswer, "The photo as it is kept.", shapes.PHOTO, ("Location",))],
    problems=[404],
    once=True,
)
def add_photo(call: Call, claim_id: str) -> Response:
    """Add a photo to an own claim: a JPEG, PNG or WebP by its content, as it is, not in a form.

    At most 15 MiB and 52 megapixels. It is drawn anew without position or any other hidden data, upright, at most
    2,400 pixels on its longer side. licence=CC-BY-4.0 says that you took it and give it under CC BY 4.0. Everybody sees
    it once the claim is accepted; until then you and the maintainers do.
    """
    key = call.once_key(MOST_BYTES)
    with call.reading() as uow:
        photos.may_add(call.actor, uow, claim_id)
    picture = cleaned(call.upload(MOST_BYTES))
    data = call.parts.settings.data
    photos.keep(data, picture)
    with call.writing() as uow:
        receipt = photos.add_photo(call.actor, uow, call.clock, data, claim_id, picture, key)
    return call.receipt(receipt)


@resource.operation(
    "/v1/claims/<claim_id>/photos/<photo_hash>/withdrawal",
    method="POST",
    permission="add_photo",
    counted="write",
    body=requests.Reason,
    examples={"reason": examples.REASON},
    answers=[Answer(200, shapes.PhotoWithdrawn, "What was taken back.", shapes.WITHDRAWN_PHOTO, ("Location",))],
    problems=[404],
    once=True,
)
def withdraw_photo(call: Call, body: Mapping[str, Any], claim_id: str, photo_hash: str) -> Response:
    """Take an own photo of a claim back, whatever became of the claim. Its file is removed unless another claim has it.

    What somebody copied while it was shown stays under CC BY 4.0.
    """
    key = call.once_key()
    with call.writing() as uow:
        receipt = photos.withdraw_photo(call.actor, uow, call.clock, claim_id, photo_hash, body["why"], key)
    with call.writing() as uow:
        photos.remove_unused(uow, call.parts.settings.data, photo_hash)
    return call.receipt(receipt)


@resource.operation(
    "/v1/photos/<photo_hash>",
    answers=[
        Answer(200, {"type": "string", "format": "binary"}, "The photo.", None, KEPT, WEBP),
        NOT_MODIFIED,
    ],
    problems=[404, 410],
)
def show_photo(call: Call, photo_hash: str) -> Response:
    """Download a photo, CC BY 4.0. It never changes, so it may be kept for ever.

    Before its claim is accepted it is there for its author and for maintainers only; one that its author took back is
    gone (410).
    """
    with call.reading() as uow:
        found = photos.photo(call.actor, uow, call.parts.settings.data, photo_hash)
    ready = Ready(found.path.read_bytes(), f'"{found.hash[:32]}"')
    return call.raw(ready, IMMUTABLE_CACHE if found.public else PRIVATE_CACHE, WEBP)
