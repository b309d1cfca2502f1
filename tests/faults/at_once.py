"""Doing several things at the same moment."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Done = TypeVar("Done")


def at_once(works: Sequence[Callable[[], Done]]) -> list[Done]:
    """Do all ``works`` at the same moment, each in a thread of its own; return what they return, in their order."""
    together = threading.Barrier(len(works))

    def started(work: Callable[[], Done]) -> Done:
        together.wait(30)
        return work()

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(started, works))
