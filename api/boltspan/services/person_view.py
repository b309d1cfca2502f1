"""One contributor as maintainers see them: how their claims fared, what they sent, what undoing all of it would do."""

from __future__ import annotations

from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.subjects import named
from boltspan.domain.values import value_json
from boltspan.services.case_view import stored_of
from boltspan.services.contributors import record_answer, record_of
from boltspan.services.desk import about, answers_of
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Storage, UnitOfWork
from boltspan.services.records_of_people import contributor_record
from boltspan.services.undoing import undo_account

MOST_SHOWN: Final = 100


class _TakenBack(Exception):
    """Ends the transaction of a preview without a trace."""


def person_view(actor: Actor, uow: UnitOfWork, clock: Clock, person: str) -> dict[str, Any]:
    """Return a contributor's public name, record and newest claims, at most 100, each with what it is about.

    ``learnt`` is what the evidence has learnt of them. Raises NotAuthenticated, NotAllowed, NotFound for somebody who
    has neither claims nor an account.
    """
    learnt = contributor_record(actor, uow, person)
    found = {"person": person, "learnt": learnt} | record_answer(record_of(uow, person, clock.today()))
    account = uow.accounts.account(person)
    if account is not None:
        found |= {"role": account.role, "blocked": account.blocked, "since": account.created_on}
        found |= {"handle": account.handle} if account.handle is not None else {}
    return found | {"sent": [_sent(uow, claim) for claim in uow.statements.claims_by(person)[:MOST_SHOWN]]}


def _sent(uow: UnitOfWork, claim: Claim) -> dict[str, Any]:
    found = {"id": claim.id, "subject": claim.subject, "state": claim.state, "source_kind": claim.source.kind}
    found |= {"seen_on": claim.source.seen_on} | named(claim.frame) | about(uow, stored_of(uow, claim.frame))
    said = statement_of(claim)
    return found | ({"value": value_json(said.value, labelled=True)} if said.value is not None else {})


def undo_person(actor: Actor, uow: UnitOfWork, clock: Clock, person: str, why: str, key: OnceKey) -> Receipt:
    """Undo everything of a person in one act, once for a key; the receipt says what it came to (``undo_account``)."""
    return once(uow, clock, key, lambda: Receipt(undo_account(actor, uow, clock, person, why), "/v1/changes"))


def preview_undoing(actor: Actor, storage: Storage, clock: Clock, person: str, why: str) -> dict[str, Any]:
    """Return what undoing everything of a person would come to, and each answer that it would change.

    It is tried in a transaction that is taken back. Raises as ``undo_account``.
    """
    found: dict[str, Any] = {}
    try:
        with storage.writing() as uow:
            touched = {e.frame for e in uow.events.by_actor(person) if e.frame is not None}
            touched |= {c.frame for c in uow.statements.claims_by(person)}
            before = {record: answers_of(uow, record) for record in sorted(touched)}
            found = undo_account(actor, uow, clock, person, why)
            found["answers"] = [
                change for record, answers in before.items() for change in _changed(uow, record, answers)
            ]
            raise _TakenBack
    except _TakenBack:
        return found


def _changed(uow: UnitOfWork, record: str, before: dict[str, Any]) -> list[dict[str, Any]]:
    after = answers_of(uow, record)
    told = about(uow, stored_of(uow, record))
    found = []
    for subject in sorted(before.keys() | after.keys()):
        was, now = before.get(subject), after.get(subject)
        if _told(was) != _told(now):
            change = told | {"subject": subject}
            found.append(change | ({"before": was} if was else {}) | ({"after": now} if now else {}))
    return found


def _told(answer: dict[str, Any] | None) -> Any:
    return None if answer is None else (answer["standing"], answer["advice"], answer.get("value"))
