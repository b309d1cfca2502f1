"""What a process keeps of the database from one request to the next, made anew when an event says that it changed."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from typing import Final, Generic, TypeVar

from boltspan.services.protocols import UnitOfWork

T = TypeVar("T")
MOST_LOOKED_AT: Final = 1000
"""More new events than this are not looked through; what is kept is made anew."""


class Kept(Generic[T]):
    """Keeps what ``make`` returns in step with the events.

    ``told_by`` are the keys of payloads of events that may change it; all others are passed over. Every read asks for
    the number of the last event, so that what another worker has committed is there at once.
    """

    def __init__(self, make: Callable[[UnitOfWork], T], told_by: Iterable[str]) -> None:
        self._make, self._told_by = make, frozenset(told_by)
        self._lock = threading.Lock()
        self._sequence = -1
        self._kept: tuple[T] | None = None

    def at(self, uow: UnitOfWork) -> T:
        """Return it as ``uow`` sees it, or as it stood a moment later."""
        last = uow.events.last()
        with self._lock:
            if self._kept is None or (last != self._sequence and self._told_since(uow, last)):
                self._kept = (self._make(uow),)
            self._sequence = max(last, self._sequence)
            return self._kept[0]

    def _told_since(self, uow: UnitOfWork, last: int) -> bool:
        if last < self._sequence:
            return False
        if last - self._sequence > MOST_LOOKED_AT:
            return True
        events = uow.events.page(self._sequence, MOST_LOOKED_AT)
        return any(not self._told_by.isdisjoint(e.payload) for e in events)
