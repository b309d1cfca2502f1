"""One index of names for all requests of a process, built anew only when a make, model or frame changed."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from typing import Final

from boltspan.services.lookup import name_index
from boltspan.services.names import NameIndex
from boltspan.services.protocols import UnitOfWork

MOST_LOOKED_AT: Final = 1000
"""More new events than this are not looked through; the index is built anew."""


class NameCache:
    """Keeps the index in step with the events: claims and decisions change no name, all other events may.

    ``build`` makes the index; ``told_by`` are the keys of payloads of events that may change a name.
    """

    def __init__(
        self, build: Callable[[UnitOfWork], NameIndex] = name_index, told_by: Iterable[str] = ("make", "model", "frame")
    ) -> None:
        self._build, self._told_by = build, frozenset(told_by)
        self._lock = threading.Lock()
        self._sequence = -1
        self._index: NameIndex | None = None

    def index(self, uow: UnitOfWork) -> NameIndex:
        """Return an index over makes and models as ``uow`` sees them, or as they stood a moment later."""
        last = uow.events.last()
        with self._lock:
            if self._index is None or (last != self._sequence and self._named_since(uow, last)):
                self._index = self._build(uow)
            self._sequence = max(last, self._sequence)
            return self._index

    def _named_since(self, uow: UnitOfWork, last: int) -> bool:
        if last < self._sequence:
            return False
        if last - self._sequence > MOST_LOOKED_AT:
            return True
        events = uow.events.page(self._sequence, MOST_LOOKED_AT)
        return any(not self._told_by.isdisjoint(e.payload) for e in events)
