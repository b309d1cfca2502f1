"""Which frames a question for a fit sheet is about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput, NotFound
from boltspan.domain.findings import Finding, for_year
from boltspan.domain.fitsheet.question import FitQuestion, Variant, is_variant
from boltspan.services.answers import ask
from boltspan.services.lookup import by_slugs, check_answers, visible
from boltspan.services.names import SURE, NameIndex, clear
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import FrameQuery, StoredFrame, UnitOfWork
from boltspan.services.publishing import findings_of

MOST_FRAMES: Final = 8
"""So many frames are each answered at once; of more only the question between them is."""


@dataclass(frozen=True, slots=True)
class Named:
    """The frames that a name means, the question between them, and the id asked for when another record answers."""

    frames: tuple[StoredFrame, ...]
    question: str | None = None
    asked: str | None = None


def frames_named(uow: UnitOfWork, index: NameIndex, question: FitQuestion) -> Named:
    """Return the frames that ``question`` names by id, or by make, model and year.

    An id of a merged record means the one that answers now. Raises InvalidInput for an id of no frame, Gone for one
    that was divided or withdrawn. A make and model that are not known, or not in that year, mean no frame.
    """
    if question.frame is not None:
        return _by_id(uow, question.frame)
    make, model = str(question.make), str(question.model)
    slugs = by_slugs(uow, make, model)
    sure = slugs is not None
    models = [slugs] if slugs is not None else []
    if slugs is None:
        hits = clear(index.find(f"{make} {model}"))
        models = [(hit.make, hit.model) for hit in hits]
        sure = bool(hits) and hits[0].likeness >= SURE
    if not models:
        return Named(())
    query = FrameQuery(year=question.year, models=tuple(models), limit=4 * MOST_FRAMES)
    found = [stored for stored in uow.catalogue.find(query) if stored.frame.live]
    if question.variant is not None:
        found = of_variant(found, question.variant)
    between = ask([stored.frame for stored in found])
    if between is None and found and not sure:
        names = uow.catalogue.model(found[0].frame.make, found[0].frame.model)
        between = f"Is it the {names.name}?" if names is not None else "Is it this one?"
    return Named(tuple(found), between)


def findings_for(
    uow: UnitOfWork, frames: Sequence[StoredFrame], year: int | None, said: Mapping[str, Sequence[Claim]]
) -> Mapping[str, Mapping[str, Finding]]:
    """Return the findings by frame and subject from the claims ``said`` of these frames.

    Beyond the evidence's years a settled value is at most provisional.
    """
    every = findings_of(uow, [stored.frame for stored in frames], said=said)
    return {
        frame: {each.subject: each if year is None else for_year(each, year) for each in found}
        for frame, found in every.items()
    }


def _by_id(uow: UnitOfWork, frame_id: str) -> Named:
    wanted = frame_id
    try:
        while (stored := visible(uow, ANYBODY, wanted)).frame.record == "merged":
            wanted = stored.frame.into[0]
    except NotFound:
        raise InvalidInput.one("/frame", "unknown_frame", "there is no frame of this id", got=frame_id,
                               accepted="the id of a frame, or make and model with year") from None  # fmt: skip
    check_answers(stored.frame)
    return Named((stored,), asked=frame_id if wanted != frame_id else None)


def of_variant(found: Sequence[StoredFrame], variant: Variant) -> list[StoredFrame]:
    """Return the frames that the variant leaves: the one it surely is, else all but those that it surely is not."""
    judged = [(stored, is_variant(stored.frame.qualifier, variant)) for stored in found]
    sure = [stored for stored, is_it in judged if is_it]
    return sure or [stored for stored, is_it in judged if is_it is None]
