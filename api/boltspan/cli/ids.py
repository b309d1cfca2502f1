"""``boltspan id``: new random ids for records written by hand."""

from __future__ import annotations

import argparse
from typing import Final

from boltspan.domain.ids import KINDS, mint

MOST: Final = 10_000


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser("id", help="make new random ids, one a line")
    parser.add_argument("kind", choices=sorted(KINDS), metavar="KIND", help=", ".join(sorted(KINDS)))
    parser.add_argument("count", nargs="?", type=_count, default=1, metavar="N", help="how many (default 1)")
    parser.set_defaults(run=_run)


def _count(text: str) -> int:
    if text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= MOST:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is no number of ids; accepted: 1 to {MOST}")


def _run(args: argparse.Namespace) -> int:
    for _ in range(args.count):
        print(mint(args.kind))
    return 0
