"""A frame's ends are one pair of names, as its maker writes them.

"Front" of one maker is "upper" of another and "lower" of a third, so a mixed pair could only be guessed at.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.documents import Document, frames_in
from boltspan.dataset.problems import Problem, shown
from boltspan.domain.frames import END_PAIRS

CODE: Final = "ends"
NAME: Final = "ends are one pair"


def find(document: Document) -> Iterator[Problem]:
    """Yield a problem for each frame whose ends are no pair, with the pair that shares most names as the nearest."""
    if document.kind != "frames":
        return
    for pointer, frame in frames_in(document.data):
        ends = frame.get("ends")
        if isinstance(ends, list) and tuple(ends) not in END_PAIRS:
            given = {str(e) for e in ends}
            close = [pair for pair in END_PAIRS if given & set(pair)]
            yield Problem(
                document.path,
                f"{pointer}/ends",
                CODE,
                "the ends are no pair, in its order",
                shown(", ".join(map(str, ends))),
                "; ".join(", ".join(pair) for pair in END_PAIRS),
                ", ".join(close[0]) if len(close) == 1 else None,
            )
