"""Claims and decisions in the database."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, Select, func, select, update

from boltspan.domain.claim_states import Question
from boltspan.domain.claims import Claim
from boltspan.domain.errors import NotFound
from boltspan.domain.frames import Years
from boltspan.domain.review import Decision
from boltspan.storage.about_columns import about_of, about_row, is_about_any
from boltspan.storage.queries import Queries, chunks
from boltspan.storage.source_columns import source_of, source_row
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import claims, decisions, questions
from boltspan.storage.value_columns import value_of, value_row


class SqlStatements(Queries):
    """Claims and decisions."""

    def claim(self, claim_id: str) -> Claim | None:
        """Return the claim in whatever state, or None."""
        row = self._one(select(claims).where(claims.c.id == claim_id))
        return None if row is None else _claim(row)

    def claims(self, frame_id: str) -> list[Claim]:
        """Return the record's claims on all subjects, in all states, by sequence, then id."""
        return self.claims_of_frames([frame_id])[frame_id]

    def claims_of_frames(self, frame_ids: Sequence[str]) -> dict[str, list[Claim]]:
        """Return the claims of each frame or shock, ordered as in ``claims``; an empty list where there are none."""
        found: dict[str, list[Claim]] = {frame_id: [] for frame_id in frame_ids}
        for some in chunks(list(found)):
            ordered = select(claims).where(is_about_any(claims, some)).order_by(claims.c.sequence, claims.c.id)
            for row in self._all(ordered):
                found[about_of(row)].append(_claim(row))
        return found

    def claims_by(self, person: str) -> list[Claim]:
        """Return the claims whose source is this person's, newest first: by sequence, then id, both descending."""
        newest_first = (claims.c.sequence.desc(), claims.c.id.desc())
        rows = self._all(select(claims).where(claims.c.source_by == person).order_by(*newest_first))
        return [_claim(row) for row in rows]

    def claims_of_document(self, document: str) -> list[Claim]:
        """Return the claims that name the document, in all states, by frame, subject, sequence and id."""
        named = select(claims).where(claims.c.source_document == document)
        rows = self._all(named.order_by(claims.c.frame, claims.c.subject, claims.c.sequence, claims.c.id))
        return [_claim(row) for row in rows]

    def count_of_document(self, document: str) -> int:
        """Return how many claims that count name the document."""
        counted = select(func.count()).where(
            claims.c.source_document == document, claims.c.state.in_(("submitted", "accepted"))
        )
        return int(self._connection.execute(counted).scalar_one())

    def waiting_documents(self, least: int, most: int) -> list[tuple[str, int]]:
        """Return at most ``most`` documents that ``least`` waiting claims or more name, and how many, largest first."""
        large = large_documents(least)
        counted = large.add_columns(func.count()).order_by(func.count().desc(), large.selected_columns[0])
        return [(str(row[0]), int(row[1])) for row in self._connection.execute(counted.limit(most))]

    def add_claims(self, claims_: Iterable[Claim]) -> None:
        """Insert the claims. Raises Clash when an id is taken or a record is not there."""
        self._add(claims, [_claim_row(claim) for claim in claims_])

    def set_state(self, claim: Claim) -> None:
        """Write the claim's state and how it ended, and nothing else. Raises NotFound."""
        changed = {
            "state": claim.state,
            "withdrawn_on": claim.withdrawn_on,
            "withdrawn_why": claim.withdrawn_why,
            "superseded_on": claim.superseded_on,
            "superseded_by": claim.superseded_by,
            "unreviewed": claim.unreviewed,
        }
        done = self._connection.execute(update(claims).where(claims.c.id == claim.id).values(changed))
        if done.rowcount == 0:
            raise NotFound("claim", claim.id)

    def decision(self, decision_id: str) -> Decision | None:
        """Return the decision, or None."""
        row = self._one(select(decisions).where(decisions.c.id == decision_id))
        return None if row is None else _decision(row)

    def decisions(self, frame_id: str) -> list[Decision]:
        """Return the record's decisions on all subjects, oldest first: by sequence, then in the order of arrival."""
        return self.decisions_of_frames([frame_id])[frame_id]

    def decisions_of_person(self, person: str) -> list[Decision]:
        """Return the decisions that the person took, oldest first."""
        own = select(decisions).where(decisions.c.ruled_by == person)
        return [_decision(row) for row in self._all(own.order_by(decisions.c.sequence, decisions.c.arrival))]

    def decisions_of_frames(self, frame_ids: Sequence[str]) -> dict[str, list[Decision]]:
        """Return the decisions of each frame or shock, ordered as in ``decisions``; an empty list where none are."""
        found: dict[str, list[Decision]] = {frame_id: [] for frame_id in frame_ids}
        for some in chunks(list(found)):
            of_these = select(decisions).where(is_about_any(decisions, some))
            for row in self._all(of_these.order_by(decisions.c.sequence, decisions.c.arrival)):
                found[about_of(row)].append(_decision(row))
        return found

    def decisions_by(self, author: str, on: str | None = None) -> list[Decision]:
        """Return the decisions of a person or of the rule, on one day or all, oldest first."""
        theirs = select(decisions).where(decisions.c.ruled_by == author)
        if on is not None:
            theirs = theirs.where(decisions.c.ruled_on == on)
        return [_decision(row) for row in self._all(theirs.order_by(decisions.c.arrival))]

    def add_decisions(self, decisions_: Iterable[Decision]) -> None:
        """Insert the decisions, which arrive in this order. Raises Clash when an id is taken or a record not there."""
        self._add(decisions, [_decision_row(decision) for decision in decisions_])

    def questions(self, claim_ids: Sequence[str]) -> dict[str, list[Question]]:
        """Return what was asked about each claim, oldest first; an empty list where nothing was."""
        found: dict[str, list[Question]] = {claim_id: [] for claim_id in claim_ids}
        for some in chunks(list(found)):
            about = select(questions).where(questions.c.claim.in_(some))
            for row in self._all(about.order_by(questions.c.sequence, questions.c.id)):
                found[row.claim].append(Question(**row._asdict()))
        return found

    def put_question(self, question: Question) -> None:
        """Insert the question, or replace the one with its id."""
        self._put(questions, [asdict(question)])


def large_documents(least: int) -> Select[Any]:
    """Return the query of the documents that ``least`` waiting claims or more name."""
    counted = claims.alias("of_documents")
    return (
        select(counted.c.source_document)
        .where(counted.c.state == "submitted", counted.c.source_document.is_not(None))
        .group_by(counted.c.source_document)
        .having(func.count() >= least)
    )


def _claim_row(claim: Claim) -> dict[str, Any]:
    return {
        "id": claim.id,
        **about_row(claim.frame),
        "subject": claim.subject,
        "year_from": claim.years and claim.years.start,
        "year_to": claim.years and claim.years.end,
        "withdrawn_on": claim.withdrawn_on,
        "withdrawn_why": claim.withdrawn_why,
        "state": claim.state,
        "sequence": claim.sequence,
        "superseded_on": claim.superseded_on,
        "superseded_by": claim.superseded_by,
        "unreviewed": claim.unreviewed,
        **value_row(claim.value),
        **source_row(claim.source),
    }


def _claim(row: Row[Any]) -> Claim:
    return Claim(
        row.id,
        about_of(row),
        row.subject,
        source_of(row),
        value_of(row),
        None if row.year_from is None else Years(row.year_from, row.year_to),
        row.withdrawn_on,
        row.withdrawn_why,
        row.state,
        row.sequence,
        row.superseded_on,
        row.superseded_by,
        row.unreviewed,
    )


def _decision_row(decision: Decision) -> dict[str, Any]:
    return {
        "id": decision.id,
        **about_row(decision.frame),
        "subject": decision.subject,
        "ruled_on": decision.on,
        "ruled_by": decision.by,
        "ruling": decision.ruling,
        "why": decision.why,
        "rests_on": dumps(decision.rests_on),
        "overrules": dumps(decision.overrules),
        "refuses": dumps(decision.refuses),
        "reverses": decision.reverses,
        "sequence": decision.sequence,
        "reason": decision.reason,
        **value_row(decision.value),
    }


def _decision(row: Row[Any]) -> Decision:
    return Decision(
        row.id,
        about_of(row),
        row.subject,
        row.ruled_on,
        row.ruled_by,
        row.ruling,
        row.why,
        value_of(row),
        tuple(loads(row.rests_on)),
        tuple(loads(row.overrules)),
        tuple(loads(row.refuses)),
        row.reverses,
        row.sequence,
        row.reason,
    )
