"""Collecting the problems of several fields, so that all are told at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from boltspan.domain.errors import FieldProblem, InvalidInput, as_sent

T = TypeVar("T")


class Problems:
    """The problems found so far; ``raise_any`` tells them together."""

    def __init__(self) -> None:
        self.found: list[FieldProblem] = []

    def keep(self, read: Callable[[], T]) -> T | None:
        """Return what ``read`` returns, or None after keeping the problems it raised."""
        try:
            return read()
        except InvalidInput as e:
            self.found.extend(e.problems)
            return None

    def add(self, pointer: str, code: str, detail: str, got: object = None, accepted: str | None = None) -> None:
        """Keep one problem."""
        self.found.append(FieldProblem(pointer, code, detail, None if got is None else as_sent(got)[:80], accepted))

    def raise_any(self) -> None:
        """Raise InvalidInput when anything was kept."""
        if self.found:
            raise InvalidInput(self.found)
