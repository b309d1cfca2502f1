"""``boltspan resolve``: claims about mount ends in, probabilities and decisions out; JSON on both sides.

With ``--all`` it learns and weighs the records of the database anew instead, see ``relearn``.
"""

from __future__ import annotations

import argparse
import json
import sys
from typing import NoReturn, TextIO

from boltspan.cli.relearn import run_all
from boltspan.domain.errors import InvalidInput
from boltspan.services.resolving import resolve_document

DONE, REFUSED = 0, 2


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "resolve",
        help="say what claims about mount ends add up to (JSON in, JSON out), or learn and weigh the database anew",
    )
    parser.add_argument("--all", action="store_true", help="learn and weigh all records of the database anew")
    parser.add_argument("--publish", action="store_true", help="with --all: let answers rest on it, without asking")
    parser.add_argument("--json", action="store_true", help="with --all: write what changes as JSON")
    parser.set_defaults(run=_choose)


def _choose(args: argparse.Namespace) -> int:
    if args.all:
        return run_all(publishes=args.publish, as_json=args.json, out=sys.stdout, err=sys.stderr)
    if args.publish or args.json:
        return _refuse("--publish and --json go with --all", sys.stderr)
    return run(sys.stdin, sys.stdout, sys.stderr)


def run(stdin: TextIO, stdout: TextIO, stderr: TextIO) -> int:
    """Read a document with catalogue, ends and claims, and write the results; return 0, or 2 when it is refused.

    A refusal says on ``stderr`` what is wrong, naming the claim, and writes nothing to ``stdout``.
    """
    try:
        document = json.load(stdin, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        return _refuse(f"the input is not JSON: {error}", stderr)
    try:
        answer = resolve_document(document)
    except InvalidInput as error:
        return _refuse(error.problems[0].detail, stderr)
    stdout.write(json.dumps(answer, allow_nan=False) + "\n")
    return DONE


def _refuse(words: str, stderr: TextIO) -> int:
    print(f"boltspan resolve: {words}", file=stderr)
    return REFUSED


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")
