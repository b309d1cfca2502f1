"""Answers that are ready: encoded once in the database, kept in memory, sent without routing.

A worker that has not seen the database's newest events for ``follow_s`` looks before it answers, so that a change is
visible everywhere within that time, and a withdrawn record leaves; while the database is away nothing is answered from
here. Each path is replaced in one assignment. At most ``cap`` answers are kept; the others come from the database.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Final, NamedTuple

from boltspan.domain.errors import StorageFull, Unavailable
from boltspan.domain.jsontext import dumps
from boltspan.http.headers import JSON
from boltspan.services.protocols import Encoded, Storage

LARGEST: Final = 64 * 1024
"""Larger answers are never kept, so that the number of answers bounds the memory."""

NO_FRAME: Final = dumps({"outcome": "unknown"})[1:-1].encode()
"""What stands in an answer for a year of which no frame is known; such answers are not kept, so that the view, which
counts them, sees each question. No name can hold these bytes, since its quotes are escaped."""

Headers = list[tuple[str, str]]


class Ready(NamedTuple):
    """One answer as it is sent, and its ETag."""

    body: bytes
    etag: str

    def headers(self) -> Headers:
        """Return the headers of this answer alone, for 200."""
        return [("Content-Type", JSON), ("Content-Length", str(len(self.body))), ("ETag", self.etag)]


class Published:
    """The ready answers of one worker, by path."""

    def __init__(
        self, storage: Storage, *, cap: int, fill: int, follow_s: float, now_s: Callable[[], float] = time.monotonic
    ) -> None:
        self._storage, self._cap, self._fill = storage, cap, fill
        self._follow_s, self._now_s = follow_s, now_s
        self._lock = threading.Lock()
        self._kept: dict[str, Ready] = {}
        self._sequence = -1
        self._version: str | None = None
        self._generation = 0
        self._fresh_until = float("-inf")

    def __len__(self) -> int:
        return len(self._kept)

    def ready(self, path: str) -> Ready | None:
        """Return the answer kept for ``path``; None when there is none or the database cannot be followed."""
        if path not in self._kept:
            return None
        if self._now_s() >= self._fresh_until:
            try:
                self.follow()
            except (Unavailable, StorageFull):
                return None
        return self._kept.get(path)

    def answer(self, path: str) -> Ready | None:
        """Return the published answer for ``path`` from the database and keep it; None when there is none.

        Raises Unavailable when the database is away.
        """
        if self._now_s() >= self._fresh_until:
            self.follow()
        generation = self._generation
        with self._storage.reading() as uow:
            encoded = uow.published.get(path)
        if encoded is None or encoded.body is None:
            return None
        with self._lock:
            if generation == self._generation:  # nothing changed since it was read, so it is not out of date
                self._keep(encoded)
        return Ready(encoded.body, encoded.etag)

    def written(self) -> None:
        """Follow at once: this worker has just written."""
        try:
            self.follow(at_once=True)
        except (Unavailable, StorageFull):
            return

    def follow(self, *, at_once: bool = False) -> None:
        """Take over every answer that changed since the last look, or all when they were encoded anew without a change.

        Raises Unavailable.
        """
        with self._lock:
            started = self._now_s()
            if started < self._fresh_until and not at_once:
                return
            self._fresh_until = float("-inf")
            with self._storage.reading() as uow:
                last, version = uow.events.last(), uow.settings.get("answers_version")
                if self._sequence < 0 or last < self._sequence or version != self._version:
                    self._generation += 1
                    self._kept = {}
                    for encoded in uow.published.newest(min(self._cap, self._fill)):
                        self._keep(encoded)
                elif last > self._sequence:
                    self._generation += 1
                    for encoded in uow.published.since(self._sequence):
                        self._keep(encoded)
            self._sequence, self._version = last, version
            self._fresh_until = started + self._follow_s

    def _keep(self, encoded: Encoded) -> None:
        if encoded.body is None or len(encoded.body) > LARGEST or not self._cap or NO_FRAME in encoded.body:
            self._kept.pop(encoded.path, None)
            return
        if encoded.path not in self._kept and len(self._kept) >= self._cap:
            del self._kept[next(iter(self._kept))]
        self._kept[encoded.path] = Ready(encoded.body, encoded.etag)
