"""What importing files into a database comes to: what is added, what changes, and what stands in the way."""

from __future__ import annotations

from dataclasses import dataclass

from boltspan.dataset.contents import Dataset, FrameEntry, ShockEntry
from boltspan.dataset.problems import Problem
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.review import Decision
from boltspan.domain.shocks import Shock, ShockModel

RecordOf = Make | Model | Frame | ShockModel | Shock
"""Records whose fields are merged; claims and decisions never change."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Something that the files and the database both say, and not alike. ``record`` is an id or a record's key.

    ``here`` is what the database holds, ``coming`` what the files say.
    """

    code: str
    record: str
    detail: str
    here: str | None = None
    coming: str | None = None

    def text(self) -> str:
        """Return the conflict for people, on one line."""
        parts = [f"{self.record}: {self.detail}"]
        parts += [f"{label} {value}" for label, value in (("here:", self.here), ("coming:", self.coming)) if value]
        return "; ".join(parts) + f" [{self.code}]"


@dataclass(frozen=True, slots=True)
class RecordChange:
    """A field of a record that the files change."""

    record: str
    field: str
    before: str
    after: str

    def text(self) -> str:
        """Return the change for people, on one line."""
        return f"{self.record} {self.field}: {self.before} -> {self.after}"


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """All that an import would do. With conflicts or problems it must do nothing.

    ``frames`` and ``shocks`` are new ones with their statements; ``claims`` and ``decisions`` are new on records that
    were here. ``hardware`` are new rows of sizes, ``hardware_withdrawn`` those that the files withdraw.
    ``changed`` are records after their merge, ``listed`` the records that were only proposed. ``restated`` are claims
    that were here, in their new state: let in, withdrawn by the files, refused or let in again by a new decision.
    ``problems`` are rules that the dataset would break and does not break now. ``before`` and ``after`` are all listed
    records then and now, unreviewed claims too.
    """

    before: Dataset
    after: Dataset
    title: str | None = None
    makes: tuple[Make, ...] = ()
    models: tuple[Model, ...] = ()
    frames: tuple[FrameEntry, ...] = ()
    shock_models: tuple[ShockModel, ...] = ()
    shocks: tuple[ShockEntry, ...] = ()
    hardware: tuple[HardwareSizes, ...] = ()
    hardware_withdrawn: tuple[HardwareSizes, ...] = ()
    changed: tuple[RecordOf, ...] = ()
    changes: tuple[RecordChange, ...] = ()
    listed: tuple[Frame | Shock, ...] = ()
    claims: tuple[Claim, ...] = ()
    restated: tuple[Claim, ...] = ()
    decisions: tuple[Decision, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def stands(self) -> bool:
        """Whether nothing stands in the way."""
        return not self.conflicts and not self.problems

    @property
    def empty(self) -> bool:
        """Whether there is nothing to do."""
        records = (self.makes, self.models, self.frames, self.changed, self.listed)
        shocks = (self.shock_models, self.shocks, self.hardware, self.hardware_withdrawn)
        return self.title is None and not any((*records, *shocks, self.claims, self.restated, self.decisions))
