"""How photos stand in answers."""

from __future__ import annotations

from typing import Any, Final

from boltspan.services.protocols import StoredPhoto

LICENCE: Final = "CC-BY-4.0"


def photo_path(photo_hash: str) -> str:
    """Return the path that answers with a photo's bytes."""
    return f"/v1/photos/{photo_hash}"


def photo_json(photo: StoredPhoto) -> dict[str, Any]:
    """Return the JSON form of a photo."""
    return {
        "hash": photo.hash,
        "path": photo_path(photo.hash),
        "added_on": photo.added_on,
        "width_px": photo.width_px,
        "height_px": photo.height_px,
        "bytes": photo.bytes,
        "licence": LICENCE,
    }
