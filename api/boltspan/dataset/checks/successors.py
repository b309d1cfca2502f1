"""A merged or divided record leads to records that are there, and never back to itself.

Whoever holds the old id is sent on; a dead end or a circle would leave them without an answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem, nearest
from boltspan.domain.subjects import kind_of

CODE: Final = "successor"
NAME: Final = "merged and divided records lead somewhere"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each target that is not there, and for each record that leads back to itself."""
    into = {m.record.id: m.record.into for m in records.made}
    for placed in records.made:
        frame = placed.record
        kind = kind_of(frame.id)
        for i, target in enumerate(frame.into):
            at = f"{placed.pointer}/into" + (f"/{i}" if frame.record == "divided" else "")
            if target not in into and target not in records.ids:
                like_it = sorted(i for i in into if kind_of(i) == kind and i != frame.id)
                like = nearest(target, like_it)
                yield Problem(placed.path, at, CODE, f"there is no such {kind}", target, f"the id of a {kind}", like)
            elif frame.id in _reached(target, into):
                detail = f"the record leads back to itself by way of {target}"
                yield Problem(placed.path, at, CODE, detail, target, f"a {kind} that does not lead back here")


def _reached(start: str, into: Mapping[str, tuple[str, ...]]) -> set[str]:
    found: set[str] = set()
    waiting = [start]
    while waiting:
        frame = waiting.pop()
        if frame not in found:
            found.add(frame)
            waiting += into.get(frame, ())
    return found
