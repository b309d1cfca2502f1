"""``boltspan serve``: the service on this machine."""

from __future__ import annotations

import argparse
import multiprocessing
import os
import signal
import sys
import threading
import time
from typing import Any, Final

from boltspan.bootstrap import create_app, differing_files, open_storage, outdated_evidence, prepare
from boltspan.config import Config, unknown_settings
from boltspan.dataset.problems import DatasetBroken
from boltspan.domain.errors import StorageFull, Unavailable

THREADS: Final = 200
"""Most threads of a worker. A caller that sends its body drop by drop holds one, so there are many; idle ones end."""
FINISH_S: Final = 8
"""How long requests in flight may take to finish when the service is told to stop (a body that trickles would take for
ever); less than the ten seconds after which container tools kill."""

LOOK_S: Final = 0.5
"""How often a worker looks whether the process that started it is still there."""


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser("serve", help="start the service")
    parser.add_argument("--port", type=int, help="port to listen on (default 8000)")
    parser.add_argument("--data", help="folder for the database and the releases (default .boltspan)")
    parser.add_argument("--workers", type=int, help="worker processes (default 2)")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Prepare the database and serve until told to stop; 1 when the dataset has errors."""
    for name, value in (("PORT", args.port), ("DATA", args.data), ("WORKERS", args.workers)):
        if value is not None:
            os.environ[f"BOLTSPAN_{name}"] = str(value)
    config = Config.from_environment()
    for name in unknown_settings(os.environ):
        print(f"boltspan: there is no setting {name}; it is passed over", file=sys.stderr)
    storage = open_storage(config)
    try:
        prepare(config, storage)
        if (difference := differing_files(config, storage)) is not None:
            print(f"boltspan: {difference}", file=sys.stderr)
        if (outdated := outdated_evidence(storage)) is not None:
            print(f"boltspan: {outdated}", file=sys.stderr)
    except DatasetBroken as broken:
        print(f"boltspan: not started: {len(broken.problems)} wrong in the dataset {broken.root}", file=sys.stderr)
        print(f"boltspan: see them with: boltspan dataset check {broken.root}", file=sys.stderr)
        return 1
    except (Unavailable, StorageFull) as away:
        print(f"boltspan: {away}; serving 503 until it is ready", file=sys.stderr)
    finally:
        storage.engine.dispose()
    _serve(config)
    return 0


def _serve(config: Config) -> None:
    from granian.constants import Interfaces
    from granian.server import Server

    print(f"boltspan: http://{config.bind}:{config.port}", flush=True)
    Server(
        "boltspan.cli.serve:worker",
        factory=True,
        address=config.bind,
        port=config.port,
        interface=Interfaces.WSGI,
        workers=max(1, config.workers),
        blocking_threads=THREADS,
        workers_kill_timeout=FINISH_S,
        respawn_failed_workers=True,
        log_access=False,
        log_level=config.log_level,  # type: ignore[arg-type]
    ).serve()


def worker() -> Any:
    """Return the application for one worker process, which ends when the process that started it is gone."""
    # A fork inherits the main process's handler, which would swallow an end that comes before the server has its own.
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if (parent := multiprocessing.parent_process()) is not None:
        threading.Thread(target=_end_after, args=(parent.pid,), daemon=True).start()
    return create_app()


def _end_after(parent: int) -> None:
    """End this process once it is an orphan: beside the service that is started next it would answer, too."""
    while os.getppid() == parent:
        time.sleep(LOOK_S)
    os.kill(os.getpid(), signal.SIGTERM)  # requests in flight finish
    time.sleep(FINISH_S)
    os._exit(1)
