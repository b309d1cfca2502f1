"""What people type into a search field, found: frames with their claims, or where to look instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from boltspan.domain.errors import Gone, Moved, NotFound
from boltspan.domain.ids import is_id
from boltspan.services import lookup, wanted
from boltspan.services.name_cache import NameCache
from boltspan.services.names import year_in
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import FrameQuery, UnitOfWork

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
    counted: list[tuple[str, dict[str, Any]]] = field(default_factory=list)

    @property
    def named(self) -> bool:
        """Whether what is counted names a make and model; what a text meant is not kept when it is like no name."""
        return any("model" in what for _, what in self.counted)


def search(uow: UnitOfWork, names: NameCache, text: str) -> Found:
    """Return what ``text`` finds: a frame's id, or a make, model and year as people write them.

    ``counted`` is what found no answer, with its key, as a question to the API would be counted.
    """
    if is_id("frame", text):
        return _by_id(uow, text)
    index = names.index(uow)
    name, year = year_in(text)
    [answer] = lookup.lookups(uow, index, [{"q": text}])["answers"]
    counted = wanted.unanswered([{"q": text}], [answer])
    if not answer["frames"]:
        missed = wanted.not_found({"q": text}, lookup.frames(uow, FrameQuery(limit=1), index, text).meant)
        near = [_name(uow, hit.make, hit.model) for hit in index.find(name, MOST_NEAR)]
        return Found(near=near, year=year, counted=counted if missed is None else [*counted, missed])
    more, frames = len(answer["frames"]) > MOST_SHOWN, answer["frames"][:MOST_SHOWN]
    claims = {f["id"]: lookup.claims(uow, ANYBODY, f["id"])["subjects"] for f in frames}
    return Found(frames, claims, answer.get("ask"), more, year=year, counted=counted)


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
    counted = wanted.unanswered([{"frame": frame_id}], [{"outcome": "one", "frames": [found]}])
    claims = {found["id"]: lookup.claims(uow, ANYBODY, found["id"])["subjects"]}
    return Found([found], claims, counted=counted)
