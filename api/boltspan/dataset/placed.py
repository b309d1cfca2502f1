"""Records with the place each stands at, so that a rule about many of them can point at one."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from boltspan.dataset.contents import Dataset, FrameEntry, ShockEntry, in_order
from boltspan.dataset.layout import HARDWARE, HEADER, frames_path, make_path, shocks_path
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.review import Decision
from boltspan.domain.shocks import Shock, ShockModel

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
    shock_models: tuple[Placed[ShockModel], ...] = ()
    shocks: tuple[Placed[Shock], ...] = ()
    hardware: tuple[Placed[HardwareSizes], ...] = ()
    claims: tuple[Placed[Claim], ...] = ()
    decisions: tuple[Placed[Decision], ...] = ()
    paths: frozenset[str] = frozenset()
    ids: frozenset[str] = frozenset()

    @property
    def made(self) -> tuple[Placed[Frame] | Placed[Shock], ...]:
        """All that claims are about: frames, then shocks."""
        return (*self.frames, *self.shocks)

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
        shocks = (ShockEntry(s.record, tuple(claims[s.record.id]), tuple(decisions[s.record.id])) for s in self.shocks)
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
                tuple(m.record for m in self.shock_models),
                tuple(shocks),
                tuple(row.record for row in self.hardware),
            )
        )


def records_of(dataset: Dataset) -> Records:
    """Return the records of ``dataset`` at the places they have once written."""
    dataset = in_order(dataset)
    places: dict[str, int] = defaultdict(int)
    gathered = Gathered()
    for make in dataset.makes:
        gathered.makes.append(Placed(make_path(make.slug), "", make))
    for model in dataset.models:
        gathered.models.append(Placed(frames_path(model.make, model.slug), "/model", model))
    for shock_model in dataset.shock_models:
        path = shocks_path(shock_model.make, shock_model.slug)
        gathered.shock_models.append(Placed(path, "/model", shock_model))
    for entry in dataset.made:
        record = entry.about
        if isinstance(record, Shock):
            kind, path = "shocks", shocks_path(record.make, record.model)
        else:
            kind, path = "frames", frames_path(record.make, record.model)
        place = places[path]
        places[path] += 1
        if isinstance(record, Shock):
            gathered.shocks.append(Placed(path, f"/{kind}/{place}", record))
        else:
            gathered.frames.append(Placed(path, f"/{kind}/{place}", record))
        for subject in record.subjects:
            at = f"/{kind}/{place}/subjects/{subject}"
            gathered.claims += [Placed(path, f"{at}/claims/{i}", c) for i, c in enumerate(entry.claims_on(subject))]
            gathered.decisions += [
                Placed(path, f"{at}/decisions/{i}", d) for i, d in enumerate(entry.decisions_on(subject))
            ]
    gathered.hardware += [Placed(HARDWARE, f"/sizes/{i}", row) for i, row in enumerate(dataset.hardware)]
    gathered.ids |= {f.record.id for f in gathered.frames} | {s.record.id for s in gathered.shocks}
    gathered.ids |= {row.record.id for row in gathered.hardware}
    gathered.ids |= {c.record.id for c in gathered.claims} | {d.record.id for d in gathered.decisions}
    gathered.paths |= {HEADER, *(m.path for m in gathered.makes), *(m.path for m in gathered.models)}
    gathered.paths |= {*(m.path for m in gathered.shock_models), *(row.path for row in gathered.hardware)}
    gathered.dataset = Dataset(dataset.title, dataset.licence, dataset.demo, dataset.head)
    return gathered.records()


@dataclass(slots=True)
class Gathered:
    """Records while they are being gathered."""

    dataset: Dataset | None = None
    makes: list[Placed[Make]] = field(default_factory=list)
    models: list[Placed[Model]] = field(default_factory=list)
    frames: list[Placed[Frame]] = field(default_factory=list)
    shock_models: list[Placed[ShockModel]] = field(default_factory=list)
    shocks: list[Placed[Shock]] = field(default_factory=list)
    hardware: list[Placed[HardwareSizes]] = field(default_factory=list)
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
            tuple(self.shock_models),
            tuple(self.shocks),
            tuple(self.hardware),
            tuple(self.claims),
            tuple(self.decisions),
            frozenset(self.paths),
            frozenset(self.ids),
        )
