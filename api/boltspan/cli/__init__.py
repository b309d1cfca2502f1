"""The command line: one module a command group. Every command says what it did, or what is wrong and what to do."""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence
from typing import Final

from boltspan import __version__
from boltspan.domain.errors import BoltspanError, InvalidInput

GROUPS: Final = (
    "serve", "dataset", "charts", "tokens", "accounts", "rule", "release", "events", "ids", "resolve", "evidence",
    "label", "bench", "fit",
)  # fmt: skip
"""Modules of this package with ``register(commands)``, in the order of the help text."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 1 refused or problems found, 2 wrong usage."""
    parser = argparse.ArgumentParser(
        prog="boltspan", description="What mounting hardware a bike frame needs at each end of its rear shock."
    )
    parser.add_argument("--version", action="version", version=f"boltspan {__version__}")
    commands = parser.add_subparsers(dest="command", required=True)
    for group in GROUPS:
        importlib.import_module(f"boltspan.cli.{group}").register(commands)
    args = parser.parse_args(arguments)
    try:
        code = int(args.run(args))
        sys.stdout.flush()
    except BrokenPipeError:  # whoever read the output has read enough, as with "| head"
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except InvalidInput as wrong:
        for p in wrong.problems:
            got = f"; got {p.got!r}" if p.got is not None else ""
            accepted = f"; accepted: {p.accepted}" if p.accepted else ""
            print(f"boltspan: {p.pointer.strip('/') or 'input'}: {p.detail}{got}{accepted}", file=sys.stderr)
        return 1
    except BoltspanError as error:
        print(f"boltspan: {error}", file=sys.stderr)
        return 1
    else:
        return code
