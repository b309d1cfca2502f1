"""One live claim per person and end: a newer one from the same source takes the place of the older, explicitly.

The same source is the person's own caliper or fitting, or the same document. What a person reads in another document
is further evidence and stays; it is still one person's word. A newer claim that leaves out what the older one stated,
or speaks of other years, completes it and takes nobody's place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput
from boltspan.domain.values import value_json
from boltspan.services.protocols import Clock, UnitOfWork


def earlier(uow: UnitOfWork, claim: Claim) -> list[Claim]:
    """Return what the person of ``claim`` has said of its subject before and still stands by."""
    said = uow.statements.claims(claim.frame)
    return [c for c in said if c.counts and c.subject == claim.subject and c.source.by == claim.source.by]


def given_up(uow: UnitOfWork, claim: Claim, named: Sequence[str]) -> list[Claim]:
    """Return the person's live claims on the subject that ``claim`` takes the place of: those of the same source, and
    those ``named``. Raises InvalidInput for a named one that is not an own live claim on this subject.
    """
    own = {c.id: c for c in earlier(uow, claim)}
    for i, claim_id in enumerate(named):
        if claim_id not in own:
            raise InvalidInput.one(
                f"/supersedes/{i}",
                "unknown_claim",
                "this is no claim of yours on this subject that counts",
                got=claim_id,
                accepted=", ".join(own) or "you have none here",
            )
    return [c for c in own.values() if c.id in named or _same_source(c, claim)]


def supersede(uow: UnitOfWork, clock: Clock, person: str, old: Claim, new: Claim) -> int:
    """Let ``new`` take the place of ``old``, with an event; return its number."""
    sequence = uow.events.record(
        person, "claim_superseded", frame=old.frame, subject=old.subject,
        payload={"claim": old.id, "superseded_by": new.id},
    )  # fmt: skip
    uow.statements.set_state(replace(old, state="superseded", superseded_on=clock.today(), superseded_by=new.id))
    return sequence


def _same_source(old: Claim, new: Claim) -> bool:
    return (
        (old.source.kind, old.source.witness) == (new.source.kind, new.source.witness)
        and old.years == new.years
        and _stated(old) <= _stated(new)
    )


def _stated(claim: Claim) -> set[str]:
    found = set() if claim.value is None else set(value_json(claim.value))
    measured = claim.source.measurement
    if measured is not None:
        found |= {f"{part} read" for part, _, _ in measured.parts}
    return found
