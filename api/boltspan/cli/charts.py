"""``boltspan claims``: take in a shop's chart as it is, shown back as understood."""

from __future__ import annotations

import argparse
import hashlib
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any, Final

from boltspan.bootstrap import open_storage, prepare
from boltspan.config import Config
from boltspan.dataset.releasing.cells import CsvFile
from boltspan.domain import jsontext
from boltspan.domain.charts.headings import ChartMapping, mapping_from
from boltspan.domain.charts.outcomes import OUTCOMES, TAKEN
from boltspan.domain.charts.rows import ChartRow
from boltspan.domain.ids import check_id, mint
from boltspan.services.charts import Chart, ChartReport, Outcome, import_chart
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE

COLUMNS: Final = ("row", "outcome", "field", "got", "code", "reason")
"""Columns of the file of what was not taken."""
_CHUNK: Final = 1 << 16


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("claims", help="take in what a shop's chart says")
    actions = group.add_subparsers(dest="action", required=True)
    bring = actions.add_parser(
        "import",
        help="make a claim of everything that a chart clearly says of a known frame",
        description="Reads a chart with headings such as make, model, year, front, rear. What cannot be read or placed "
        "for sure is not taken, and listed with the reason.",
    )
    bring.add_argument("chart", metavar="CHART.csv", type=Path)
    bring.add_argument("--preview", action="store_true", help="show how each row is read; write nothing")
    bring.add_argument(
        "--propose", action="store_true", help="propose the frames of makes and models that are not known"
    )
    bring.add_argument("--mapping", metavar="FILE", type=Path, help="JSON that says what each column and word means")
    bring.add_argument("--save-mapping", metavar="FILE", type=Path, help="write how the columns were read, as JSON")
    bring.add_argument(
        "--by", metavar="PERSON", help="id of who brings it (p-...); absent: a new one, which is printed"
    )
    bring.add_argument(
        "--document",
        metavar="NAME",
        help="the chart's own name, the same for each edition, so that editions count once; absent: the file's name "
        "and hash",
    )
    bring.add_argument("--refused", metavar="OUT.csv", type=Path, help="write what was not taken, with the reason")
    bring.set_defaults(run=_import)


def _import(args: argparse.Namespace) -> int:
    try:
        chart = _chart(args)
        return _bring(args, chart)
    except OSError as e:
        print(f"boltspan: {e.filename}: {e.strerror}", file=sys.stderr)
        return 1


def _bring(args: argparse.Namespace, chart: Chart) -> int:
    config = Config.from_environment()
    storage = open_storage(config)
    prepare(config, storage)
    with ExitStack() as open_files:
        refused: CsvFile | None = None
        if args.refused is not None:
            file = open_files.enter_context(args.refused.open("w", encoding="utf-8", newline=""))
            refused = CsvFile(file, COLUMNS)
        with storage.reading() if args.preview else storage.writing() as uow:
            tell = _teller(refused, whole=args.preview)
            report = import_chart(COMMAND_LINE, uow, SystemClock(), chart, tell, preview=args.preview)
    if args.save_mapping is not None:
        args.save_mapping.write_text(jsontext.dumps(report.headings.mapping(chart.mapping)) + "\n", "utf-8")
    for line in _summary(report, chart):
        print(line)
    return 0


def _chart(args: argparse.Namespace) -> Chart:
    path: Path = args.chart

    def chunks() -> Iterator[bytes]:
        with path.open("rb") as file:
            while chunk := file.read(_CHUNK):
                yield chunk

    document = args.document
    if document is None:
        sha256 = hashlib.sha256()
        for chunk in chunks():
            sha256.update(chunk)
        document = f"{path.name}, sha256 {sha256.hexdigest()[:12]}"
    by = check_id("person", args.by, "/by") if args.by is not None else mint("person")
    return Chart(chunks, document, by, _mapping(args.mapping), args.propose)


def _mapping(path: Path | None) -> ChartMapping:
    return ChartMapping() if path is None else mapping_from(jsontext.loads(path.read_bytes()))


def _teller(refused: CsvFile | None, *, whole: bool) -> Callable[[ChartRow, Outcome], None]:
    """Return what writes down each outcome: a preview prints all, else what is not taken is listed once."""

    def tell(row: ChartRow, outcome: Outcome) -> None:
        taken = outcome.outcome in TAKEN
        if refused is not None and not taken:
            refused.write(_cells(outcome))
        if whole or (refused is None and not taken):
            print(_line(row, outcome))

    return tell


def _cells(outcome: Outcome) -> dict[str, Any]:
    reason = outcome.detail or OUTCOMES[outcome.outcome]
    values = (outcome.row, outcome.outcome, outcome.field, outcome.got, outcome.code, reason)
    return dict(zip(COLUMNS, values, strict=True))


def _line(row: ChartRow, outcome: Outcome) -> str:
    start = f"row {outcome.row:<6} {outcome.outcome:<12} "
    if outcome.outcome in TAKEN:
        named = f"{row.make} {row.model}".strip()
        frame = outcome.frame or "a frame to propose,"
        return f"{start} {named}, {frame} {outcome.subject}: {outcome.label}   <- {outcome.got!r}"
    if not outcome.code:
        return f"{start} {row.quote!r}"
    got = f" {outcome.got!r}" if outcome.got else ""
    return f"{start} {outcome.field}{got}: {outcome.detail} [{outcome.code}]"


def _summary(report: ChartReport, chart: Chart) -> Iterator[str]:
    delimiter = {"\t": "tab"}.get(report.headings.delimiter, report.headings.delimiter)
    yield f"read as {report.encoding}, cells set apart by {delimiter}, headings in row {report.headings.row}"
    pairs = zip(report.headings.titles, report.headings.roles, strict=True)
    yield "columns: " + "; ".join(f"{title or '(no heading)'} = {role or 'not read'}" for title, role in pairs)
    yield f"document: {report.document} (file sha256 {report.sha256}), brought by {chart.by}"
    for outcome, meaning in OUTCOMES.items():
        if number := report.counts.get(outcome, 0):
            yield f"{number:>7}  {outcome}: {meaning}"
    if not report.written:
        yield "a preview; nothing was written"
    elif report.counts.get("added", 0) or report.counts.get("proposed", 0):
        yield "all claims were written"
    else:
        yield "there was no new claim; nothing was written"
