"""``boltspan bench``: the trade's arithmetic at the command line, each computation with the fields of its request."""

from __future__ import annotations

import argparse
import sys
import types
import typing
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, Final

from boltspan.cli.tables import told, wrapped
from boltspan.domain import jsontext
from boltspan.domain.answers import as_mapping, exact
from boltspan.domain.bench_cautions import BENCH_CAUTIONS
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.computations import COMPUTATIONS, Computation
from boltspan.domain.errors import BrokenJson, InvalidInput
from boltspan.domain.instruments import Instrument
from boltspan.domain.labels import label_answer
from boltspan.domain.questions import question_from
from boltspan.domain.swaps import REASONS

_CAUTIONS: Final = {**CAUTIONS, **BENCH_CAUTIONS}
_REQUEST: Final = "a request as JSON; - reads it from standard input. Options go before it"


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("bench", help="work out one of the bench's computations")
    actions = group.add_subparsers(dest="computation", required=True)
    labels = actions.add_parser("labels", help="read size labels")
    labels.add_argument("texts", nargs="+", metavar="TEXT")
    labels.add_argument("--json", action="store_true", help="print the answers as JSON")
    labels.set_defaults(run=_labels)
    for name, computation in COMPUTATIONS.items():
        parser = actions.add_parser(name, help=computation.text, description=f"{computation.text}. Lengths are in mm.")
        parser.add_argument("request", nargs="?", metavar="FILE", help=_REQUEST)
        parser.add_argument("--json", action="store_true", help="print the answer as JSON")
        for path, kind in _paths(computation.request):
            _add(parser, path, kind)
        parser.set_defaults(run=_work, name=name)


def read_json(name: str | None) -> dict[str, Any]:
    """Return the JSON object in the file ``name`` or, for ``-``, on standard input; an empty one for None.

    Raises BrokenJson, and InvalidInput for what is no object or a file that cannot be read.
    """
    if name is None:
        return {}
    try:
        raw = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as e:
        raise InvalidInput.one("/request", "unreadable", f"{name}: {e.strerror}") from e
    try:
        found = jsontext.loads(raw)
    except BrokenJson as broken:
        raise BrokenJson(f"the request is not JSON: {broken}") from None
    if not isinstance(found, dict):
        raise InvalidInput.one("", "not_an_object", "a JSON object is wanted", got=found, accepted="an object")
    return found


def number(text: str) -> Decimal:
    """Return a number of the command line; for argparse, which names the option when this raises."""
    try:
        found = Decimal(text)
    except InvalidOperation:
        found = Decimal("nan")
    if not found.is_finite():
        raise argparse.ArgumentTypeError(f"{text!r} is no number; give it in the option's unit, as in 22.2")
    return found


def pairs(given: typing.Sequence[str]) -> dict[str, Any]:
    """Return ``name=value`` words as an object: numbers as numbers, true and false, all else as text."""
    found: dict[str, Any] = {}
    for word in given:
        name, sign, value = word.partition("=")
        if not sign:
            raise InvalidInput.one("", "bad_form", "name=value is wanted", got=word, accepted="such as outer_mm=14.7")
        found[name] = _plain(value)
    return found


def _plain(text: str) -> Any:
    if text in ("true", "false"):
        return text == "true"
    try:
        found = Decimal(text)
    except InvalidOperation:
        return text
    return found if found.is_finite() else text


def _paths(kind: type[Any], before: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield the fields of a request with their types, those of a part of it under the part's name."""
    hints = typing.get_type_hints(kind)
    for each in fields(kind):
        of = _only(hints[each.name])
        if is_dataclass(of):
            yield from _paths(typing.cast("type[Any]", of), (*before, each.name))
        else:
            yield (*before, each.name), of


def _only(kind: Any) -> Any:
    """Return the type beside None."""
    if typing.get_origin(kind) in (typing.Union, types.UnionType):
        return next(each for each in typing.get_args(kind) if each is not type(None))
    return kind


def _add(parser: argparse.ArgumentParser, path: tuple[str, ...], kind: Any) -> None:
    option, name = "--" + "-".join(path).replace("_", "-"), "/".join(path)
    if typing.get_origin(kind) is tuple:
        inner = typing.get_args(kind)[0]
        if is_dataclass(inner):
            names = " ".join(f"{each.name}=..." for each in fields(typing.cast("type[Any]", inner)))
            parser.add_argument(option, dest=name, nargs="+", action="append", metavar="NAME=VALUE",
                                help=f"one of them: {names}; may be repeated")  # fmt: skip
        else:
            parser.add_argument(option, dest=name, nargs="+", type=number, metavar="N")
    elif kind is bool:
        parser.add_argument(option, dest=name, action=argparse.BooleanOptionalAction)
    elif kind is str:
        parser.add_argument(option, dest=name, metavar="WORD")
    else:
        parser.add_argument(option, dest=name, type=number, metavar="N")


def _labels(args: argparse.Namespace) -> int:
    answers = [label_answer(text) for text in args.texts]
    if args.json:
        print(jsontext.dumps(answers[0] if len(answers) == 1 else {"results": answers}, indent=2))
    else:
        for text, answer in zip(args.texts, answers, strict=True):
            print(f"{text!r}")
            for line in told(answer):
                print(f"  {line}")
    return int(any(answer["status"] == "refused" for answer in answers))


def _work(args: argparse.Namespace) -> int:
    computation = COMPUTATIONS[args.name]
    asked = question_from(computation.request, _asked(args, computation))
    answer = exact(as_mapping(computation.work(asked)))
    if args.json:
        print(jsontext.dumps(answer, indent=2))
        return 0
    for line in told({name: value for name, value in answer.items() if name != "cautions"}):
        print(line)
    for reason in answer.get("reasons", ()):
        for line in wrapped(REASONS[reason], first="because: "):
            print(line)
    for caution in answer.get("cautions", ()):
        for line in wrapped(_CAUTIONS[caution], first="beware: "):
            print(line)
    return 0


def _asked(args: argparse.Namespace, computation: Computation) -> dict[str, Any]:
    """Return the request: what the file or standard input holds, then the options, which go before it."""
    found = read_json(args.request)
    for path, kind in _paths(computation.request):
        given = getattr(args, "/".join(path))
        if given is None:
            continue
        if typing.get_origin(kind) is tuple and is_dataclass(typing.get_args(kind)[0]):
            given = [pairs(words) for words in given]
        at = found
        for part in path[:-1]:
            at = at.setdefault(part, {})
        at[path[-1]] = given
    _fill_instrument(found)
    return found


def _fill_instrument(found: dict[str, Any]) -> None:
    """Give an instrument of which just the kind (and step) is stated the usual limits of its kind."""
    given = found.get("instrument")
    if not isinstance(given, Mapping) or "kind" not in given or "limit_outside_mm" in given:
        return
    step, readings = given.get("resolution_mm"), found.get("readings_mm", ())
    if not isinstance(step, int | Decimal | None) or not isinstance(readings, list):
        return  # the request's own reader says what is wrong
    longest = max((Decimal(each) for each in readings if isinstance(each, int | Decimal)), default=Decimal(0))
    usual = Instrument.of_kind(str(given["kind"]), None if step is None else Decimal(step), longest)
    found["instrument"] = {**as_mapping(usual), **given}
