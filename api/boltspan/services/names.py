"""Finding models by name as people write it: words turned, a maker missing, two letters wrong.

The index is a plain list of folded names that rapidfuzz searches whole: no structure to keep in step, and the same on
both databases.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from rapidfuzz import fuzz, process

from boltspan.domain.frames import Make, Model
from boltspan.domain.names import folded

MOST_FOUND: Final = 10
LEAST_LIKE: Final = 70
"""Of 100 by rapidfuzz ``fuzz.ratio``: two wrong letters in a name of seven still pass [assumed]."""
_YEAR: Final = re.compile(r"(?:^|\s)(?:my\s?)?'?((?:19|20)\d\d)(?=\s|$)")


@dataclass(frozen=True, slots=True)
class Hit:
    """A model that a text may mean, and how alike it is (0 to 100)."""

    make: str
    model: str
    likeness: float


class NameIndex:
    """Every way a model is called, folded. Built once for a state of the catalogue."""

    def __init__(self, makes: Iterable[Make], models: Iterable[Model]) -> None:
        by_slug = {m.slug: m for m in makes}
        self._texts: list[str] = []
        self._owners: list[tuple[str, str]] = []
        for model in models:
            make = by_slug[model.make]
            for own in {folded(n) for n in (model.name, *model.aliases)}:
                texts = {own} | {text for of in (make.name, *make.aliases) for text in _turned(folded(of), own)}
                self._texts.extend(sorted(texts))
                self._owners.extend([(model.make, model.slug)] * len(texts))

    def find(self, text: str, limit: int = MOST_FOUND) -> list[Hit]:
        """Return the models ``text`` may mean, likest first, at most ``limit``; [] for nothing alike.

        Ties are ordered by make and model.
        """
        wanted = folded(text)
        if not wanted:
            return []
        found = process.extract(wanted, self._texts, scorer=fuzz.ratio, score_cutoff=LEAST_LIKE, limit=limit * 4)
        best: dict[tuple[str, str], float] = {}
        for _, likeness, place in found:
            owner = self._owners[place]
            best[owner] = max(best.get(owner, 0.0), likeness)
        ranked = sorted(best.items(), key=lambda item: (-item[1], item[0]))
        return [Hit(make, model, likeness) for (make, model), likeness in ranked[:limit]]


def _turned(make: str, model: str) -> tuple[str, str]:
    return f"{make} {model}", f"{model} {make}"


def year_in(text: str) -> tuple[str, int | None]:
    """Return the text without a four-digit model year, and that year (None when there is not just one)."""
    years = {int(y) for y in _YEAR.findall(text.casefold())}
    if len(years) != 1:
        return text, None
    return _YEAR.sub(" ", text.casefold()), years.pop()
