"""``boltspan label``: read a size as somebody wrote it."""

from __future__ import annotations

import argparse

from boltspan.domain import jsontext
from boltspan.domain.labels import WARNINGS, RefusedLabel, label_answer, read_label


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser("label", help='read a size as written, such as "30 x M8"')
    parser.add_argument("text")
    parser.add_argument("--json", action="store_true", help="print the answer of POST /v1/bench/labels")
    parser.set_defaults(run=_run)


def _run(args: argparse.Namespace) -> int:
    read = read_label(args.text)
    if args.json:
        print(jsontext.dumps(label_answer(args.text), indent=2))
    elif isinstance(read, RefusedLabel):
        print(f"not read ({read.reason}): {read.advice}")
    else:
        print(read.canonical)
        for warning in read.warnings:
            print(f"beware ({warning}): {WARNINGS[warning]}")
    return int(isinstance(read, RefusedLabel))
