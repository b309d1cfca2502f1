"""No id stands twice.

Ids are minted at random, so a double is a copied block: two records would answer to one name. Take a new id for the
new one; an id is never used again.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem

CODE: Final = "id_twice"
NAME: Final = "ids are unique"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each record whose id stands earlier already."""
    first: dict[str, str] = {}
    kinds = (
        ("frame", records.frames),
        ("shock", records.shocks),
        ("hardware", records.hardware),
        ("claim", records.claims),
        ("decision", records.decisions),
    )
    for kind, placed in chain.from_iterable(((kind, p) for p in found) for kind, found in kinds):
        name, here = placed.record.id, f"{placed.path}#{placed.pointer}"
        there = first.setdefault(name, here)
        if there != here:
            detail = f"this id stands at {there} already"
            yield Problem(
                placed.path, f"{placed.pointer}/id", CODE, detail, name, "a new id", fix=f"boltspan id {kind}"
            )
