"""``boltspan resolve``: claims about mount ends in, probabilities and decisions out; JSON on both sides."""

from __future__ import annotations

import argparse
import json
import sys
from typing import NoReturn, TextIO

from boltspan.domain.errors import InvalidInput
from boltspan.services.resolving import resolve_document

DONE, REFUSED = 0, 2


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser("resolve", help="say what claims about mount ends add up to (JSON in, JSON out)")
    parser.set_defaults(run=lambda _: run(sys.stdin, sys.stdout, sys.stderr))


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
