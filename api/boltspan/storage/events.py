"""Events in the database: append-only, numbered without a gap."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Row, func, select, update

from boltspan.domain.errors import Clash
from boltspan.services.protocols import Clock, Event
from boltspan.storage.queries import Queries
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import event_counter, events

_COUNTER = select(event_counter.c.last)


class SqlEvents(Queries):
    """Events. Their numbers come from a counter of one row, which a writing transaction holds locked from its start.

    The counter is written once, by ``write_counter`` before the commit, and rolled back with everything else.
    """

    def __init__(self, connection: Connection, clock: Clock) -> None:
        super().__init__(connection)
        self._clock = clock
        self._stored: int | None = None
        self._last: int | None = None

    def lock(self) -> None:
        """Take the writers' turn: wait for the counter's row where the database locks rows (PostgreSQL)."""
        self._stored = self._last = self._connection.execute(_COUNTER.with_for_update()).scalar_one()

    def write_counter(self) -> None:
        """Write the number of the last event down when it has moved."""
        if self._last != self._stored:
            self._connection.execute(update(event_counter).values(last=self._last))
            self._stored = self._last

    def record(
        self,
        actor: str | None,
        kind: str,
        *,
        frame: str | None = None,
        subject: str | None = None,
        payload: dict[str, Any] | None = None,
    ) -> int:
        """Store an event at this instant and return its sequence.

        Raises TypeError for a payload with something that JSON text cannot hold exactly (None and floats included),
        ValueError for a record in it that does not say which one it is; see ``record_key``.
        """
        sequence = self.last() + 1
        row = {
            "sequence": sequence,
            "at": self._clock.now(),
            "actor": actor,
            "kind": kind,
            "frame": frame,
            "subject": subject,
            "payload": dumps(payload or {}),
            "record_key": record_key(payload or {}),
        }
        self._add(events, [row])
        self._last = sequence
        return sequence

    def last(self) -> int:
        """Return the number of the last event; 0 in a new database, the number given to ``start_after`` after that."""
        if self._last is None:
            self._last = int(self._connection.execute(_COUNTER).scalar_one())
        return self._last

    def first(self) -> int:
        """Return the number of the first event, 0 when there is none."""
        return int(self._connection.execute(select(func.min(events.c.sequence))).scalar_one() or 0)

    def start_after(self, sequence: int) -> None:
        """Let the next event be ``sequence`` + 1. Raises Clash when there is an event already."""
        if self.first():
            raise Clash("events stand already; only an empty database can start at another number")
        self._last = sequence

    def page(self, since: int, limit: int) -> list[Event]:
        """Return up to ``limit`` events after ``since``, ascending."""
        after = select(events).where(events.c.sequence > since)
        return [_event(row) for row in self._pages(after, [events.c.sequence], limit=limit)]

    def of_frame(self, frame_id: str) -> list[Event]:
        """Return the events of the frame, ascending."""
        rows = self._all(select(events).where(events.c.frame == frame_id).order_by(events.c.sequence))
        return [_event(row) for row in rows]

    def newest_record(self, key: str, at_most: int) -> Event | None:
        """Return the last event up to ``at_most`` that holds the record of ``key`` (see ``record_key``), or None."""
        of_record = select(events).where(events.c.record_key == key, events.c.sequence <= at_most)
        row = self._one(of_record.order_by(events.c.sequence.desc()).limit(1))
        return None if row is None else _event(row)


def record_key(payload: Mapping[str, Any]) -> str | None:
    """Return the key of the record that a payload holds, None when it holds none.

    A record is an object (a bare id or slug under these names is none), and a payload holds at most one; looked for
    in this order:

    - ``frame``, an object with ``id``: the key is that id;
    - ``shock`` or ``hardware``, an object with ``id``: likewise;
    - ``shock_model``, an object with ``slug``, beside ``make_slug``: ``shock_model/<make_slug>/<slug>``;
    - ``model``, an object with ``slug``, beside ``make_slug``: ``model/<make_slug>/<slug>``;
    - ``make``, an object with ``slug``: ``make/<slug>``.

    Raises ValueError when a record lacks what its key is made of.
    """
    try:
        if isinstance(frame := payload.get("frame"), Mapping):
            return str(frame["id"])
        for kind in ("shock", "hardware"):
            if isinstance(record := payload.get(kind), Mapping):
                return str(record["id"])
        if isinstance(model := payload.get("shock_model"), Mapping):
            return f"shock_model/{payload['make_slug']}/{model['slug']}"
        if isinstance(model := payload.get("model"), Mapping):
            return f"model/{payload['make_slug']}/{model['slug']}"
        if isinstance(make := payload.get("make"), Mapping):
            return f"make/{make['slug']}"
    except KeyError as e:
        raise ValueError(f"an event's payload holds a record without {e}") from None
    return None


def _event(row: Row[Any]) -> Event:
    return Event(row.sequence, row.at, row.actor, row.kind, row.frame, row.subject, loads(row.payload))
