"""A process that answers requests and is killed right before the commit, or between commit and answer.

Each line of its input is a POST as JSON: hook, path, headers, body. A child takes it, so that nothing is
left of what it had open; the child's exit status is written for each.
"""

from __future__ import annotations

import json
import os
import pathlib
import signal
import sys
from typing import Any

from boltspan.http.app import create_app
from boltspan.http.call import Call
from boltspan.http.settings import HttpSettings
from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine
from boltspan.storage.events import SqlEvents

BEFORE, AFTER = "before the commit", "between commit and answer"


def answer(app: Any, asked: dict[str, Any]) -> int:
    """Answer ``asked`` in a child that is killed at the hook; return its exit status."""
    child = os.fork()
    if child == 0:
        noun, name = {BEFORE: (SqlEvents, "write_counter"), AFTER: (Call, "receipt")}[asked["hook"]]
        setattr(noun, name, lambda *_: os.kill(os.getpid(), signal.SIGKILL))
        app.test_client().post(
            asked["path"], headers=asked["headers"], data=json.dumps(asked["body"]), content_type="application/json"
        )
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def main(url: str, data: str) -> None:
    """Answer what comes in until nothing more comes."""
    storage = SqlStorage(make_engine(url), SystemClock())
    settings = HttpSettings(data=pathlib.Path(data), rate_limits=False, log=lambda _: None)
    app = create_app(storage, SystemClock(), settings)
    for line in sys.stdin:
        print(answer(app, json.loads(line)), flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
