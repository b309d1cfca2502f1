"""Makes, models and frames in the database."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any, Final

from sqlalchemy import ColumnElement, Row, Select, delete, exists, func, or_, select, tuple_

from boltspan.domain.frames import Frame, Make, Model, Qualifier, SameEnds, Years
from boltspan.domain.lengths import SAME_SIZE_MM, to_nm
from boltspan.domain.records import qualifier_json
from boltspan.services.protocols import FrameQuery, StoredFrame
from boltspan.storage.queries import Queries, chunks
from boltspan.storage.source_columns import source_of, source_row
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import claims, decisions, findings, frames, makes, models, same_ends, shocks

_FRAMES: Final[Select[Any]] = select(frames, *(c for c in same_ends.c if c.name != "frame")).outerjoin(same_ends)
_ORDER: Final = (frames.c.make, frames.c.model, frames.c.year_from, frames.c.id)


class SqlCatalogue(Queries):
    """Makes, models and frames."""

    def makes(self) -> list[Make]:
        """Return the makes by slug; not those with nothing but proposed frames and shocks."""
        own, own_shocks = frames.c.make == makes.c.slug, shocks.c.make == makes.c.slug
        shown = or_(
            exists().where(own, frames.c.listed),
            exists().where(own_shocks, shocks.c.listed),
            ~exists().where(own) & ~exists().where(own_shocks),
        )
        return [_make(row) for row in self._all(select(makes).where(shown).order_by(makes.c.slug))]

    def make(self, slug: str) -> Make | None:
        """Return the make, or None."""
        row = self._one(select(makes).where(makes.c.slug == slug))
        return None if row is None else _make(row)

    def put_make(self, make: Make) -> None:
        """Insert the make, or replace the one with its slug."""
        self._put(makes, [{"slug": make.slug, "name": make.name, "aliases": dumps(make.aliases)}])

    def models(self, make: str | None = None) -> list[Model]:
        """Return the models, of one make or all, by make and slug; not those with nothing but proposed frames."""
        own = (frames.c.make == models.c.make) & (frames.c.model == models.c.slug)
        shown = or_(exists().where(own, frames.c.listed), ~exists().where(own))
        statement = select(models).where(shown).order_by(models.c.make, models.c.slug)
        if make is not None:
            statement = statement.where(models.c.make == make)
        return [_model(row) for row in self._all(statement)]

    def model(self, make: str, slug: str) -> Model | None:
        """Return the model, whatever its frames are, or None."""
        row = self._one(select(models).where(models.c.make == make, models.c.slug == slug))
        return None if row is None else _model(row)

    def put_model(self, model: Model) -> None:
        """Insert the model, or replace the one with its make and slug. Raises Clash when there is no such make."""
        row = {"make": model.make, "slug": model.slug, "name": model.name, "aliases": dumps(model.aliases)}
        self._put(models, [row])

    def frame(self, frame_id: str) -> StoredFrame | None:
        """Return the frame, whatever became of its record, or None."""
        row = self._one(_FRAMES.where(frames.c.id == frame_id))
        return None if row is None else _stored(row)

    def frames(self, frame_ids: Sequence[str]) -> list[StoredFrame]:
        """Return the frames with these ids by id, whatever became of their records; unknown ids are passed over."""
        every = (self._all(_FRAMES.where(frames.c.id.in_(some))) for some in chunks(sorted(set(frame_ids))))
        return [_stored(row) for rows in every for row in sorted(rows, key=lambda row: str(row.id))]

    def frames_of(self, make: str, model: str) -> list[StoredFrame]:
        """Return every frame of the model, proposals and other records too, by first year and id."""
        of_model = _FRAMES.where(frames.c.make == make, frames.c.model == model)
        return [_stored(row) for row in self._pages(of_model, _ORDER)]

    def find(self, query: FrameQuery) -> list[StoredFrame]:
        """Return the listed, live frames that meet ``query``, by make, model, first year and id.

        Size, mount and standing must hold at one and the same subject; a size matches within 0.03 mm, the limit
        included, against the value that is shown. No ``models`` given as an empty tuple: nothing is found.
        """
        statement = _FRAMES.where(*_conditions(query))
        if query.models is None:
            return [_stored(row) for row in self._pages(statement, _ORDER, after=query.after, limit=query.limit)]
        found: list[StoredFrame] = []
        for pairs in chunks(sorted(set(query.models))):  # in order, so one chunk's frames stand before the next one's
            among = statement.where(tuple_(frames.c.make, frames.c.model).in_(pairs))
            left = query.limit - len(found)
            found += [_stored(row) for row in self._pages(among, _ORDER, after=query.after, limit=left)]
        return found

    def proposed_by(self, person: str) -> list[StoredFrame]:
        """Return the frames that the person proposed, listed by now or not, by make, model, first year and id."""
        return [_stored(row) for row in self._pages(_FRAMES.where(frames.c.proposed_by == person), _ORDER)]

    def every_frame(self) -> Iterator[StoredFrame]:
        """Yield all frames of every record kind, proposals too, by make, model, first year and id."""
        return map(_stored, self._pages(_FRAMES, _ORDER))

    def put_frame(self, stored: StoredFrame) -> None:
        """Insert the frame, or replace the one with its id. Raises Clash when there is no such model."""
        self._put(frames, [_frame_row(stored)])
        mapped = stored.frame.same_ends
        if mapped is None:
            self._connection.execute(delete(same_ends).where(same_ends.c.frame == stored.frame.id))
        else:
            names = {"frame": stored.frame.id, "names": dumps(mapped.names)}
            self._put(same_ends, [names | source_row(mapped.source)])

    def count(self) -> dict[str, int]:
        """Return how many rows each kind has, proposals and withdrawn ones included."""
        tables = {"makes": makes, "models": models, "frames": frames, "claims": claims, "decisions": decisions}
        counts = [select(func.count()).select_from(t).scalar_subquery().label(name) for name, t in tables.items()]
        return {name: int(n) for name, n in self._connection.execute(select(*counts)).one()._mapping.items()}


def _conditions(query: FrameQuery) -> Iterator[ColumnElement[bool]]:
    yield frames.c.listed
    yield frames.c.record == "frame"
    if query.make is not None:
        yield frames.c.make == query.make
    if query.model is not None:
        yield frames.c.model == query.model
    if query.year is not None:
        yield frames.c.year_from <= query.year
        yield or_(frames.c.year_to.is_(None), frames.c.year_to >= query.year)
    at_one_subject = []
    if query.bolt_mm is not None:
        at_one_subject.append(_same_size(findings.c.bolt_nm, query.bolt_mm))
    if query.width_mm is not None:
        at_one_subject.append(_same_size(findings.c.width_nm, query.width_mm))
    if query.mount is not None:
        at_one_subject.append(findings.c.mount == query.mount)
    if query.standing is not None:
        at_one_subject.append(findings.c.standing == query.standing)
    if at_one_subject:
        yield frames.c.id.in_(select(findings.c.frame).where(*at_one_subject))


def _same_size(column: ColumnElement[int], size_mm: Decimal) -> ColumnElement[bool]:
    size, within = to_nm(size_mm), to_nm(SAME_SIZE_MM)
    return column.between(size - within, size + within)


def _make(row: Row[Any]) -> Make:
    return Make(row.slug, row.name, tuple(loads(row.aliases)))


def _model(row: Row[Any]) -> Model:
    return Model(row.make, row.slug, row.name, tuple(loads(row.aliases)))


def _frame_row(stored: StoredFrame) -> dict[str, Any]:
    frame = stored.frame
    return {
        "id": frame.id,
        "make": frame.make,
        "model": frame.model,
        "record": frame.record,
        "year_from": frame.years.start,
        "year_to": frame.years.end,
        "first_end": frame.ends[0],
        "second_end": frame.ends[1],
        "qualifier": None if frame.qualifier is None else dumps(qualifier_json(frame.qualifier)),
        "went_into": dumps(frame.into),
        "withdrawn_on": frame.withdrawn_on,
        "why": frame.why,
        "listed": stored.listed,
        "proposed_by": stored.proposed_by,
        "sequence": stored.sequence,
        "holds_at": stored.holds_at,
        "holds_from": stored.holds_from,
    }


def _stored(row: Row[Any]) -> StoredFrame:
    mapped = None
    if row.names is not None:
        mapped = SameEnds(tuple((foreign, own) for foreign, own in loads(row.names)), source_of(row))
    frame = Frame(
        row.id,
        row.make,
        row.model,
        row.record,
        Years(row.year_from, row.year_to),
        (row.first_end, row.second_end),
        None if row.qualifier is None else _qualifier(loads(row.qualifier)),
        mapped,
        tuple(loads(row.went_into)),
        row.withdrawn_on,
        row.why,
    )
    return StoredFrame(frame, row.listed, row.proposed_by, row.sequence, row.holds_at, row.holds_from)


def _qualifier(data: dict[str, str]) -> Qualifier:
    return Qualifier(data["kind"], data["ask"], data.get("from"), data.get("to"), data.get("is"))
