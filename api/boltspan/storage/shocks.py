"""Shock models, shocks and hardware sizes in the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any, Final

from sqlalchemy import ColumnElement, Row, delete, exists, func, or_, select, tuple_

from boltspan.domain.frames import Years
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.records import qualifier_from, qualifier_json
from boltspan.domain.shocks import Shock, ShockModel, SoldWith
from boltspan.services.protocols import ShockQuery, StoredShock
from boltspan.storage.queries import PAGE, Queries, chunks
from boltspan.storage.source_columns import source_of, source_row
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import hardware_sizes, shock_models, shocks, sold_with
from boltspan.storage.value_columns import mm, nm, nm_list, of_nm_list

_ORDER: Final = (shocks.c.make, shocks.c.model, shocks.c.year_from, shocks.c.id)


class SqlShocks(Queries):
    """Shock models and shocks."""

    def models(self, make: str | None = None) -> list[ShockModel]:
        """Return the shock models, of one make or all, by make and slug; not those with nothing but proposed shocks."""
        own = (shocks.c.make == shock_models.c.make) & (shocks.c.model == shock_models.c.slug)
        shown = or_(exists().where(own, shocks.c.listed), ~exists().where(own))
        statement = select(shock_models).where(shown).order_by(shock_models.c.make, shock_models.c.slug)
        return [_model(row) for row in self._all(statement if make is None else statement.where(_of_make(make)))]

    def model(self, make: str, slug: str) -> ShockModel | None:
        """Return the shock model, whatever its shocks are, or None."""
        row = self._one(select(shock_models).where(_of_make(make), shock_models.c.slug == slug))
        return None if row is None else _model(row)

    def put_model(self, model: ShockModel) -> None:
        """Insert the model, or replace the one with its make and slug. Raises Clash when there is no such make."""
        row = {"make": model.make, "slug": model.slug, "name": model.name, "aliases": dumps(model.aliases)}
        self._put(shock_models, [row])

    def shock(self, shock_id: str) -> StoredShock | None:
        """Return the shock, whatever became of its record, or None."""
        rows = self._all(select(shocks).where(shocks.c.id == shock_id))
        return next(iter(self._stored(rows)), None)

    def shocks_of(self, make: str, model: str) -> list[StoredShock]:
        """Return every shock of the model, proposals and other records too, by first year and id."""
        of_model = select(shocks).where(shocks.c.make == make, shocks.c.model == model)
        return self._stored(self._all(of_model.order_by(*_ORDER)))

    def find(self, query: ShockQuery) -> list[StoredShock]:
        """Return the listed, live shocks that meet ``query``, by make, model, first year and id.

        No ``models`` given as an empty tuple: nothing is found.
        """
        statement = select(shocks).where(*_conditions(query))
        if query.models is None:
            return self._stored(list(self._pages(statement, _ORDER, after=query.after, limit=query.limit)))
        found: list[StoredShock] = []
        for pairs in chunks(sorted(set(query.models))):
            among = statement.where(tuple_(shocks.c.make, shocks.c.model).in_(pairs))
            left = query.limit - len(found)
            found += self._stored(list(self._pages(among, _ORDER, after=query.after, limit=left)))
        return found

    def proposed_by(self, person: str) -> list[StoredShock]:
        """Return the shocks that the person proposed, listed by now or not, by make, model, first year and id."""
        theirs = select(shocks).where(shocks.c.proposed_by == person)
        return self._stored(self._all(theirs.order_by(*_ORDER)))

    def every_shock(self) -> Iterator[StoredShock]:
        """Yield all shocks of every record kind, proposals too, by make, model, first year and id."""
        page: list[Row[Any]] = []
        for row in self._pages(select(shocks), _ORDER):
            page.append(row)
            if len(page) == PAGE:
                yield from self._stored(page)
                page = []
        yield from self._stored(page)

    def put_shock(self, stored: StoredShock) -> None:
        """Insert the shock, or replace the one with its id. Raises Clash without its model or a frame it names."""
        shock = stored.shock
        self._put(shocks, [_shock_row(stored)])
        self._connection.execute(delete(sold_with).where(sold_with.c.shock == shock.id))
        self._add(sold_with, [_sold_row(shock.id, place, sold) for place, sold in enumerate(shock.sold_with)])

    def count(self) -> dict[str, int]:
        """Return how many rows each kind has, withdrawn ones included."""
        tables = {"shock_models": shock_models, "shocks": shocks, "hardware_sizes": hardware_sizes}
        counts = [select(func.count()).select_from(t).scalar_subquery().label(name) for name, t in tables.items()]
        return {name: int(n) for name, n in self._connection.execute(select(*counts)).one()._mapping.items()}

    def _stored(self, rows: Sequence[Row[Any]]) -> list[StoredShock]:
        boxes: dict[str, list[SoldWith]] = defaultdict(list)
        for ids in chunks([row.id for row in rows]):
            of_these = select(sold_with).where(sold_with.c.shock.in_(ids))
            for box in self._all(of_these.order_by(sold_with.c.shock, sold_with.c.place)):
                boxes[box.shock].append(SoldWith(box.frame, tuple(loads(box.ends)), source_of(box)))
        return [StoredShock(_shock(row, boxes[row.id]), row.sequence, row.listed, row.proposed_by) for row in rows]


class SqlHardware(Queries):
    """What sources say is produced in hardware."""

    def rows(self) -> list[HardwareSizes]:
        """Return every row, withdrawn ones too, by bolt, eyelet bore (none first) and id."""
        bore = func.coalesce(hardware_sizes.c.eyelet_bore_nm, 0)
        ordered = select(hardware_sizes).order_by(hardware_sizes.c.bolt_nm, bore, hardware_sizes.c.id)
        return [_hardware(row) for row in self._all(ordered)]

    def put(self, row: HardwareSizes) -> None:
        """Insert the row, or replace the one with its id."""
        stored = {
            "id": row.id,
            "bolt_nm": nm(row.bolt_mm),
            "eyelet_bore_nm": nm(row.eyelet_bore_mm),
            "widths_nm": nm_list(row.widths_mm),
            "withdrawn_on": row.withdrawn_on,
            "withdrawn_why": row.withdrawn_why,
            "sequence": row.sequence,
        }
        self._put(hardware_sizes, [stored | source_row(row.source)])


def _of_make(make: str) -> ColumnElement[bool]:
    return shock_models.c.make == make


def _conditions(query: ShockQuery) -> Iterator[ColumnElement[bool]]:
    yield shocks.c.listed
    yield shocks.c.record == "shock"
    if query.make is not None:
        yield shocks.c.make == query.make
    if query.model is not None:
        yield shocks.c.model == query.model
    if query.year is not None:
        yield shocks.c.year_from <= query.year
        yield or_(shocks.c.year_to.is_(None), shocks.c.year_to >= query.year)


def _model(row: Row[Any]) -> ShockModel:
    return ShockModel(row.make, row.slug, row.name, tuple(loads(row.aliases)))


def _shock_row(stored: StoredShock) -> dict[str, Any]:
    shock = stored.shock
    return {
        "id": shock.id,
        "make": shock.make,
        "model": shock.model,
        "record": shock.record,
        "year_from": shock.years.start,
        "year_to": shock.years.end,
        "qualifier": None if shock.qualifier is None else dumps(qualifier_json(shock.qualifier)),
        "went_into": dumps(shock.into),
        "withdrawn_on": shock.withdrawn_on,
        "why": shock.why,
        "listed": stored.listed,
        "proposed_by": stored.proposed_by,
        "sequence": stored.sequence,
    }


def _sold_row(shock: str, place: int, sold: SoldWith) -> dict[str, Any]:
    return {"shock": shock, "place": place, "frame": sold.frame, "ends": dumps(sold.ends)} | source_row(sold.source)


def _shock(row: Row[Any], boxes: Sequence[SoldWith]) -> Shock:
    return Shock(
        row.id,
        row.make,
        row.model,
        row.record,
        Years(row.year_from, row.year_to),
        None if row.qualifier is None else qualifier_from(loads(row.qualifier), ""),
        tuple(boxes),
        tuple(loads(row.went_into)),
        row.withdrawn_on,
        row.why,
    )


def _hardware(row: Row[Any]) -> HardwareSizes:
    bolt = mm(row.bolt_nm)
    assert bolt is not None, "every row has a bolt"
    return HardwareSizes(
        row.id,
        bolt,
        of_nm_list(row.widths_nm),
        source_of(row),
        mm(row.eyelet_bore_nm),
        row.withdrawn_on,
        row.withdrawn_why,
        row.sequence,
    )
