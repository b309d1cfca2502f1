"""``boltspan resolve --all``: learn the evidence's rates from all records anew, say what would change, publish it."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, TextIO

from boltspan.bootstrap import open_storage, prepare
from boltspan.config import Config
from boltspan.domain import jsontext
from boltspan.domain.findings import Finding
from boltspan.services.answers import finding_answer
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import Storage, StoredSnapshot
from boltspan.services.relearning import FindingChange, changes, publish, work_out

_BAR: Final = 40
_SHOWN: Final = ("standing", "advice", "value", "confidence", "contested")


@dataclass(slots=True)
class _Report:
    """What would change: findings that come out otherwise, and how many have other probabilities only."""

    changed: list[FindingChange] = field(default_factory=list)
    confidences: int = 0


def run_all(*, publishes: bool, as_json: bool, out: TextIO, err: TextIO) -> int:
    """Work everything out anew, write what would change to ``out``, then publish it when told to; return 0.

    Without ``publishes`` a person at a terminal is asked, and nobody else: then nothing is published, and the same
    command with --publish goes on from there. Progress goes to ``err``.
    """
    config = Config.from_environment()
    storage, clock = open_storage(config), SystemClock()
    prepare(config, storage)
    draft = work_out(COMMAND_LINE, storage, clock, lambda done, of: _progress(err, done, of))
    err.write("\n")
    report = _gather(storage, draft)
    _write(report, draft, out, as_json=as_json)
    if not publishes and not _agreed(err):
        err.write("nothing was published; boltspan resolve --all --publish does it\n")
        return 0
    with storage.writing() as uow:
        told = publish(COMMAND_LINE, uow, clock, draft)
    err.write(f"published: {told} findings changed; the answers rest on snapshot {draft.id} now\n")
    return 0


def _progress(err: TextIO, done: int, of: int) -> None:
    share = done / of if of else 1.0
    err.write(f"\r[{'#' * int(_BAR * share):<{_BAR}}] {done} of {of} frames")
    err.flush()


def _agreed(err: TextIO) -> bool:
    if not sys.stdin.isatty():
        return False
    err.write("publish this? [y/N] ")
    err.flush()
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def _gather(storage: Storage, draft: StoredSnapshot) -> _Report:
    report = _Report()
    with storage.reading() as uow:
        for change in changes(uow, draft):
            if change.told or change.review is not None:
                report.changed.append(change)
            else:
                report.confidences += 1
    return report


def _write(report: _Report, draft: StoredSnapshot, out: TextIO, *, as_json: bool) -> None:
    if as_json:
        document = {
            "snapshot": draft.id,
            "model_version": draft.model_version,
            "changes": [_change(c) for c in report.changed],
            "other_probabilities": report.confidences,
        }
        out.write(jsontext.dumps(document, indent=2) + "\n")
        return
    rows = [("frame", "about", "stands", "would be", "review")]
    rows += [
        (c.stored.frame.id, f"{_name(c)} {c.after.subject}", _said(c.before), _said(c.after), c.review or "-")
        for c in report.changed
    ]
    for line in _table(rows) if report.changed else ():
        out.write(line.rstrip() + "\n")
    out.write(
        f"{len(report.changed)} findings would change; {report.confidences} would have other probabilities only\n"
    )


def _change(change: FindingChange) -> dict[str, Any]:
    found: dict[str, Any] = {
        "frame": change.stored.frame.id,
        "name": _name(change),
        "subject": change.after.subject,
        "before": _short(change.before),
        "after": _short(change.after),
    }
    return found | ({"review": change.review} if change.review is not None else {})


def _short(finding: Finding) -> Mapping[str, Any]:
    answer = finding_answer(finding)
    return {key: answer[key] for key in _SHOWN if key in answer}


def _name(change: FindingChange) -> str:
    frame = change.stored.frame
    return f"{frame.make}/{frame.model} {frame.years.start}"


def _said(finding: Finding) -> str:
    value = finding.value.label if finding.value is not None else "no value"
    sure = f" {finding.confidence:.4f}" if finding.confidence is not None else ""
    return f"{value} ({finding.standing}{', contested' if finding.contested else ''}){sure}"


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in rows]
