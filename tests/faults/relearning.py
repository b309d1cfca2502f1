"""Learns the rates of the evidence anew in a process of its own, which kills itself at a given moment.

    python -m tests.faults.relearning URL MOMENT

MOMENT is ``learning`` (the rates are learnt, nothing is stored), ``weighing`` (two batches are stored, the third is
under way) or ``publishing`` (all is written, not committed).
"""

from __future__ import annotations

import itertools
import os
import signal
import sys
from collections.abc import Callable
from typing import Any

from boltspan.services import relearning, snapshots
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.storage import SqlStorage, make_engine

SMALL_BATCH = 2
LEARNING, WEIGHING, PUBLISHING = "learning", "weighing", "publishing"


def run(storage: SqlStorage) -> tuple[str, list[int]]:
    """Work out a draft in batches of two frames and publish it; return its id, and the progress told on the way."""
    relearning.BATCH = SMALL_BATCH  # type: ignore[misc]
    done: list[int] = []
    draft = relearning.work_out(COMMAND_LINE, storage, SystemClock(), lambda some, of: done.append(some))
    with storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, SystemClock(), draft)
    return draft.id, done


def _dying_after(whole: Callable[..., Any], calls: int) -> Callable[..., Any]:
    """Return ``whole`` so that the process dies as soon as it has done its work so many times."""
    counted = itertools.count(1)

    def dying(*arguments: Any, **named: Any) -> Any:
        found = whole(*arguments, **named)
        if next(counted) == calls:
            os.kill(os.getpid(), signal.SIGKILL)
        return found

    return dying


def main() -> None:
    """Begin and die."""
    url, moment = sys.argv[1:]
    if moment == LEARNING:
        snapshots.learn = _dying_after(snapshots.learn, 1)
    elif moment == WEIGHING:
        relearning.reweigh = _dying_after(relearning.reweigh, 3)
    else:
        relearning.encode_all = _dying_after(relearning.encode_all, 1)
    run(SqlStorage(make_engine(url), SystemClock()))


if __name__ == "__main__":
    main()
