"""A chart sent as text by a maintainer: read, answered row by row, and taken in once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.charts.headings import ChartMapping, mapping_from
from boltspan.domain.charts.rows import ChartRow
from boltspan.services.charts import Chart, Outcome, import_chart
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork

MOST_TEXT: Final = 250_000
"""Characters of a chart that is sent, some 4,000 rows: other writers wait while it is taken in."""
MOST_TOLD: Final = 2000
"""Outcomes that are told one by one; all are counted."""


def bring_chart(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Take in what the chart clearly says, or with ``preview`` only tell how it is read; nothing unclear is taken.

    ``data`` has document (the chart's own name) and text (with headings), and may have mapping, preview and propose
    (frames that are not known are proposed). The answer tells the outcomes of the rows in order, at most MOST_TOLD of
    them, and the counts of all. Raises InvalidInput for a chart without headings that serve.
    """
    person = actor.must("import_chart")
    return once(uow, clock, key, lambda: _bring(actor, person, uow, clock, data))


def _bring(actor: Actor, person: str, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Receipt:
    raw = str(data["text"]).encode()
    mapping = mapping_from(data["mapping"]) if "mapping" in data else ChartMapping()
    told: list[dict[str, Any]] = []
    numbers: Counter[str] = Counter()

    def tell(row: ChartRow, outcome: Outcome) -> None:
        numbers[outcome.outcome] += 1
        if len(told) < MOST_TOLD:
            told.append(_answer(row, outcome))

    before = uow.events.last()
    preview = bool(data.get("preview", False))
    propose = bool(data.get("propose", False))
    chart = Chart(lambda: [raw], str(data["document"]), person, mapping, propose)
    report = import_chart(actor, uow, clock, chart, tell, preview=preview)
    titles = zip(report.headings.titles, report.headings.roles, strict=True)
    body = {
        "document": report.document,
        "written": report.written,
        "headings": {"row": report.headings.row, "delimiter": report.headings.delimiter},
        "columns": [{"heading": title, "holds": role or "unread"} for title, role in titles],
        "counts": dict(sorted(numbers.items())),
        "outcomes": told,
    }
    return Receipt(body, f"/v1/changes?since={before}", 200 if preview else 201)


def _answer(row: ChartRow, outcome: Outcome) -> dict[str, Any]:
    found = {"row": outcome.row, "outcome": outcome.outcome, "quote": row.quote}
    more = ("field", "got", "code", "detail", "frame", "subject", "label")
    return found | {name: getattr(outcome, name) for name in more if getattr(outcome, name)}
