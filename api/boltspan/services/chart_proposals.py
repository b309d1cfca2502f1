"""Frames that a chart names and nobody knows, made into proposals: one for each span of years, nothing guessed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from boltspan.domain.charts.rows import ChartRow
from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import END_PAIRS, Frame, Make, Model, Years
from boltspan.domain.ids import mint
from boltspan.domain.names import check_slug, folded, name, slug_of
from boltspan.domain.values import EndValue
from boltspan.services.chart_frames import ChartFrames, Unplaced
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.submit import store_proposal

_NAMES: Final = ("unknown_make", "unknown_model")

Says = dict[str, set[EndValue]]
"""What is said of each end, by its name in the chart."""


@dataclass(slots=True)
class _Unknown:
    """A model that is not known: its make, what the chart says of which years, and what was proposed before."""

    make: Make
    model: Model
    before: list[Frame]
    turned_down: list[Frame]
    spans: list[tuple[Years, Says]] = field(default_factory=list)
    pairs: set[tuple[str, str]] = field(default_factory=set)
    frames: list[Frame] | None = None


class Proposals:
    """First hears every row (``hear``), then tells the frames a row means (``frames``) and stores them (``store``).

    Only what ChartFrames knows no make or model for is proposed, and only where the row says it for sure: make and
    model in cells of their own, model years, and somewhere in the chart the names of the frame's ends. A name that is
    alike enough to a known one to be a typing error is left with the nearest names. Rows whose years overlap are one
    frame, and so are rows of years that follow each other when they say the same; a gap makes two frames. What was
    proposed before is not proposed again.
    """

    def __init__(self, uow: UnitOfWork, known: ChartFrames) -> None:
        self._uow, self._known = uow, known
        self._models: dict[tuple[str, str], _Unknown | Unplaced] = {}
        self._by_slug: dict[tuple[str, str], _Unknown] = {}
        self._of_frame: dict[str, _Unknown] = {}
        self._waiting: set[str] = set()
        self._new: set[str] = set()

    def waits(self, frame: Frame) -> bool:
        """Return whether the frame is only proposed."""
        return frame.id in self._waiting

    def new(self, frame: Frame) -> bool:
        """Return whether the frame is proposed by this chart and not stored yet."""
        return frame.id in self._new

    def hear(self, row: ChartRow, why: Unplaced) -> None:
        """Take in a row that was not placed, and why it was not."""
        found = self._model(row, why)
        if isinstance(found, Unplaced):
            return
        ends = {said.end.end for said in row.said}
        found.pairs |= {pair for pair in END_PAIRS if ends & set(pair)}
        says: Says = defaultdict(set)
        for said in row.said:
            says[said.end.end].add(said.end.value)
        met = [*found.before, *found.turned_down]
        found.spans += ((span, says) for span in row.years or () if not any(f.years.overlaps(span) for f in met))

    def frames(self, row: ChartRow, why: Unplaced) -> list[Frame] | Unplaced:
        """Return the proposed frames that the row means, by first year, or why none; call it when all rows are heard.

        ``why`` is what is answered without proposals, and again where nothing is to be proposed.
        """
        found = self._model(row, why)
        if isinstance(found, Unplaced):
            return found
        if row.years == ():
            return Unplaced("which_years", "which model years? A proposed frame needs them", held=True)
        if found.frames is None:
            found.frames = sorted([*found.before, *self._made(found)], key=lambda f: f.years.start)
        meant = [f for f in found.frames if row.years is None or any(f.years.overlaps(span) for span in row.years)]
        if meant:
            return meant
        for frame in found.turned_down:
            if row.years is None or any(frame.years.overlaps(span) for span in row.years):
                detail = f"it was proposed before; the record {frame.id} is {frame.record}, and not proposed again"
                return Unplaced("turned_down", f"{detail}: {frame.why}" if frame.why else detail)
        if row.years is None:
            return Unplaced("which_years", "which model years? A proposed frame needs them", held=True)
        pairs = " or ".join(" and ".join(pair) for pair in END_PAIRS)
        return Unplaced("which_ends", f"what are the ends of this frame called, {pairs}?", held=True)

    def _model(self, row: ChartRow, why: Unplaced) -> _Unknown | Unplaced:
        asked = (row.make, row.model)
        if asked not in self._models:
            self._models[asked] = self._find(row.make, row.model, why)
        return self._models[asked]

    def _find(self, make: str, model: str, why: Unplaced) -> _Unknown | Unplaced:
        if why.held or why.code not in _NAMES:
            return why
        if not make:
            return Unplaced("make_and_model_together", f"{why.detail}; to propose it, give make and model a cell each")
        if why.alike:
            return Unplaced("near_known", f"{why.detail}; correct the chart, or propose the frame by itself")
        try:
            new_make, new_model = self._named(make, model)
        except InvalidInput as unfit:
            problem = unfit.problems[0]
            code = problem.code if problem.code == "which_make" else "name_unfit"
            return Unplaced(code, problem.detail, held=True)
        key = (new_make.slug, new_model.slug)
        if key not in self._by_slug:
            stored = self._uow.catalogue.frames_of(*key)
            before = [s.frame for s in stored if not s.listed and s.frame.live]
            down = [s.frame for s in stored if not s.frame.live]
            self._waiting |= {frame.id for frame in before}
            self._by_slug[key] = _Unknown(new_make, new_model, before, down)
        return self._by_slug[key]

    def _named(self, make_text: str, model_text: str) -> tuple[Make, Model]:
        """Return make and model under their slugs, the make's name cut off the model's. Raises InvalidInput."""
        known = self._known.makes(make_text)
        if len(known) > 1:
            raise InvalidInput.one("/make", "which_make", f"which make is it? {', '.join(sorted(known))}")
        written = name(" ".join(make_text.split()), "/make")
        slug = next(iter(known)) if known else check_slug(slug_of(written), "/make")
        make = self._uow.catalogue.make(slug) or Make(slug, written)
        words = model_text.split()
        own = len(written.split())
        if len(words) > own and folded(" ".join(words[:own])) == folded(written):
            words = words[own:]
        called = name(" ".join(words), "/model")
        model_slug = check_slug(slug_of(called), "/model")
        return make, self._uow.catalogue.model(slug, model_slug) or Model(slug, model_slug, called)

    def _made(self, found: _Unknown) -> Iterable[Frame]:
        """Return the frames to propose: none when the ends have no names, or names of two pairs."""
        if len(found.pairs) != 1:
            return []
        (ends,) = found.pairs
        make, model = found.make.slug, found.model.slug
        made = [Frame(mint("frame"), make, model, "frame", years, ends) for years in _joined(found.spans)]
        for frame in made:
            self._of_frame[frame.id] = found
            self._new.add(frame.id)
            self._waiting.add(frame.id)
        return made

    def store(self, clock: Clock, person: str | None, by: str, frame: Frame) -> None:
        """Store a proposed frame, with its make and model where they are new, and open its review."""
        found = self._of_frame[frame.id]
        store_proposal(self._uow, clock, person, by, found.make, found.model, frame)
        self._new.discard(frame.id)


def _joined(spans: Iterable[tuple[Years, Says]]) -> list[Years]:
    """Return the years of frames: overlapping spans joined, and following ones that say the same."""
    found: list[tuple[Years, Says]] = []
    for years, says in sorted(spans, key=lambda s: (s[0].start, s[0].end or 9999)):
        if found:
            last, said = found[-1]
            follows = last.end is not None and last.end + 1 == years.start
            if last.overlaps(years) or (follows and said == says):
                end = None if None in (last.end, years.end) else max(last.end or 0, years.end or 0)
                found[-1] = Years(last.start, end), {e: said.get(e, set()) | says.get(e, set()) for e in said | says}
                continue
        found.append((years, says))
    return [years for years, _ in found]
