"""What the evidence says of each end, in the database. Derived; claims, decisions and a snapshot rule."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from decimal import Decimal
from itertools import islice
from typing import Any

from sqlalchemy import Row, delete, func, select

from boltspan.domain.values import EndValue
from boltspan.domain.weighed import Weighed, WeighedCandidate
from boltspan.services.protocols import StoredWeighed
from boltspan.storage.queries import PAGE, Queries, chunks
from boltspan.storage.tables import weighed


class SqlWeighed(Queries):
    """Weighed ends by snapshot, frame and subject."""

    def of_frames(self, snapshot_id: str, frame_ids: Sequence[str]) -> dict[str, list[StoredWeighed]]:
        """Return what is weighed of each frame, by subject; an empty list where there is nothing."""
        found: dict[str, list[StoredWeighed]] = {frame_id: [] for frame_id in frame_ids}
        for some in chunks(list(found)):
            of_these = select(weighed).where(weighed.c.snapshot == snapshot_id, weighed.c.frame.in_(some))
            for row in self._all(of_these.order_by(weighed.c.frame, weighed.c.subject)):
                found[row.frame].append(_stored(row))
        return found

    def put(self, weighed_: Iterable[StoredWeighed]) -> None:
        """Insert what is weighed, or replace that of the same snapshot, frame and subject."""
        rows = map(_row, weighed_)
        while some := list(islice(rows, PAGE)):
            self._put(weighed, some)

    def waiting(self, snapshot_id: str, limit: int) -> list[str]:
        """Return up to ``limit`` frames with an end that was not weighed yet, by id."""
        among = select(weighed.c.frame).distinct().where(weighed.c.snapshot == snapshot_id, weighed.c.sequence < 0)
        return list(self._connection.execute(among.order_by(weighed.c.frame).limit(limit)).scalars())

    def count_waiting(self, snapshot_id: str) -> int:
        """Return how many frames have an end that was not weighed yet."""
        frames = select(func.count(weighed.c.frame.distinct()))
        return int(self._connection.execute(
            frames.where(weighed.c.snapshot == snapshot_id, weighed.c.sequence < 0)
        ).scalar_one())  # fmt: skip

    def drop(self, frame_ids: Sequence[str]) -> None:
        """Drop whatever is weighed of these frames."""
        for some in chunks(frame_ids):
            self._connection.execute(delete(weighed).where(weighed.c.frame.in_(some)))

    def keep_only(self, snapshot_id: str) -> None:
        """Drop what belongs to other snapshots."""
        self._connection.execute(delete(weighed).where(weighed.c.snapshot != snapshot_id))


def _row(stored: StoredWeighed) -> dict[str, Any]:
    return {
        "snapshot": stored.snapshot,
        "frame": stored.frame,
        "subject": stored.subject,
        "sequence": stored.sequence,
        "own": _dumps(stored.own),
        "body": None if stored.weighed is None else _body(stored.weighed),
    }


def _dumps(value: Any) -> str:
    """Return JSON with every digit of its floats, as briefly as it goes."""
    return json.dumps(value, separators=(",", ":"), allow_nan=False)


def _body(said: Weighed) -> str:
    candidates = [
        [c.value.mount, *(None if n is None else str(n) for n in (c.value.bolt_mm, c.value.width_mm)), c.p, c.claims]
        for c in said.candidates
    ]
    return _dumps([said.outcome, said.split_probability, said.witnesses, said.model_version, candidates])


def _stored(row: Row[Any]) -> StoredWeighed:
    own = {person: (weight, sound) for person, (weight, sound) in json.loads(row.own).items()}
    said = None
    if row.body is not None:
        outcome, split, witnesses, version, candidates = json.loads(row.body)
        said = Weighed(outcome, tuple(map(_candidate, candidates)), split, witnesses, version, row.snapshot)
    return StoredWeighed(row.snapshot, row.frame, row.subject, row.sequence, own, said)


def _candidate(written: list[Any]) -> WeighedCandidate:
    mount, bolt, width, p, claims = written
    value = EndValue(mount, None if bolt is None else Decimal(bolt), None if width is None else Decimal(width))
    return WeighedCandidate(value, p, tuple(claims))
