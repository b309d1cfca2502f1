"""Review cases in the database."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import ColumnElement, Row, and_, exists, not_, or_, select

from boltspan.services.protocols import Case
from boltspan.storage.about_columns import about_of, about_row, is_about
from boltspan.storage.queries import Queries
from boltspan.storage.statements import large_documents
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import cases, claims


class SqlCases(Queries):
    """Review cases, one a subject."""

    def case(self, case_id: str) -> Case | None:
        """Return the case, or None."""
        row = self._one(select(cases).where(cases.c.id == case_id))
        return None if row is None else _case(row)

    def of_subject(self, frame_id: str, subject: str) -> Case | None:
        """Return the case of the subject, or None."""
        row = self._one(select(cases).where(is_about(cases, frame_id), cases.c.subject == subject))
        return None if row is None else _case(row)

    def put(self, case: Case) -> None:
        """Insert the case, or replace the one with its id. Raises Clash when the subject has another case."""
        self._put(cases, [asdict(case) | about_row(case.frame) | {"reasons": dumps(case.reasons)}])

    def of_frame(self, frame_id: str) -> list[Case]:
        """Return the cases on all subjects of the frame, by subject."""
        return [
            _case(row) for row in self._all(select(cases).where(cases.c.frame == frame_id).order_by(cases.c.subject))
        ]

    def page(
        self, state: str | None, after: tuple[int, int, str] | None, limit: int, fold: int | None = None
    ) -> list[Case]:
        """Return up to ``limit`` cases, of one state or all, by rank, sequence and id, from behind ``after`` on.

        With ``fold`` those are left out that wait for nothing but new claims of documents which so many waiting claims
        name.
        """
        statement = select(cases) if state is None else select(cases).where(cases.c.state == state)
        if fold is not None:
            statement = statement.where(not_(_waits_for_documents(fold)))
        rows = self._pages(statement, [cases.c.rank, cases.c.sequence, cases.c.id], after=after, limit=limit)
        return [_case(row) for row in rows]


def _waits_for_documents(least: int) -> ColumnElement[bool]:
    about = or_(claims.c.frame == cases.c.frame, claims.c.shock == cases.c.shock)
    waiting = and_(claims.c.state == "submitted", claims.c.subject == cases.c.subject, about)
    of_large = claims.c.source_document.in_(large_documents(least))
    alone = or_(claims.c.source_document.is_(None), not_(of_large))
    return and_(
        cases.c.state == "open",
        cases.c.reasons == dumps(("new_claim",)),
        exists().where(waiting, of_large),
        not_(exists().where(waiting, alone)),
    )


def _case(row: Row[Any]) -> Case:
    reasons = tuple(loads(row.reasons))
    return Case(row.id, about_of(row), row.subject, row.state, row.opened_on, reasons, row.sequence, row.rank)
