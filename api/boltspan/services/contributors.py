"""Contributors' records, and the limits of the published rule as this database has them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import fields, replace
from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.contributors import ContributorRecord, Limits, confirmed, since_pause
from boltspan.domain.review import Decision, rulings
from boltspan.domain.ruling_reasons import WRONG
from boltspan.services.protocols import UnitOfWork

LIMIT_NAMES: Final = tuple(f.name for f in fields(Limits))
_READ: Final = 200
"""Claims that are looked at in one go; of somebody long proven one go is enough."""


def limits_of(uow: UnitOfWork) -> Limits:
    """Return the rule's limits: those set for this database, else the defaults."""
    own = {name: found for name in LIMIT_NAMES if (found := uow.settings.get(f"rule_{name}")) is not None}
    return replace(Limits(), **{name: int(text) for name, text in own.items()})


def record_of(uow: UnitOfWork, person: str, today: str, limits: Limits | None = None) -> ContributorRecord:
    """Return how a person's claims fared, and whether their word may help the rule to settle a value.

    Somebody without an account here, or whose account is blocked or was left, is never proven.
    """
    claims = uow.statements.claims_by(person)
    proven = is_proven(uow, person, today, limits or limits_of(uow), claims=claims)
    return ContributorRecord(Counter(c.state for c in claims), _wrong(uow, claims), proven)


def is_proven(
    uow: UnitOfWork,
    person: str,
    today: str,
    limits: Limits,
    *,
    without: Collection[str] = (),
    claims: Sequence[Claim] | None = None,
) -> bool:
    """Return whether a person's word may help the rule to settle a value (``domain/contributors.py``).

    ``without`` are frames and shocks whose claims are left out; ``claims`` all of theirs, newest first, when known.
    """
    account = uow.accounts.account(person)
    if account is None or account.blocked or account.left_on is not None:
        return False
    every = uow.statements.claims_by(person) if claims is None else claims
    accepted = [c for c in every if c.state == "accepted" and c.frame not in without]
    active = uow.events.active_days(person) if len(accepted) >= limits.proven_after else []
    counted: list[Claim] = []
    for start in range(0, len(accepted) if active else 0, _READ):
        counted += _confirmed(uow, accepted[start : start + _READ])
        lone = _counted_once(counted, limits.batch)
        days = uow.events.days([c.sequence for c in lone])
        sent_on = [days[c.sequence] for c in lone if c.sequence in days]
        if since_pause(sent_on, active, today, limits) >= limits.proven_after:
            return True
    return False


def _confirmed(uow: UnitOfWork, accepted: Sequence[Claim]) -> list[Claim]:
    ruled = uow.statements.decisions_of_frames(sorted({c.frame for c in accepted}))
    return [c for c in accepted if confirmed(c, [d for d in ruled[c.frame] if d.subject == c.subject])]


def _counted_once(claims: Sequence[Claim], batch: int) -> list[Claim]:
    """Return the claims that count: of one subject only the first, and of a document that so many name only the first.

    One ruling on an end is one, however many pages somebody has named for it.
    """
    named = Counter(c.source.document for c in claims if c.source.document is not None)
    found, met = list[Claim](), set[object]()
    for claim in claims:
        document = claim.source.document
        keys: set[object] = {(claim.frame, claim.subject)}
        keys |= {document} if document is not None and named[document] >= batch else set()
        if not keys & met:
            found.append(claim)
        met |= keys
    return found


def _wrong(uow: UnitOfWork, claims: Sequence[Claim]) -> int:
    """Return how many of a person's claims rulings that stand call wrong."""
    frames = sorted({c.frame for c in claims if c.state == "refused"})
    own = {c.id for c in claims}
    return sum(_called_wrong(of_frame, own) for of_frame in uow.statements.decisions_of_frames(frames).values())


def _called_wrong(decisions: Sequence[Decision], own: Collection[str]) -> int:
    subjects = {d.subject for d in decisions}
    undone = frozenset().union(*(rulings([d for d in decisions if d.subject == s]).reversed for s in subjects))
    return sum(len(set(own) & set(d.refuses)) for d in decisions if d.reason in WRONG and d.id not in undone)


def record_answer(record: ContributorRecord) -> dict[str, Any]:
    """Return the JSON form of a record, for maintainers."""
    return {"claims": dict(sorted(record.states.items())), "wrong": record.wrong, "proven": record.proven}
