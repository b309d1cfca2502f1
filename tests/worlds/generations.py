"""The generations of one invented model: years carried over, running changes, doubled records, records taken back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from boltspan.dataset.contents import FrameEntry
from boltspan.domain.frames import END_PAIRS, Frame, Model, Qualifier, SameEnds, Years
from boltspan.domain.sources import Source
from boltspan.domain.values import Value
from tests.worlds.chances import Chances
from tests.worlds.ids import numbered_id
from tests.worlds.rates import Rates
from tests.worlds.ruling import decisions_about
from tests.worlds.sizes import Fit, draw_fit, other_end
from tests.worlds.telling import LAST_YEAR, Circumstances, claims_about
from tests.worlds.truth import Truth

FIRST_YEARS: Final = (2006, 2025)
LENGTHS: Final = {1: 0.20, 2: 0.35, 3: 0.30, 4: 0.15}
COUNTS: Final = {1: 0.40, 2: 0.30, 3: 0.20, 4: 0.10}
STILL_MADE: Final = 0.7
BY_SIZE: Final = 0.01
MERGED: Final = 0.006
WITHDRAWN: Final = 0.004
SAME_ENDS: Final = 0.03
_LARGEST_GROUP: Final = 3


@dataclass(frozen=True, slots=True)
class _Record:
    """One record before it has an id."""

    years: Years
    fit: Fit
    record: str = "frame"
    later: Fit | None = None
    qualifier: Qualifier | None = None
    into: tuple[int, ...] = ()
    """Places of other records in the same generation."""


@dataclass(slots=True)
class Generations:
    """Makes the frames of ``model``; ``first`` is the number of its first frame in the world of ``frames`` frames."""

    seed: int
    rates: Rates
    frames: int
    model: Model
    pair: tuple[str, str]
    first: int
    chances: Chances = field(init=False)

    def of_model(self, number: int, left: int) -> Iterator[tuple[FrameEntry, Truth]]:
        """Yield the frames of model ``number``, 1 to ``left``, each with its truth."""
        self.chances = chances = Chances(self.seed, "model", number)
        if chances.happens(0.05):
            self.pair = chances.one_of(END_PAIRS)
        groups: list[list[_Record]] = []
        fit: Fit | None = None
        for years in self._generations():
            if left <= 0:
                break
            fit = draw_fit(chances, self.rates, fit)
            records = self._records(years, fit) if left >= _LARGEST_GROUP else [_Record(years, fit)]
            left -= len(records)
            groups.append(records)
        yield from self._entries(groups)

    def _generations(self) -> Iterator[Years]:
        start = self.chances.among(*FIRST_YEARS)
        for _ in range(self.chances.weighed(COUNTS)):
            end = start + self.chances.weighed(LENGTHS) - 1
            if end >= LAST_YEAR - 1 and self.chances.happens(STILL_MADE):
                yield Years(start)
                return
            yield Years(start, end)
            start = end + 1 + (1 if self.chances.happens(0.1) else 0)
            if start > LAST_YEAR:
                return

    def _records(self, years: Years, fit: Fit) -> list[_Record]:
        """Return the records of one generation: one, most often."""
        chances, rates = self.chances, self.rates
        if chances.happens(rates.running_change):
            place = chances.among(1, 2)
            later = fit.changed(place, other_end(chances, rates, fit.first if place == 1 else fit.second))
            if not chances.happens(rates.change_recorded):
                return [_Record(years, fit, later=later)]
            before, after = _told_apart(chances, years)
            whole = _Record(years, fit, "divided", later=later, into=(1, 2))
            return [whole, _Record(years, fit, qualifier=before), _Record(years, later, qualifier=after)]
        if chances.happens(BY_SIZE):
            large = fit.changed(2, other_end(chances, rates, fit.second))
            ask = "Which size is the frame?"
            small_ones = Qualifier("frame_size", ask, equals="S or M")
            large_ones = Qualifier("frame_size", ask, equals="L or XL")
            return [_Record(years, fit, qualifier=small_ones), _Record(years, large, qualifier=large_ones)]
        if chances.happens(MERGED):
            return [_Record(years, fit), _Record(years, fit, "merged", into=(0,))]
        if chances.happens(WITHDRAWN):
            return [_Record(years, fit), _Record(years, fit, "withdrawn")]
        return [_Record(years, fit)]

    def _entries(self, groups: Sequence[Sequence[_Record]]) -> Iterator[tuple[FrameEntry, Truth]]:
        number = self.first
        for place, group in enumerate(groups):
            beside = groups[place - 1] if place else groups[1] if len(groups) > 1 else None
            neighbour = beside[-1].fit if beside else None
            first = number
            for record in group:
                yield self._entry(number, first, record, neighbour)
                number += 1

    def _entry(self, number: int, group: int, record: _Record, neighbour: Fit | None) -> tuple[FrameEntry, Truth]:
        """Return frame ``number``, whose generation's records are numbered from ``group`` on."""
        withdrawn = record.record == "withdrawn"
        frame = Frame(
            numbered_id("frame", self.seed, number),
            self.model.make,
            self.model.slug,
            record.record,
            record.years,
            self.pair,
            record.qualifier,
            self._same_ends() if self.chances.happens(SAME_ENDS) else None,
            tuple(numbered_id("frame", self.seed, group + place) for place in record.into),
            f"{LAST_YEAR}-05-30" if withdrawn else None,
            "no such frame was ever sold" if withdrawn else None,
        )
        about = Circumstances(self.seed, self.rates, self.frames, number, frame, record.fit, record.later, neighbour)
        said = list(claims_about(about))
        entry = FrameEntry(frame, tuple(claim for claim, _ in said), tuple(decisions_about(about, said)))
        return entry, _truth(about, {claim.id: tuple(marks) for claim, marks in said if marks})

    def _same_ends(self) -> SameEnds:
        """Return proof that another pair's names are this frame's, turned one time in four."""
        foreign = self.chances.one_of([pair for pair in END_PAIRS if pair != self.pair])
        own = self.pair if self.chances.happens(0.75) else (self.pair[1], self.pair[0])
        name = f"{self.model.make}.example/{self.model.slug}/ends"
        by = numbered_id("person", self.seed, self.chances.below(40))
        source = Source("spec_page", by, f"{LAST_YEAR}-04-01", name, f"https://{name}")
        return SameEnds(tuple(sorted(zip(foreign, own, strict=True))), source)


def _told_apart(chances: Chances, years: Years) -> tuple[Qualifier, Qualifier]:
    """Return what frames before and after a running change are told apart by."""
    if chances.happens(0.5):
        ask = "Which letter and number does the serial number start with?"
        last = chances.among(1000, 8000)
        return Qualifier("serial", ask, end=f"K{last}"), Qualifier("serial", ask, start=f"K{last + 1}")
    ask = "In which month was the frame built? It stands on the sticker below the bottom bracket."
    month = chances.among(2, 11)
    before, after = f"{years.start}-{month:02}", f"{years.start}-{month + 1:02}"
    return Qualifier("build_date", ask, end=before), Qualifier("build_date", ask, start=after)


def _truth(about: Circumstances, marks: dict[str, tuple[str, ...]]) -> Truth:
    values: dict[str, Value] = {}
    later: dict[str, Value] = {}
    for place, subject in enumerate(about.frame.subjects):
        values[subject] = about.fit.of(place)
        if about.later is not None and about.later.of(place) != about.fit.of(place):
            later[subject] = about.later.of(place)
    return Truth(about.frame.id, values, later, marks)
