"""A reversal undoes an earlier decision on the same subject.

Decisions are only ever added, oldest first; one that is undone before it is made would make the order mean nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem, nearest

CODE: Final = "reversal"
NAME: Final = "reversals name an earlier decision"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each reversal whose decision does not stand before it on its subject."""
    earlier: dict[tuple[str, str], list[str]] = defaultdict(list)
    for placed in records.decisions:
        decision = placed.record
        before = earlier[decision.frame, decision.subject]
        if decision.reverses is not None and decision.reverses not in before:
            detail = "no earlier decision on this subject has that id"
            yield Problem(
                placed.path,
                f"{placed.pointer}/reverses",
                CODE,
                detail,
                decision.reverses,
                ", ".join(before) or "there is none",
                nearest(decision.reverses, before),
            )
        before.append(decision.id)
