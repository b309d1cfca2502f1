"""What is said about a frame is said about its shock size or one of its own ends.

A source that names another pair of ends leaves open which end it means; a guess would sell the part for the wrong one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from boltspan.dataset.documents import Document, frames_in
from boltspan.dataset.problems import Problem, nearest
from boltspan.domain.frames import END_PAIRS
from boltspan.domain.values import SHOCK_SIZE

CODE: Final = "subject"
NAME: Final = "claims are about the frame's own ends"


def find(document: Document) -> Iterator[Problem]:
    """Yield a problem for each subject that is none of the frame's."""
    if document.kind != "frames":
        return
    for pointer, frame in frames_in(document.data):
        ends, subjects = frame.get("ends"), frame.get("subjects")
        if not isinstance(ends, list) or tuple(ends) not in END_PAIRS or not isinstance(subjects, Mapping):
            continue
        own = [SHOCK_SIZE, *ends]
        for subject in subjects:
            if subject in own:
                continue
            foreign = any(subject in pair for pair in END_PAIRS)
            detail = (
                "which end is meant? The frame's maker names its ends otherwise; same_ends may say so, with a source"
                if foreign
                else "this frame has no such end"
            )
            yield Problem(
                document.path,
                f"{pointer}/subjects/{subject}",
                CODE,
                detail,
                subject,
                ", ".join(own),
                None if foreign else nearest(subject, own),
            )
