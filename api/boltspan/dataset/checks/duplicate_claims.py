"""One document says a thing once.

A second claim of the same value from the same document adds no evidence; it is counted once and is most often a
double entry. It stays a warning, since a document may say the same on two pages.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem
from boltspan.domain.values import Value

CODE: Final = "claim_twice"
NAME: Final = "claims are not doubled"


def find(records: Records) -> Iterator[Problem]:
    """Yield a warning for each standing claim that repeats an earlier one's document, subject and value."""
    first: dict[tuple[str, str, str, Value], str] = {}
    for placed in records.claims:
        claim = placed.record
        if claim.withdrawn_on is not None or claim.value is None or claim.source.kind in ("measured", "fitted"):
            continue
        there = first.setdefault((claim.frame, claim.subject, claim.source.witness, claim.value), claim.id)
        if there != claim.id:
            detail = f"claim {there} says the same from the same document; the two count once"
            yield Problem(
                placed.path,
                placed.pointer,
                CODE,
                detail,
                claim.source.document,
                "a claim from another document",
                warning=True,
            )
