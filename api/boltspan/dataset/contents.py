"""A whole dataset in memory, in the one order that files and comparisons use."""

from __future__ import annotations

from dataclasses import dataclass

from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.review import Decision


@dataclass(frozen=True, slots=True)
class FrameEntry:
    """A frame with all that is said and ruled about it."""

    frame: Frame
    claims: tuple[Claim, ...] = ()
    decisions: tuple[Decision, ...] = ()

    def claims_on(self, subject: str) -> tuple[Claim, ...]:
        """Return the claims about ``subject``, in their order."""
        return tuple(c for c in self.claims if c.subject == subject)

    def decisions_on(self, subject: str) -> tuple[Decision, ...]:
        """Return the decisions on ``subject``, oldest first."""
        return tuple(d for d in self.decisions if d.subject == subject)


@dataclass(frozen=True, slots=True)
class Dataset:
    """Title, licence, whether the records are invented, the last event they hold, and the records."""

    title: str
    licence: str
    demo: bool
    head: int
    makes: tuple[Make, ...] = ()
    models: tuple[Model, ...] = ()
    entries: tuple[FrameEntry, ...] = ()

    @property
    def records(self) -> int:
        """How many makes, models and frames there are: the events that filling an empty database takes."""
        return len(self.makes) + len(self.models) + len(self.entries)


def frame_order(frame: Frame) -> tuple[str, str, int, str]:
    """Return the key that frames are sorted by: make, model, first year, id."""
    return (frame.make, frame.model, frame.years.start, frame.id)


def claim_order(claim: Claim) -> tuple[str, str]:
    """Return the key that the claims on one subject are sorted by: the day the source was seen, then the id."""
    return (claim.source.seen_on, claim.id)


def in_order(dataset: Dataset) -> Dataset:
    """Return the dataset with makes, models, frames and claims in their order; decisions keep theirs by subject."""
    return Dataset(
        dataset.title,
        dataset.licence,
        dataset.demo,
        dataset.head,
        tuple(sorted(dataset.makes, key=lambda m: m.slug)),
        tuple(sorted(dataset.models, key=lambda m: (m.make, m.slug))),
        tuple(_entry_in_order(e) for e in sorted(dataset.entries, key=lambda e: frame_order(e.frame))),
    )


def _entry_in_order(entry: FrameEntry) -> FrameEntry:
    places = {subject: place for place, subject in enumerate(entry.frame.subjects)}
    claims = sorted(entry.claims, key=lambda c: (places.get(c.subject, len(places)), *claim_order(c)))
    decisions = sorted(entry.decisions, key=lambda d: places.get(d.subject, len(places)))
    return FrameEntry(entry.frame, tuple(claims), tuple(decisions))
