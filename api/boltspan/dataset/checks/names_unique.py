"""A name or alias means one make, and within a make one model of frame and one of shock, however it is spelt.

Whoever asks by name gets one answer; two records under one name split the evidence between them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Final

from boltspan.dataset.placed import Placed, Records
from boltspan.dataset.problems import Problem
from boltspan.domain.frames import Make, Model
from boltspan.domain.names import folded
from boltspan.domain.shocks import ShockModel

CODE: Final = "name_twice"
NAME: Final = "names and aliases are unique"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each name or alias that reads like an earlier one, its own record's included."""
    yield from _twice(records.makes)
    for found in (records.models, records.shock_models):
        models: dict[str, list[Placed[Model]] | list[Placed[ShockModel]]] = defaultdict(list)
        for model in found:
            models[model.record.make].append(model)  # type: ignore[arg-type]
        for of_make in models.values():
            yield from _twice(of_make)


def _twice(
    owners: Iterable[Placed[Make]] | Iterable[Placed[Model]] | Iterable[Placed[ShockModel]],
) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for owner in owners:
        given = [("/name", owner.record.name), *((f"/aliases/{i}", a) for i, a in enumerate(owner.record.aliases))]
        for at, name in given:
            here = f"{owner.path}#{owner.pointer}{at}"
            there = first.setdefault(folded(name), here)
            if there != here:
                detail = f"this name stands at {there} already"
                yield Problem(owner.path, owner.pointer + at, CODE, detail, name, "a name that means one record")
