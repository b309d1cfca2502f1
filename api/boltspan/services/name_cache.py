"""One index of names for all requests of a process, built anew only when a make, model or frame changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from boltspan.services.kept import Kept
from boltspan.services.lookup import name_index
from boltspan.services.names import NameIndex
from boltspan.services.protocols import UnitOfWork


class NameCache(Kept[NameIndex]):
    """Keeps the index in step with the events: claims and decisions change no name, all other events may.

    ``build`` makes the index; ``told_by`` are the keys of payloads of events that may change a name.
    """

    def __init__(
        self, build: Callable[[UnitOfWork], NameIndex] = name_index, told_by: Iterable[str] = ("make", "model", "frame")
    ) -> None:
        super().__init__(build, told_by)

    def index(self, uow: UnitOfWork) -> NameIndex:
        """Return an index over makes and models as ``uow`` sees them, or as they stood a moment later."""
        return self.at(uow)
