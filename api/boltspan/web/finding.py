"""What people type into a search field, found: frames with their claims, or where to look instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from boltspan.domain.errors import Gone, Moved, NotFound
from boltspan.domain.ids import is_id
from boltspan.services import lookup
from boltspan.services.name_cache import NameCache
from boltspan.services.names import year_in
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import UnitOfWork

MOST_SHOWN: Final = 12
MOST_NEAR: Final = 5


@dataclass
class Found:
    """What a search came to: frames with their claims, the question between them, or where to look instead."""

    frames: list[dict[str, Any]] = field(default_factory=list)
    claims: dict[str, Any] = field(default_factory=dict)
    ask: str | None = None
    more: bool = False
    gone: str | None = None
    instead: Sequence[str] = ()
    near: list[str] = field(default_factory=list)
    year: int | None = None


def search(uow: UnitOfWork, names: NameCache, text: str) -> Found:
    """Return what ``text`` finds: a frame's id, or a make, model and year as people write them."""
    if is_id("frame", text):
        return _by_id(uow, text)
    index = names.index(uow)
    name, year = year_in(text)
    [answer] = lookup.lookups(uow, index, [{"q": text}])["answers"]
    if not answer["frames"]:
        return Found(near=[_name(uow, hit.make, hit.model) for hit in index.find(name, MOST_NEAR)], year=year)
    more, frames = len(answer["frames"]) > MOST_SHOWN, answer["frames"][:MOST_SHOWN]
    claims = {f["id"]: lookup.claims(uow, ANYBODY, f["id"])["subjects"] for f in frames}
    return Found(frames, claims, answer.get("ask"), more, year=year)


def _name(uow: UnitOfWork, make_slug: str, model_slug: str) -> str:
    make, model = uow.catalogue.make(make_slug), uow.catalogue.model(make_slug, model_slug)
    return f"{make.name if make else make_slug} {model.name if model else model_slug}"


def _by_id(uow: UnitOfWork, frame_id: str) -> Found:
    try:
        found = lookup.frame(uow, ANYBODY, frame_id)
    except Moved as moved:
        return _by_id(uow, moved.into)
    except Gone as gone:
        return Found(gone=gone.why, instead=gone.ask_instead)
    except NotFound:
        return Found()
    return Found([found], {found["id"]: lookup.claims(uow, ANYBODY, found["id"])["subjects"]})
