"""Records with the place each stands at, so that a rule about many of them can point at one."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from boltspan.dataset.contents import Dataset, FrameEntry, in_order
from boltspan.dataset.layout import HEADER, frames_path, make_path
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.review import Decision

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Placed(Generic[T]):
    """A record, the file it stands in and the JSON Pointer to it."""

    path: str
    pointer: str
    record: T


@dataclass(frozen=True, slots=True)
class Records:
    """Everything a dataset's files say, each record with its place, in the files' order.

    ``dataset`` has title, licence, demo and head and no records. ``paths`` names the files and ``ids`` every id in
    them, also where a record could not be read.
    """

    dataset: Dataset | None = None
    makes: tuple[Placed[Make], ...] = ()
    models: tuple[Placed[Model], ...] = ()
    frames: tuple[Placed[Frame], ...] = ()
    claims: tuple[Placed[Claim], ...] = ()
    decisions: tuple[Placed[Decision], ...] = ()
    paths: frozenset[str] = frozenset()
    ids: frozenset[str] = frozenset()

    def whole(self) -> Dataset:
        """Return the dataset these records make up. There must be a ``dataset``."""
        assert self.dataset is not None, "a dataset without its dataset.json has problems and is never put together"
        claims: dict[str, list[Claim]] = defaultdict(list)
        decisions: dict[str, list[Decision]] = defaultdict(list)
        for c in self.claims:
            claims[c.record.frame].append(c.record)
        for d in self.decisions:
            decisions[d.record.frame].append(d.record)
        entries = (FrameEntry(f.record, tuple(claims[f.record.id]), tuple(decisions[f.record.id])) for f in self.frames)
        own = self.dataset
        return in_order(
            Dataset(
                own.title,
                own.licence,
                own.demo,
                own.head,
                tuple(m.record for m in self.makes),
                tuple(m.record for m in self.models),
                tuple(entries),
            )
        )


def records_of(dataset: Dataset) -> Records:
    """Return the records of ``dataset`` at the places they have once written."""
    dataset = in_order(dataset)
    places: dict[tuple[str, str], int] = defaultdict(int)
    gathered = Gathered()
    for make in dataset.makes:
        gathered.makes.append(Placed(make_path(make.slug), "", make))
    for model in dataset.models:
        gathered.models.append(Placed(frames_path(model.make, model.slug), "/model", model))
    for entry in dataset.entries:
        frame = entry.frame
        path, place = frames_path(frame.make, frame.model), places[frame.make, frame.model]
        places[frame.make, frame.model] += 1
        gathered.frames.append(Placed(path, f"/frames/{place}", frame))
        for subject in frame.subjects:
            at = f"/frames/{place}/subjects/{subject}"
            gathered.claims += [Placed(path, f"{at}/claims/{i}", c) for i, c in enumerate(entry.claims_on(subject))]
            gathered.decisions += [
                Placed(path, f"{at}/decisions/{i}", d) for i, d in enumerate(entry.decisions_on(subject))
            ]
    gathered.ids |= {f.record.id for f in gathered.frames}
    gathered.ids |= {c.record.id for c in gathered.claims} | {d.record.id for d in gathered.decisions}
    gathered.paths |= {HEADER, *(m.path for m in gathered.makes), *(m.path for m in gathered.models)}
    gathered.dataset = Dataset(dataset.title, dataset.licence, dataset.demo, dataset.head)
    return gathered.records()


@dataclass(slots=True)
class Gathered:
    """Records while they are being gathered."""

    dataset: Dataset | None = None
    makes: list[Placed[Make]] = field(default_factory=list)
    models: list[Placed[Model]] = field(default_factory=list)
    frames: list[Placed[Frame]] = field(default_factory=list)
    claims: list[Placed[Claim]] = field(default_factory=list)
    decisions: list[Placed[Decision]] = field(default_factory=list)
    paths: set[str] = field(default_factory=set)
    ids: set[str] = field(default_factory=set)

    def records(self) -> Records:
        """Return what was gathered."""
        return Records(
            self.dataset,
            tuple(self.makes),
            tuple(self.models),
            tuple(self.frames),
            tuple(self.claims),
            tuple(self.decisions),
            frozenset(self.paths),
            frozenset(self.ids),
        )
