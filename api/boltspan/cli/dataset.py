"""``boltspan dataset``: check, format, start, import and export the record files."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from boltspan.bootstrap import dataset_of, open_storage, prepare
from boltspan.config import Config
from boltspan.dataset.contents import Dataset
from boltspan.dataset.files import check_folder, format_folder, new_dataset, read_dataset, write_dataset
from boltspan.dataset.fingerprint import fingerprint
from boltspan.dataset.plan import ImportPlan
from boltspan.dataset.problems import DatasetBroken, Problem
from boltspan.services.clock import SystemClock
from boltspan.services.datasets import ImportReport, export_dataset, import_dataset
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import Storage, UnitOfWork


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("dataset", help="check, format, start, import and export the record files")
    actions = group.add_subparsers(dest="action", required=True)
    check = actions.add_parser("check", help="name everything that is wrong with the files")
    check.add_argument("dir", metavar="DIR", type=Path, nargs="?", help="absent: the dataset that fills a database")
    check.set_defaults(run=_check)
    neat = actions.add_parser("format", help="put keys, lists and line breaks in order")
    neat.add_argument("dir", metavar="DIR", type=Path, nargs="?", help="absent: the dataset that fills a database")
    neat.set_defaults(run=_format)
    new = actions.add_parser("new", help="start a real, empty dataset")
    new.add_argument("dir", metavar="DIR", type=Path)
    new.add_argument("--title", default="Frames and their mounting hardware", help="the dataset's title")
    new.set_defaults(run=_new)
    bring = actions.add_parser("import", help="merge the files into the database, all of it or nothing")
    bring.add_argument("dir", metavar="DIR", type=Path)
    bring.add_argument("--preview", action="store_true", help="only show what would change, and what clashes")
    bring.set_defaults(run=_import)
    export = actions.add_parser("export", help="write the database's records as files")
    export.add_argument("dir", metavar="DIR", type=Path)
    export.set_defaults(run=_export)


def _folder(args: argparse.Namespace) -> Path:
    given: Path | None = args.dir
    return given if given is not None else dataset_of(Config.from_environment())


def _check(args: argparse.Namespace) -> int:
    root = _folder(args)
    checked = check_folder(root)
    _tell(checked.problems, root)
    errors, warnings = len(checked.errors), len(checked.problems) - len(checked.errors)
    print(f"{root}: {_counted(errors, 'error')}, {_counted(warnings, 'warning')}", file=sys.stderr)
    return int(errors > 0)


def _format(args: argparse.Namespace) -> int:
    root = _folder(args)
    for path in format_folder(root):
        print(path)
    unread = [p for p in check_folder(root).problems if p.code == "json"]
    _tell(unread, root)
    return int(bool(unread))


def _new(args: argparse.Namespace) -> int:
    new_dataset(args.dir, args.title)
    print(f"{args.dir}: a real, empty dataset; BOLTSPAN_DATASET={args.dir} fills an empty database from it")
    return 0


def _import(args: argparse.Namespace) -> int:
    """Import; an empty database is filled from the files themselves, never from the shipped ones first."""
    try:
        dataset = read_dataset(args.dir)
    except DatasetBroken as broken:
        _tell(broken.problems, args.dir)
        print(f"boltspan: nothing was imported: {_counted(len(broken.problems), 'error')}", file=sys.stderr)
        return 1
    config = Config.from_environment()
    storage = open_storage(config)
    if args.preview and not _is_filled(storage):
        print("nothing to compare with: the database is empty or not prepared. Importing prepares it, and fills an")
        print(f"empty one with {_holding(dataset)}.")
        return 0
    filled = _is_filled(storage)
    prepare(replace(config, dataset=str(args.dir)), storage)
    with storage.writing() as uow:
        report = import_dataset(COMMAND_LINE, uow, dataset, SystemClock(), preview=args.preview)
        if report.plan.stands and not args.preview:
            _note_files(uow, config, args.dir, dataset.head)
    if not filled and report.plan.empty:
        print(f"the database was empty and now holds {_holding(dataset)}, up to event {report.head}")
        return 0
    for line in _report(report, args.dir):
        print(line)
    return int(not report.plan.stands)


def _export(args: argparse.Namespace) -> int:
    config = Config.from_environment()
    storage = open_storage(config)
    prepare(config, storage)
    with storage.reading() as uow:
        dataset = export_dataset(uow)
    try:
        changed = write_dataset(dataset, args.dir)
    except OSError as e:
        print(f"boltspan: {args.dir} is not complete: {e}; export again when it can be written", file=sys.stderr)
        return 1
    with storage.writing() as uow:
        _note_files(uow, config, args.dir, dataset.head)
    print(f"{args.dir}: {_holding(dataset)}, at event {dataset.head}; {_counted(len(changed), 'file')} changed")
    return 0


def _is_filled(storage: Storage) -> bool:
    """Return whether the database has its tables and an event."""
    if storage.ready():
        return False
    with storage.reading() as uow:
        return uow.events.last() > 0


def _note_files(uow: UnitOfWork, config: Config, root: Path, head: int) -> None:
    """Write down that the database holds what the files in ``root`` say, when these are the ones it starts from."""
    if root.resolve() == dataset_of(config).resolve():
        uow.settings.put("files_sha256", fingerprint(root))
        uow.settings.put("head", str(head))


def _holding(dataset: Dataset) -> str:
    parts = ((dataset.makes, "make"), (dataset.models, "model"), (dataset.entries, "frame"), (dataset.shocks, "shock"))
    return ", ".join(_counted(len(records), name) for records, name in parts)


def _report(report: ImportReport, root: Path) -> Iterator[str]:
    """Yield the report for people: what is added and changed, what it does to the answers, what stands in the way."""
    plan = report.plan
    yield from _additions(plan)
    yield from (f"change  {change.text()}" for change in plan.changes)
    yield from (f"answer  {change.text()}" for change in report.answers)
    yield from (f"clash   {conflict.text()}" for conflict in plan.conflicts)
    yield from (f"breaks  {_with_folder(problem, root)}" for problem in plan.problems)
    if not plan.stands:
        yield "nothing was imported; export anew, carry your changes over, and import again"
    elif plan.empty:
        yield "nothing to import: the database holds all of it"
    else:
        yield f"imported, up to event {report.head}" if report.written else "a preview; nothing was written"


def _additions(plan: ImportPlan) -> Iterator[str]:
    if plan.title is not None:
        yield f"change  title: {plan.title}"
    yield from (f"add     make {m.slug}" for m in plan.makes)
    yield from (f"add     model {m.make}/{m.slug}" for m in plan.models)
    yield from (f"add     frame {e.frame.id} of {e.frame.make}/{e.frame.model}" for e in plan.frames)
    yield from (f"list    frame {f.id}, proposed before" for f in plan.listed)
    yield from (f"add     shock model {m.make}/{m.slug}" for m in plan.shock_models)
    yield from (f"add     shock {e.shock.id} of {e.shock.make}/{e.shock.model}" for e in plan.shocks)
    yield from (f"add     hardware sizes {row.id}" for row in plan.hardware)
    yield from (f"change  hardware sizes {row.id}: withdrawn" for row in plan.hardware_withdrawn)
    yield from (f"add     claim {c.id} on {c.frame} {c.subject}" for c in plan.claims)
    yield from (f"change  claim {c.id} on {c.frame} {c.subject}: {c.state}" for c in plan.restated)
    yield from (f"add     decision {d.id} on {d.frame} {d.subject}: {d.ruling}" for d in plan.decisions)


def _tell(problems: Iterable[Problem], root: Path) -> None:
    for problem in problems:
        print(_with_folder(problem, root))


def _with_folder(problem: Problem, root: Path) -> str:
    """Return the problem's text with the folder itself in the command that helps."""
    if problem.fix is not None:
        problem = replace(problem, fix=problem.fix.replace("DIR", str(root)))
    return problem.text()


def _counted(number: int, name: str) -> str:
    return f"{number} {name}{'' if number == 1 else 's'}"
