"""Which frames a row of a chart means: by exact names only; near ones are offered, never taken."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Final

from rapidfuzz import fuzz

from boltspan.domain.frames import Frame, Years
from boltspan.domain.names import folded
from boltspan.services.lookup import name_index
from boltspan.services.names import EXACT, Hit, NameIndex, clear
from boltspan.services.protocols import UnitOfWork

MOST_SEARCHED: Final = 2000
"""Different unknown names for which near ones are looked up; for more of them none are offered."""
_OFFERED: Final = 3
_ALIKE: Final = 75.0
"""Two names so many parts in a hundred alike may be one with a typing error (judgement)."""


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Why a row is not about any known frame, or not about one for sure; ``held`` when a person can tell at once.

    ``alike``: the name it gives is so near a known one that it may be a typing error.
    """

    code: str
    detail: str
    held: bool = False
    alike: bool = False


class ChartFrames:
    """The catalogue as charts name it. One reading, one state of the catalogue."""

    def __init__(self, uow: UnitOfWork) -> None:
        self._uow = uow
        self._makes: dict[str, set[str]] = defaultdict(set)
        self._models: dict[tuple[str, str], set[str]] = defaultdict(set)
        self._whole: dict[str, set[tuple[str, str]]] = defaultdict(set)
        self._index: NameIndex | None = None
        self._named: dict[tuple[str, str], tuple[str, str] | Unplaced] = {}
        self._frames: dict[tuple[str, str], list[Frame]] = {}
        self._searched = 0
        ways: dict[str, tuple[str, ...]] = {}
        self._names: dict[tuple[str, str], str] = {}
        for make in uow.catalogue.makes():
            ways[make.slug] = tuple({_key(name) for name in (make.slug, make.name, *make.aliases)})
            self._names[make.slug, ""] = make.name
            for way in ways[make.slug]:
                self._makes[way].add(make.slug)
        for model in uow.catalogue.models():
            self._names[model.make, model.slug] = f"{self._names[model.make, '']} {model.name}"
            for way in {_key(name) for name in (model.slug, model.name, *model.aliases)}:
                self._models[model.make, way].add(model.slug)
                for of_make in ways[model.make]:
                    self._models[model.make, of_make + way].add(model.slug)
                    self._whole[of_make + way].add((model.make, model.slug))

    def model(self, make: str, model: str) -> tuple[str, str] | Unplaced:
        """Return the slugs of make and model that the texts name ("" as make: ``model`` names both), or why not.

        By slug, name or alias, without regard to case, accents, blanks and hyphens, or where the search by name finds
        it to be exactly one model's. Two makes or models of one name are told apart by nobody: held.
        """
        asked = (make, model)
        if asked not in self._named:
            self._named[asked] = self._find(make, model)
        return self._named[asked]

    def makes(self, text: str) -> frozenset[str]:
        """Return the slugs of the makes that the text names by slug, name or alias."""
        return frozenset(self._makes.get(_key(text), ()))

    def _find(self, make: str, model: str) -> tuple[str, str] | Unplaced:
        if not make:
            found = self._whole.get(_key(model), set())
            return self._only(found) if found else self._near("", model, "unknown_model", None)
        makes = self._makes.get(_key(make), set())
        found = {(m, slug) for m in makes for slug in self._models.get((m, _key(model)), ())}
        if found:
            return self._only(found)
        return self._near(make, model, "unknown_model" if makes else "unknown_make", makes)

    def _only(self, found: set[tuple[str, str]]) -> tuple[str, str] | Unplaced:
        if len(found) == 1:
            return next(iter(found))
        names = ", ".join(sorted(self._names[one] for one in found))
        return Unplaced("which_model", f"which one is it? {names}", held=True)

    def _near(self, make: str, model: str, code: str, makes: set[str] | None) -> tuple[str, str] | Unplaced:
        what = code.removeprefix("unknown_")
        self._searched += 1
        if self._searched > MOST_SEARCHED:
            return Unplaced(code, f"no {what} of this name is known; near names are offered for {MOST_SEARCHED} only")
        if self._index is None:
            self._index = name_index(self._uow)
        hits = self._index.find(f"{make} {model}".strip(), _OFFERED)
        sure = [hit for hit in clear(hits) if hit.likeness == EXACT]
        if len(sure) == 1 and (makes is None or sure[0].make in makes):
            return sure[0].make, sure[0].model
        near = "; ".join(self._names[hit.make, hit.model] for hit in hits)
        alike = any(self._alike(make, model, hit) for hit in hits)
        return Unplaced(code, f"no {what} of this name is known; nearest: {near or 'nothing alike'}", alike=alike)

    def _alike(self, make: str, model: str, hit: Hit) -> bool:
        """Return whether make and model, each by itself, may be a typing error of the hit's; other figures are none."""
        known_make = self._names[hit.make, ""]
        known_model = self._names[hit.make, hit.model].removeprefix(f"{known_make} ")
        return _typing_error(make, known_make) and _typing_error(model, known_model)

    def frames(self, key: tuple[str, str], years: tuple[Years, ...] | None) -> list[Frame] | Unplaced:
        """Return the model's frames that were made in the years (None: all years), by first year; or why not.

        Frames of one year that only a qualifier tells apart are held with its question, since the row does not say
        which of them it means. No years at all are held too, also where only one frame is known.
        """
        if key not in self._frames:
            stored = self._uow.catalogue.frames_of(*key)
            self._frames[key] = [s.frame for s in stored if s.listed and s.frame.live]
        known = self._frames[key]
        spans = ", ".join(_span(frame.years) for frame in known) or "none"
        if years == ():
            return Unplaced("which_years", f"which model years? Frames are known for {spans}", held=True)
        found = [f for f in known if years is None or any(f.years.overlaps(span) for span in years)]
        if not found:
            return Unplaced("no_frame_in_years", f"no frame of these years is known; known: {spans}")
        for at, frame in enumerate(found):
            for other in found[at + 1 :]:
                if frame.years.overlaps(other.years):
                    asks = {f.qualifier.ask for f in (frame, other) if f.qualifier is not None}
                    question = " ".join(sorted(asks)) or "which of the frames of these years?"
                    return Unplaced("which_frame", question, held=True)
        return found


def _typing_error(text: str, known: str) -> bool:
    a, b = _key(text), _key(known)
    figures = [[ch for ch in name if ch.isdigit()] for name in (a, b)]
    return figures[0] == figures[1] and fuzz.ratio(a, b) >= _ALIKE


def _key(text: str) -> str:
    return folded(text).replace(" ", "")


def _span(years: Years) -> str:
    if years.end == years.start:
        return str(years.start)
    return f"{years.start} on" if years.end is None else f"{years.start} to {years.end}"
