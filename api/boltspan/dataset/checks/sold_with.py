"""A shock that is sold with hardware names a frame that is there, and that frame's own ends.

Somebody who buys it for that frame needs no other hardware; the wrong frame or end would leave them without.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem, nearest

CODE: Final = "sold_with"
NAME: Final = "shocks are sold with hardware for frames that are there"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each frame that is not there, and for each end that it has not."""
    frames = {f.record.id: f.record for f in records.frames}
    for placed in records.shocks:
        for i, sold in enumerate(placed.record.sold_with):
            at = f"{placed.pointer}/sold_with/{i}"
            frame = frames.get(sold.frame)
            if frame is None:
                if sold.frame not in records.ids:  # one that could not be read is told about already
                    detail, like = "there is no such frame", nearest(sold.frame, sorted(frames))
                    yield Problem(placed.path, f"{at}/frame", CODE, detail, sold.frame, "the id of a frame", like)
            elif not set(sold.ends) <= set(frame.ends):
                detail, own = "the frame's maker names its ends otherwise", ", ".join(frame.ends)
                yield Problem(placed.path, f"{at}/ends", CODE, detail, ", ".join(sold.ends), own)
