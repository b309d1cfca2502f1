"""Conditional requests (RFC 9110, section 13): strong ETags on what is read, If-Match on what is edited."""

from __future__ import annotations

from boltspan.services.answers import encode, etag
from boltspan.services.edit import frame_tag
from boltspan.services.edit_shock import shock_tag
from boltspan.services.lookup import frame, history, visible, visible_shock
from boltspan.services.permissions import Actor
from boltspan.services.protocols import UnitOfWork
from boltspan.services.shocks import history as shock_history
from boltspan.services.shocks import shock


def none_match(header: str | None, tag: str) -> bool:
    """Return whether If-None-Match names ``tag`` (compared weakly, as section 13.1.2 says), so that 304 answers."""
    if header is None:
        return False
    return header.strip() == "*" or any(t.strip().removeprefix("W/") == tag for t in header.split(","))


def frame_match(uow: UnitOfWork, actor: Actor, frame_id: str, header: str | None) -> str | None:
    """Return If-Match for an edit of a frame: the ETag of ``GET /v1/frames/{id}`` becomes the record's own tag.

    Read inside the writing transaction. Anything else is returned as it is. Raises NotFound.
    """
    if header is None:
        return None
    stored = visible(uow, actor, frame_id)
    if stored.frame.live:
        shown = etag(encode(frame(uow, actor, frame_id)))
        if shown in {t.strip() for t in header.split(",")}:
            return frame_tag(stored)
    elif etag(encode(history(uow, actor, frame_id))) in {t.strip() for t in header.split(",")}:
        return frame_tag(stored)  # a record that answers no more is read by its history
    return header


def shock_match(uow: UnitOfWork, actor: Actor, shock_id: str, header: str) -> str:
    """Return If-Match for an edit of a shock, as ``frame_match`` does for a frame. Raises NotFound."""
    stored = visible_shock(uow, actor, shock_id)
    read = shock(uow, actor, shock_id) if stored.shock.live else shock_history(uow, actor, shock_id)
    return shock_tag(stored) if etag(encode(read)) in {t.strip() for t in header.split(",")} else header
