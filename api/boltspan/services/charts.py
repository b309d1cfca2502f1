"""Importing a shop's chart: every row as it is understood, all that is good written at once, nothing guessed."""

from __future__ import annotations

import hashlib
import itertools
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from boltspan.domain.charts.headings import LOOKED_AT, ChartMapping, Headings, find_headings
from boltspan.domain.charts.rows import ChartRow, RowReader, Said
from boltspan.domain.charts.table import table_rows
from boltspan.domain.charts.text import Encoding, decoded, encoding_of, lines
from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput
from boltspan.domain.findings import Finding
from boltspan.domain.frames import Frame, Years, subject_named
from boltspan.domain.ids import mint
from boltspan.domain.sources import MOST_DOCUMENT, Source
from boltspan.domain.values import EndValue, Value, agree
from boltspan.services.cases import open_case
from boltspan.services.chart_frames import ChartFrames, Unplaced
from boltspan.services.chart_proposals import Proposals
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.publishing import findings_of, republish

_BATCH: Final = 500
_NAMED: Final = 5

Chunks = Callable[[], Iterable[bytes]]
"""The chart's bytes, from the start each time it is called."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one thing that a row says: the field and what stood there; frame, end and size, or the reason."""

    row: int
    outcome: str
    field: str = ""
    got: str = ""
    code: str = ""
    detail: str = ""
    frame: str = ""
    subject: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart about to be read: its bytes, its own name, the person who brings it, and what is said of its columns.

    With ``propose`` the frames of makes and models that are not known are proposed.
    """

    chunks: Chunks
    document: str
    by: str
    mapping: ChartMapping = ChartMapping()
    propose: bool = False


@dataclass(frozen=True, slots=True)
class ChartReport:
    """How a chart was read and what became of it: ``counts`` by outcome; ``written`` unless it was a preview."""

    encoding: str
    headings: Headings
    document: str
    sha256: str
    counts: Mapping[str, int]
    written: bool


@dataclass(frozen=True, slots=True)
class _Statement:
    """What a row says of one end of one frame."""

    row: ChartRow
    said: Said
    frame: Frame
    subject: str

    @property
    def value(self) -> EndValue:
        return self.said.end.value


def import_chart(
    actor: Actor,
    uow: UnitOfWork,
    clock: Clock,
    chart: Chart,
    tell: Callable[[ChartRow, Outcome], None],
    *,
    preview: bool = False,
) -> ChartReport:
    """Write a claim for everything the chart clearly says of a known frame, or with ``preview`` write nothing.

    ``tell`` is called for each thing every row says, in order, with what becomes of it. The chart is read three times
    in bounded memory: for its encoding, for ends it contradicts itself about (all held), and to be taken in; a fourth
    time for the frames that it proposes. What the same document has said before, in whatever state its claim is now,
    is not said again. Claims of one document count once, whoever brings it.

    Raises InvalidInput when no headings are found or the document's name does not serve; NotAllowed.
    """
    actor.permitted("import_chart")
    if not 1 <= len(chart.document.strip()) <= MOST_DOCUMENT:
        raise InvalidInput.one("/document", "bad_length", "a document has a name", got=chart.document,
                               accepted=f"1 to {MOST_DOCUMENT} characters")  # fmt: skip
    encoding = encoding_of(chart.chunks())
    headings = find_headings(list(itertools.islice(_lines(chart, encoding), LOOKED_AT)), chart.mapping)
    places = _Places(uow, chart, _rows(chart, encoding, headings))
    own_words = _OwnWords()
    for _, found in _statements(_rows(chart, encoding, headings), places):
        if isinstance(found, _Statement):
            own_words.hear(found)
    sha256 = _sha256(chart)
    taking = _Taking(actor, uow, clock, chart, sha256, places.proposals, preview=preview)
    counts: Counter[str] = Counter()
    for row, found in _statements(_rows(chart, encoding, headings), places):
        outcome = found if isinstance(found, Outcome) else own_words.contradiction(found) or taking.take(found)
        counts[outcome.outcome] += 1
        tell(row, outcome)
    taking.finish()
    return ChartReport(encoding.said, headings, chart.document, sha256, counts, not preview)


def _lines(chart: Chart, encoding: Encoding) -> Iterator[str]:
    return lines(decoded(chart.chunks(), encoding))


def _sha256(chart: Chart) -> str:
    found = hashlib.sha256()
    for chunk in chart.chunks():
        found.update(chunk)
    return found.hexdigest()


class _Places:
    """Where the rows of a chart belong: known frames, and with ``chart.propose`` those that its ``rows`` propose."""

    def __init__(self, uow: UnitOfWork, chart: Chart, rows: Iterable[ChartRow]) -> None:
        self._known = ChartFrames(uow)
        self.proposals = Proposals(uow, self._known) if chart.propose else None
        for row in rows if self.proposals is not None else ():
            found = self._of_known(row) if row.said else []
            if isinstance(found, Unplaced) and self.proposals is not None:
                self.proposals.hear(row, found)

    def frames(self, row: ChartRow) -> list[Frame] | Unplaced:
        """Return the frames that the row is about, by first year, or why none."""
        found = self._of_known(row)
        if isinstance(found, Unplaced) and self.proposals is not None:
            return self.proposals.frames(row, found)
        return found

    def _of_known(self, row: ChartRow) -> list[Frame] | Unplaced:
        key = self._known.model(row.make, row.model)
        return key if isinstance(key, Unplaced) else self._known.frames(key, row.years)


def _rows(chart: Chart, encoding: Encoding, headings: Headings) -> Iterator[ChartRow]:
    reader = RowReader(headings, chart.mapping)
    for table_row in table_rows(_lines(chart, encoding), headings.delimiter):
        row = reader.read(table_row)
        if row is not None:
            yield row


def _statements(rows: Iterable[ChartRow], places: _Places) -> Iterator[tuple[ChartRow, _Statement | Outcome]]:
    """Yield what each row says, frame by frame, or why it is not taken."""
    for row in rows:
        if not row.said and not row.not_taken:
            yield row, Outcome(row.number, "says_nothing")
        for not_taken in row.not_taken:
            why = (not_taken.field, not_taken.got, not_taken.code, not_taken.detail)
            yield row, Outcome(row.number, "refused", *why)
        if row.said:
            yield from ((row, found) for found in _placed(row, places))


def _placed(row: ChartRow, places: _Places) -> Iterator[_Statement | Outcome]:
    found = places.frames(row)
    if isinstance(found, Unplaced):
        outcome = "held" if found.held else "unknown"
        yield Outcome(row.number, outcome, "frame", _shown(row), found.code, found.detail)
        return
    for frame in found:
        for said in row.said:
            yield from _of_ends(row, said, frame)
    if beyond := _without_frame(row.years, found):
        detail = f"no frame is known for {', '.join(map(str, beyond))}; the other years of the row are taken"
        yield Outcome(row.number, "unknown", "frame", _shown(row), "no_frame_in_some_years", detail)


def _shown(row: ChartRow) -> str:
    return f"{row.make} {row.model} {_years_text(row.years)}".strip()


def _without_frame(years: tuple[Years, ...] | None, frames: list[Frame]) -> list[int]:
    """Return the years that are named and belong to none of the frames; of "2019+" those before its last frame."""
    newest = max(frame.years.end or frame.years.start for frame in frames)
    named = {year for span in years or () for year in range(span.start, (span.end or newest) + 1)}
    return sorted(year for year in named if not any(frame.years.holds(year) for frame in frames))


def _of_ends(row: ChartRow, said: Said, frame: Frame) -> Iterator[_Statement | Outcome]:
    name = said.end.end
    try:
        if not name:
            raise InvalidInput.one("", "which_end", f"which end is meant, {' or '.join(frame.ends)}?")
        subjects = frame.ends if name == "both" else (subject_named(frame, name, ""),)
    except InvalidInput as unclear:
        problem = unclear.problems[0]
        yield Outcome(row.number, "held", said.field, said.got, "which_end", problem.detail, frame.id)
        return
    for subject in subjects:
        yield _Statement(row, said, frame, subject)


def _years_text(years: tuple[Years, ...] | None) -> str:
    if years is None:
        return "all years"
    return ", ".join(map(_span_text, years))


def _span_text(years: Years) -> str:
    if years.end is None:
        return f"{years.start}+"
    return str(years.start) if years.end == years.start else f"{years.start}-{years.end}"


def _of_frame(years: tuple[Years, ...] | None, frame: Frame) -> list[Years | None]:
    """Return the spans of the row that touch the frame's years, as the row states them."""
    return [None] if years is None else [span for span in years if span.overlaps(frame.years)]


class _OwnWords:
    """What the chart says of each end of each frame, to find where it contradicts itself.

    Keeps each different statement once, so that memory grows with what is said and not with the rows.
    """

    def __init__(self) -> None:
        self._heard: dict[tuple[str, str], dict[tuple[EndValue, Years | None], int]] = defaultdict(dict)

    def hear(self, found: _Statement) -> None:
        """Take one statement in."""
        heard = self._heard[found.frame.id, found.subject]
        for years in _of_frame(found.row.years, found.frame):
            heard.setdefault((found.value, years), found.row.number)

    def contradiction(self, found: _Statement) -> Outcome | None:
        """Return that the statement is held, when another row says something else of the same end and year."""
        spans = _of_frame(found.row.years, found.frame)
        others = {
            row: value.label
            for (value, years), row in self._heard[found.frame.id, found.subject].items()
            if not agree(value, found.value) and any(_touch(years, span) for span in spans)
        }
        if not others:
            return None
        rows = ", ".join(f"row {row} says {label}" for row, label in sorted(others.items())[:_NAMED])
        detail = f"the chart contradicts itself about the {found.subject} end: {rows}"
        return Outcome(found.row.number, "held", found.said.field, found.said.got, "contradicts_itself", detail,
                       found.frame.id, found.subject, found.value.label)  # fmt: skip


def _touch(a: Years | None, b: Years | None) -> bool:
    return a is None or b is None or a.overlaps(b)


class _Taking:
    """Writes claims in batches inside the open transaction, then brings answers and review cases in step."""

    def __init__(
        self,
        actor: Actor,
        uow: UnitOfWork,
        clock: Clock,
        chart: Chart,
        sha256: str,
        proposals: Proposals | None,
        *,
        preview: bool,
    ) -> None:
        self._person, self._uow, self._clock = actor.person, uow, clock
        self._chart, self._sha256, self._proposals, self._preview = chart, sha256, proposals, preview
        self._known: dict[str, set[tuple[str, Value | None, Years | None]]] = {}
        self._batch: list[Claim] = []
        self._touched: dict[str, int] = {}
        self._subjects: dict[str, set[str]] = defaultdict(set)

    def take(self, found: _Statement) -> Outcome:
        """Return what becomes of a statement, and store its claims unless they are said already."""
        known = self._said_of(found.frame)
        new = [y for y in _of_frame(found.row.years, found.frame) if (found.subject, found.value, y) not in known]
        for years in new:
            known.add((found.subject, found.value, years))
            if not self._preview:
                self._add(found, years)
        waits = self._proposals is not None and self._proposals.waits(found.frame)
        outcome = "said_already" if not new else "proposed" if waits else "added"
        # The id that a preview would give a frame is not the one it gets.
        frame = "" if self._proposals is not None and self._proposals.new(found.frame) else found.frame.id
        return Outcome(found.row.number, outcome, found.said.field, found.said.got, frame=frame,
                       subject=found.subject, label=found.value.label)  # fmt: skip

    def _said_of(self, frame: Frame) -> set[tuple[str, Value | None, Years | None]]:
        """Return what this document has said of the frame, claims that count no more included."""
        if frame.id not in self._known:
            claims = self._uow.statements.claims(frame.id)
            self._known[frame.id] = {
                (c.subject, c.value, c.years)
                for c in claims
                if c.source.kind == "retailer_chart" and c.source.document == self._chart.document
            }
        return self._known[frame.id]

    def _add(self, found: _Statement, years: Years | None) -> None:
        if self._proposals is not None and self._proposals.new(found.frame):
            self._proposals.store(self._clock, self._person, self._chart.by, found.frame)
        page = f"row {found.row.number} of the file with sha256 {self._sha256[:12]}"
        source = Source("retailer_chart", self._chart.by, self._clock.today(), self._chart.document,
                        page=page, quote=found.row.quote)  # fmt: skip
        claim = Claim(mint("claim"), found.frame.id, found.subject, source, found.value, years)
        payload: dict[str, Any] = {"claim": claim.id}
        sequence = self._uow.events.record(
            self._person, "claim_added", frame=claim.frame, subject=claim.subject, payload=payload
        )
        self._touched[claim.frame] = sequence
        self._subjects[claim.frame].add(claim.subject)
        self._batch.append(replace(claim, sequence=sequence))
        if len(self._batch) >= _BATCH:
            self._flush()

    def _flush(self) -> None:
        self._uow.statements.add_claims(self._batch)
        self._batch = []

    def finish(self) -> None:
        """Store the last batch; encode the touched frames' answers; open a case where claims contradict each other."""
        self._flush()
        stored = {}
        for frame_id, sequence in self._touched.items():
            before = self._uow.catalogue.frame(frame_id)
            assert before is not None, "a frame that was found is not deleted"
            self._uow.catalogue.put_frame(replace(before, sequence=sequence))
            stored[frame_id] = before.frame
        republish(self._uow, self._touched)
        frames = list(stored.values())
        for start in range(0, len(frames), _BATCH):
            for frame_id, findings in findings_of(self._uow, frames[start : start + _BATCH]).items():
                self._open_disputed(frame_id, findings)

    def _open_disputed(self, frame_id: str, findings: Iterable[Finding]) -> None:
        for finding in findings:
            disputed = finding.contested or (finding.standing == "disputed" and finding.decision is None)
            if disputed and finding.subject in self._subjects[frame_id]:
                last = self._touched[frame_id]
                open_case(self._uow, self._clock, frame_id, finding.subject, "disputed", last, finding)
