"""A process that migrates a database and is killed before one of its statements; run by the tests."""

from __future__ import annotations

import os
import signal
import sys
from typing import Any

from sqlalchemy import event

from boltspan.storage import make_engine, migrate

FINISHED = 0


def killed_before(url: str, statement: int) -> int:
    """Migrate ``url`` in a child that is killed before its n-th statement; return its exit status, FINISHED or not."""
    child = os.fork()
    if child == 0:
        engine = make_engine(url)
        left = statement

        @event.listens_for(engine, "before_cursor_execute")
        def count(*_: Any) -> None:
            nonlocal left
            left -= 1
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)

        @event.listens_for(engine, "commit")
        def committing(*_: Any) -> None:
            count()

        migrate(engine)
        os._exit(FINISHED)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


if __name__ == "__main__":
    for asked in sys.stdin:
        print(killed_before(sys.argv[1], int(asked)), flush=True)
