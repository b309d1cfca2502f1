"""A whole dataset in memory, in the one order that files and comparisons use."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TypeVar

from boltspan.domain.claim_states import state_of
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.review import Decision
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.domain.subjects import Record


class _Said:
    """What is said and ruled about one record, by subject."""

    __slots__ = ()
    claims: tuple[Claim, ...]
    decisions: tuple[Decision, ...]

    def claims_on(self, subject: str) -> tuple[Claim, ...]:
        """Return the claims about ``subject``, in their order."""
        return tuple(c for c in self.claims if c.subject == subject)

    def decisions_on(self, subject: str) -> tuple[Decision, ...]:
        """Return the decisions on ``subject``, oldest first."""
        return tuple(d for d in self.decisions if d.subject == subject)


@dataclass(frozen=True, slots=True)
class FrameEntry(_Said):
    """A frame with all that is said and ruled about it."""

    frame: Frame
    claims: tuple[Claim, ...] = ()
    decisions: tuple[Decision, ...] = ()

    @property
    def about(self) -> Frame:
        """The record."""
        return self.frame

    def with_about(self, frame: Frame) -> FrameEntry:
        """Return the same said about the record as ``frame`` has it."""
        return replace(self, frame=frame)


@dataclass(frozen=True, slots=True)
class ShockEntry(_Said):
    """A shock with all that is said and ruled about it."""

    shock: Shock
    claims: tuple[Claim, ...] = ()
    decisions: tuple[Decision, ...] = ()

    @property
    def about(self) -> Shock:
        """The record."""
        return self.shock

    def with_about(self, shock: Shock) -> ShockEntry:
        """Return the same said about the record as ``shock`` has it."""
        return replace(self, shock=shock)


Entry = FrameEntry | ShockEntry
E = TypeVar("E", FrameEntry, ShockEntry)


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
    shock_models: tuple[ShockModel, ...] = ()
    shocks: tuple[ShockEntry, ...] = ()
    hardware: tuple[HardwareSizes, ...] = ()

    @property
    def made(self) -> tuple[Entry, ...]:
        """All that claims are about: frames, then shocks."""
        found: list[Entry] = [*self.entries]
        return (*found, *self.shocks)

    @property
    def records(self) -> int:
        """How many records there are: the events that filling an empty database takes."""
        kinds = (self.makes, self.models, self.entries, self.shock_models, self.shocks, self.hardware)
        return sum(map(len, kinds))


def frame_order(frame: Record) -> tuple[str, str, int, str]:
    """Return the key that frames, and shocks, are sorted by: make, model, first year, id."""
    return (frame.make, frame.model, frame.years.start, frame.id)


def claim_order(claim: Claim) -> tuple[str, str]:
    """Return the key that the claims on one subject are sorted by: the day the source was seen, then the id."""
    return (claim.source.seen_on, claim.id)


def hardware_order(row: HardwareSizes) -> tuple[Decimal, Decimal, str]:
    """Return the key that hardware sizes are sorted by: bolt, eyelet bore (none first), id."""
    return (row.bolt_mm, row.eyelet_bore_mm or Decimal(0), row.id)


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
        tuple(sorted(dataset.shock_models, key=lambda m: (m.make, m.slug))),
        tuple(_entry_in_order(e) for e in sorted(dataset.shocks, key=lambda e: frame_order(e.shock))),
        tuple(sorted(dataset.hardware, key=hardware_order)),
    )


def _entry_in_order(entry: E) -> E:
    places = {subject: place for place, subject in enumerate(entry.about.subjects)}
    claims = sorted(entry.claims, key=lambda c: (places.get(c.subject, len(places)), *claim_order(c)))
    decisions = sorted(entry.decisions, key=lambda d: places.get(d.subject, len(places)))
    return replace(entry, claims=tuple(claims), decisions=tuple(decisions))


def with_states(claims: Iterable[Claim], decisions: Sequence[Decision]) -> tuple[Claim, ...]:
    """Return the claims of one record in the state that all its ``decisions`` put them in, oldest decision first.

    See ``claim_states.state_of``.
    """
    on_subject: dict[str, list[Decision]] = {}
    for decision in decisions:
        on_subject.setdefault(decision.subject, []).append(decision)
    return tuple(replace(c, state=state_of(c, on_subject.get(c.subject, []))) for c in claims)


def without_proposals(everything: Dataset, unlisted: Collection[str]) -> Dataset:
    """Return the dataset without the records named in ``unlisted``, nor makes and models that had only those."""
    frames = tuple(e for e in everything.entries if e.frame.id not in unlisted)
    shocks = tuple(e for e in everything.shocks if e.shock.id not in unlisted)
    models = _emptied([e.frame for e in everything.entries], unlisted)
    shock_models = _emptied([e.shock for e in everything.shocks], unlisted)
    kept_models = tuple(m for m in everything.models if (m.make, m.slug) not in models)
    kept_shock_models = tuple(m for m in everything.shock_models if (m.make, m.slug) not in shock_models)
    makes = {make for make, _ in models | shock_models} - {m.make for m in (*kept_models, *kept_shock_models)}
    return replace(
        everything,
        makes=tuple(m for m in everything.makes if m.slug not in makes),
        models=kept_models,
        entries=frames,
        shock_models=kept_shock_models,
        shocks=shocks,
    )


def _emptied(records: Sequence[Frame | Shock], unlisted: Collection[str]) -> set[tuple[str, str]]:
    """Return the models (make and slug) of which nothing is left without the records named in ``unlisted``."""
    gone = {(r.make, r.model) for r in records if r.id in unlisted}
    return gone - {(r.make, r.model) for r in records if r.id not in unlisted}


def as_files(dataset: Dataset) -> Dataset:
    """Return the dataset as files hold it: without claims that wait for a review or were taken back or replaced before
    one; states and event numbers left out.

    Such a claim that a decision names is kept, or the decision could not be followed.
    """
    entries, shocks = tuple(map(_entry_as_files, dataset.entries)), tuple(map(_entry_as_files, dataset.shocks))
    hardware = tuple(replace(row, sequence=0) for row in dataset.hardware)
    return in_order(replace(dataset, entries=entries, shocks=shocks, hardware=hardware))


def _named(decisions: Iterable[Decision]) -> set[str]:
    return {c for d in decisions for c in (*d.rests_on, *d.overrules, *d.refuses)}


def _entry_as_files(entry: E) -> E:
    named = _named(entry.decisions)
    claims = (claim_as_files(c) for c in entry.claims if c.id in named or _let_in(c, entry.decisions))
    ruled = tuple(replace(d, sequence=0) for d in entry.decisions)
    return replace(entry, claims=tuple(claims), decisions=ruled)


def _let_in(claim: Claim, decisions: Sequence[Decision]) -> bool:
    """Return whether a claim belongs to the dataset, or did before its contributor took it back or replaced it."""
    still = replace(claim, withdrawn_on=None, superseded_on=None)
    return state_of(still, [d for d in decisions if d.subject == claim.subject]) != "submitted"


def claim_as_files(claim: Claim) -> Claim:
    """Return the claim as a file holds it."""
    waits = claim.state == "submitted"
    state = "submitted" if waits else state_of(replace(claim, state="accepted", unreviewed=False), ())
    return replace(claim, state=state, unreviewed=waits, sequence=0)
