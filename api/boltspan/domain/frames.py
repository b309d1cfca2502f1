"""Makes, models and frames: who is asked about, for which years, and what became of a record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Protocol

from boltspan.domain.errors import FieldProblem, InvalidInput
from boltspan.domain.sources import Source

END_PAIRS: Final = (("upper", "lower"), ("front", "rear"), ("frame", "link"), ("shaft", "body"))
"""Ends as makers name them, one pair a frame. Front is never turned into upper."""
RECORDS: Final = ("frame", "merged", "divided", "withdrawn")
QUALIFIERS: Final = ("serial", "build_date", "frame_size", "wheel_size", "material")
YEARS: Final = (1980, 2100)


@dataclass(frozen=True, slots=True)
class Years:
    """Model years ``start`` to ``end``, both included; ``end`` None while still made (JSON: from, to)."""

    start: int
    end: int | None = None

    def holds(self, year: int) -> bool:
        """Return whether ``year`` is one of them."""
        return self.start <= year and (self.end is None or year <= self.end)

    def overlaps(self, other: Years) -> bool:
        """Return whether any year is in both."""
        return (self.end is None or other.start <= self.end) and (other.end is None or self.start <= other.end)


@dataclass(frozen=True, slots=True)
class Qualifier:
    """What tells two frames of one model and year apart, and the question to put to the customer.

    ``start`` and ``end`` bound a serial or build date (JSON: from, to), ``equals`` names a size or material (JSON: is).
    """

    kind: str
    ask: str
    start: str | None = None
    end: str | None = None
    equals: str | None = None


@dataclass(frozen=True, slots=True)
class SameEnds:
    """Proof that one source's end names are this frame's: ``(("front", "upper"), ("rear", "lower"))``."""

    names: tuple[tuple[str, str], ...]
    source: Source


@dataclass(frozen=True, slots=True)
class Make:
    """A frame maker."""

    slug: str
    name: str
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Model:
    """A model of one make, as sold."""

    make: str
    slug: str
    name: str
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Frame:
    """One generation of a model, or what became of its record (``record`` is one of RECORDS)."""

    id: str
    make: str
    model: str
    record: str
    years: Years
    ends: tuple[str, str]
    qualifier: Qualifier | None = None
    same_ends: SameEnds | None = None
    into: tuple[str, ...] = ()
    withdrawn_on: str | None = None
    why: str | None = None

    @property
    def live(self) -> bool:
        """Whether the record still answers for a frame."""
        return self.record == "frame"

    @property
    def subjects(self) -> tuple[str, str, str]:
        """What claims can be about: the shock size and both ends, in the files' order."""
        return ("shock_size", *self.ends)


def subject_named(frame: Frame, name: str, pointer: str) -> str:
    """Return the subject of ``frame`` that ``name`` means: its own, or another pair's end mapped by a source.

    Raises InvalidInput ``end_of_another_pair`` with the question "which end?" when nothing maps it, and
    ``unknown_subject`` for anything that is no end at all.
    """
    if name in frame.subjects:
        return name
    if frame.same_ends is not None and (mapped := dict(frame.same_ends.names).get(name)):
        return mapped
    own = " or ".join(frame.ends)
    if any(name in pair for pair in END_PAIRS):
        raise InvalidInput.one(
            pointer,
            "end_of_another_pair",
            f"which end is meant? The maker of this frame names its "
            f"ends {own}, and no source says which of them is {name!r}",
            got=name,
            accepted=", ".join(frame.subjects),
        )
    raise InvalidInput.one(
        pointer, "unknown_subject", "this frame has no such end", got=name, accepted=", ".join(frame.subjects)
    )


class Made(Protocol):
    """A frame or a shock: one generation of a model."""

    @property
    def id(self) -> str: ...
    @property
    def make(self) -> str: ...
    @property
    def model(self) -> str: ...
    @property
    def years(self) -> Years: ...
    @property
    def qualifier(self) -> Qualifier | None: ...
    @property
    def live(self) -> bool: ...


def overlap_problems(frame: Made, others: Iterable[Made], pointer: str = "/years") -> list[FieldProblem]:
    """Return a problem for each live frame of the same model whose years overlap and no qualifier tells apart.

    A qualifier tells two frames apart when both have one of the same kind and they differ.
    """
    return [
        FieldProblem(
            pointer,
            "years_overlap",
            f"{other.id} of this model is made in some of these years and nothing tells the two apart",
            _years_text(frame.years),
            f"years outside {_years_text(other.years)}, or a qualifier of one kind on both",
        )
        for other in others
        if other.id != frame.id
        and other.live
        and frame.live
        and (other.make, other.model) == (frame.make, frame.model)
        and other.years.overlaps(frame.years)
        and not _told_apart(frame.qualifier, other.qualifier)
    ]


def _told_apart(a: Qualifier | None, b: Qualifier | None) -> bool:
    return (
        a is not None
        and b is not None
        and a.kind == b.kind
        and a != b
        and ((a.start, a.end, a.equals) != (b.start, b.end, b.equals))
    )


def _years_text(years: Years) -> str:
    return f"{years.start} to {years.end}" if years.end is not None else f"{years.start} on"
