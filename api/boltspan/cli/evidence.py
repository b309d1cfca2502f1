"""``boltspan evidence report``: how right and how sure the evidence model is on claims with known answers."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final, NoReturn

from boltspan.domain.errors import InvalidInput
from boltspan.services.calibrating import DRAWS, calibration_report

MOST_DRAWS: Final = 100_000
METHODS: Final = {
    "model": "the evidence model",
    "one_coin": "one-coin Dawid-Skene",
    "majority": "majority vote",
    "median": "median width, snapped",
}
"""What each method is called, in the order shown."""
COLUMNS: Final = {
    "accuracy": "right",
    "brier": "Brier",
    "log_loss": "log loss",
    "calibration_error": "ECE",
    "accepted": "accepted",
    "accepted_wrong": "wrong of accepted",
}
_DESCRIPTION: Final = """\
SET.json is what `boltspan resolve` takes (catalogue, ends, claims) with a list "answers" beside. An answer has end_id
and the true mount, with bolt_mm and width_mm for hardware:
  {"answers": [{"end_id": "e1", "mount": "hardware", "bolt_mm": 8, "width_mm": 30},
               {"end_id": "e2", "mount": "trunnion"}]}
An end with a running change has its second true value as "later" (an object of the same form); such ends count only in
the last line. The answers are looked at after everything is resolved."""
_LEGEND: Final = (
    "right: share of ends whose first candidate is true. Brier, log loss: lower is better. accepted: settled without a",
    "person. ECE: expected calibration error, how far stated probabilities are from the share that is right; chance",
    "alone adds to it, the more the fewer the ends, and once more in its interval.",
)


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("evidence", help="how far the evidence model can be relied on")
    actions = group.add_subparsers(dest="action", required=True)
    report = actions.add_parser(
        "report",
        help="calibration on claims with known answers, beside simpler methods",
        description=_DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    report.add_argument("set", metavar="SET.json", help="the claims and their answers; - for standard input")
    report.add_argument("--json", action="store_true", help="write the report as JSON")
    report.add_argument("--plot", metavar="FILE", type=Path, help="draw it too (.svg, .png or .pdf; extra: plots)")
    report.add_argument(
        "--draws", type=_draws, default=DRAWS, help=f"bootstrap draws behind each interval; 0: none ({DRAWS})"
    )
    report.set_defaults(run=run)


def _draws(text: str) -> int:
    if not text.isascii() or not text.isdecimal() or not 0 <= int(text) <= MOST_DRAWS:
        raise argparse.ArgumentTypeError(f"got {text!r}; accepted: a whole number from 0 to {MOST_DRAWS}")
    return int(text)


def run(args: argparse.Namespace) -> int:
    """Read the set and write the report; return 0, 1 when the set or the plot's file is refused."""
    if args.plot is not None:
        from boltspan.cli import calibration_plot

        if (refusal := calibration_plot.refusal(args.plot)) is not None:
            return _refuse(refusal)
    try:
        document = _read(args.set)
    except OSError as error:
        return _refuse(f"{args.set}: {error.strerror}")
    except (ValueError, RecursionError) as error:
        return _refuse(f"{args.set}: not JSON: {error}")
    try:
        report = calibration_report(document, draws=args.draws)
    except InvalidInput as error:
        return _refuse(f"{args.set}: {error.problems[0].detail}")
    if args.json:
        print(json.dumps(report, allow_nan=False))
    else:
        print("\n".join(table(report)))
    if args.plot is not None:
        try:
            calibration_plot.draw(report, METHODS, args.plot)
        except OSError as error:
            return _refuse(f"{args.plot}: {error.strerror}")
        print(f"drawn: {args.plot}", file=sys.stderr)
    return 0


def _read(name: str) -> Any:
    text = sys.stdin.read() if name == "-" else Path(name).read_text("utf-8")
    return json.loads(text, parse_constant=_refuse_constant)


def _refuse(words: str) -> int:
    print(f"boltspan evidence report: {words}", file=sys.stderr)
    return 1


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")


def table(report: Mapping[str, Any]) -> Iterator[str]:
    """Yield the report as lines of text: a block for each method, a line for each number of claims."""
    yield f"{report['ends']:,} ends with a known answer, {report['claims']:,} claims; model {report['model_version']}"
    left = report["not_scored"]
    yield (
        f"not scored: {left['no_answer']:,} without an answer, {left['no_claim']:,} without a claim, "
        f"{left['running_change']:,} with a running change"
    )
    if report["draws"]:
        yield f"in brackets: 95 % bootstrap intervals, {report['draws']:,} draws of whole frames, seed {report['seed']}"
    cells = {name: [_cells(group, row) for group, row in report["methods"][name].items()] for name in METHODS}
    head = ["claims", "ends", *COLUMNS.values()]
    every = [head, *(row for rows in cells.values() for row in rows)]
    widths = [max(len(row[place]) for row in every) for place in range(len(head))]
    for name, title in METHODS.items():
        yield ""
        yield title
        for row in (head, *cells[name]):
            yield "  " + "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))
    yield ""
    if changes := report.get("running_changes"):
        shares = ", ".join(f"{title} {changes[name]:.3f}" for name, title in METHODS.items())
        yield f"running changes accepted as one value: {shares}"
    yield from _LEGEND


def _cells(group: str, row: Mapping[str, Any]) -> list[str]:
    return [group, f"{row['ends']:,}", *(_cell(row[name]) for name in COLUMNS)]


def _cell(figure: Mapping[str, float]) -> str:
    if "low" not in figure:
        return f"{figure['value']:.4f}"
    return f"{figure['value']:.4f} [{figure['low']:.4f}, {figure['high']:.4f}]"
