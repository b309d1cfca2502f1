"""Events in the database: append-only, numbered without a gap."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from sqlalchemy import Connection, Row, func, select, update

from boltspan.domain.errors import Clash
from boltspan.domain.eventchain import START, link
from boltspan.services.protocols import Clock, Event
from boltspan.storage.queries import Queries, chunks
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
        self._hash: str | None = None

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
        sequence, at, text = self.last() + 1, self._clock.now(), dumps(payload or {})
        linked = link(self._newest_hash(), sequence, at, actor, kind, frame, subject, loads(text))
        row = {
            "sequence": sequence,
            "at": at,
            "actor": actor,
            "kind": kind,
            "frame": frame,
            "subject": subject,
            "payload": text,
            "record_key": record_key(payload or {}),
            "hash": linked,
        }
        self._add(events, [row])
        self._last, self._hash = sequence, linked
        return sequence

    def _newest_hash(self) -> str:
        """Return the hash of the event that the next one follows."""
        if self._hash is None:
            newest = select(events.c.hash).order_by(events.c.sequence.desc()).limit(1)
            self._hash = self._connection.execute(newest).scalar_one_or_none() or START
        return self._hash

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

    def by_actor(self, person: str) -> list[Event]:
        """Return the events of a person's making, ascending."""
        rows = self._all(select(events).where(events.c.actor == person).order_by(events.c.sequence))
        return [_event(row) for row in rows]

    def active_days(self, person: str) -> list[str]:
        """Return the days on which the person did anything that made an event, ascending."""
        day = func.substr(events.c.at, 1, 10)
        return list(
            self._connection.execute(select(day).where(events.c.actor == person).distinct().order_by(day)).scalars()
        )

    def days(self, sequences: Collection[int]) -> dict[int, str]:
        """Return the day of each event that is there, by its number."""
        return {number: at[:10] for number, at in self.instants(sequences).items()}

    def instants(self, sequences: Collection[int]) -> dict[int, str]:
        """Return the instant of each event that is there, by its number."""
        found: dict[int, str] = {}
        for some in chunks(sorted(sequences)):
            rows = self._all(select(events.c.sequence, events.c.at).where(events.c.sequence.in_(some)))
            found |= {row.sequence: row.at for row in rows}
        return found

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
    return Event(row.sequence, row.at, row.actor, row.kind, row.frame, row.subject, loads(row.payload), row.hash)
