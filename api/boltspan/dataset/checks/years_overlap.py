"""Frames, and shocks, of one model overlap in years only where a qualifier tells them apart.

Otherwise a year has two answers, and half the customers get the wrong one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Placed, Records
from boltspan.dataset.problems import Problem
from boltspan.domain.frames import Frame, overlap_problems
from boltspan.domain.shocks import Shock
from boltspan.domain.subjects import kind_of

CODE: Final = "years_overlap"
NAME: Final = "years do not overlap"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each pair that meets, at the later one."""
    models: dict[tuple[str, str, str], list[Placed[Frame] | Placed[Shock]]] = defaultdict(list)
    for placed in records.made:
        earlier = models[kind_of(placed.record.id), placed.record.make, placed.record.model]
        for p in overlap_problems(placed.record, [e.record for e in earlier], f"{placed.pointer}/years"):
            yield Problem(placed.path, p.pointer, CODE, p.detail, p.got, p.accepted)
        earlier.append(placed)
