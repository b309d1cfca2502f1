"""A whole dataset in memory, in the one order that files and comparisons use."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from boltspan.domain.claim_states import state_of
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


def with_states(claims: Iterable[Claim], decisions: Sequence[Decision]) -> tuple[Claim, ...]:
    """Return the claims of one frame in the state that all its ``decisions`` put them in, oldest decision first.

    See ``claim_states.state_of``.
    """
    on_subject: dict[str, list[Decision]] = {}
    for decision in decisions:
        on_subject.setdefault(decision.subject, []).append(decision)
    return tuple(replace(c, state=state_of(c, on_subject.get(c.subject, []))) for c in claims)


def without_proposals(everything: Dataset, unlisted: Collection[str]) -> Dataset:
    """Return the dataset without the frames named in ``unlisted``, and without makes and models that had only those."""
    kept = tuple(e for e in everything.entries if e.frame.id not in unlisted)
    gone = [e.frame for e in everything.entries if e.frame.id in unlisted]
    models = {(f.make, f.model) for f in gone} - {(e.frame.make, e.frame.model) for e in kept}
    makes = {f.make for f in gone} - {e.frame.make for e in kept}
    return replace(
        everything,
        makes=tuple(m for m in everything.makes if m.slug not in makes),
        models=tuple(m for m in everything.models if (m.make, m.slug) not in models),
        entries=kept,
    )


def as_files(dataset: Dataset) -> Dataset:
    """Return the dataset as files hold it: without claims that wait for a review, states and event numbers left out.

    A waiting claim that a decision names is kept, or the decision could not be followed.
    """
    return in_order(replace(dataset, entries=tuple(map(_entry_as_files, dataset.entries))))


def _entry_as_files(entry: FrameEntry) -> FrameEntry:
    named = {c for d in entry.decisions for c in (*d.rests_on, *d.overrules, *d.refuses)}
    claims = (claim_as_files(c) for c in entry.claims if c.state != "submitted" or c.id in named)
    return FrameEntry(entry.frame, tuple(claims), tuple(replace(d, sequence=0) for d in entry.decisions))


def claim_as_files(claim: Claim) -> Claim:
    """Return the claim as a file holds it."""
    waits = claim.state == "submitted"
    state = "submitted" if waits else state_of(replace(claim, state="accepted", unreviewed=False), ())
    return replace(claim, state=state, unreviewed=waits, sequence=0)
