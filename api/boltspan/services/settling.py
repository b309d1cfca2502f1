"""The published rule at work: what it says of a subject, and carrying it out."""

from __future__ import annotations

from collections import Counter

from boltspan.domain.acceptance import Acceptance, Situation, judge
from boltspan.domain.by_evidence import may_speak
from boltspan.domain.claims import Claim
from boltspan.domain.contributors import Limits
from boltspan.domain.findings import speaking
from boltspan.domain.frames import Frame
from boltspan.domain.ids import RULE_AUTHOR, mint
from boltspan.domain.review import Decision
from boltspan.domain.statement_readings import statement_of
from boltspan.services.carrying_out import carry_out
from boltspan.services.contributors import limits_of, record_of
from boltspan.services.flags import open_flags
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.weighing import weighed_of


def judged(uow: UnitOfWork, clock: Clock, frame: Frame, subject: str) -> Acceptance:
    """Return what the published rule says of a subject as things stand: the value it settles, or why it does not."""
    limits = limits_of(uow)
    decisions = [d for d in uow.statements.decisions(frame.id) if d.subject == subject]
    of_subject = [c for c in uow.statements.claims(frame.id) if c.subject == subject]
    claims = speaking(frame, of_subject, decisions)
    around = Situation(
        _proven(uow, clock, claims, limits),
        _changed_today(uow, clock),
        _batched(uow, claims, limits),
        bool(open_flags(uow, frame.id, subject)),
    )
    weighed = weighed_of(uow, [frame.id])[frame.id].get(subject)
    statements = [statement_of(c) for c in claims]
    if weighed is not None and not may_speak(weighed, statements):
        weighed = None
    return judge(weighed, statements, decisions, around, limits)


def settle_by_rule(uow: UnitOfWork, clock: Clock, frame_id: str, subject: str) -> Decision | None:
    """Settle a subject when the published rule says so, and return the decision; None when it does not.

    Of shocks it settles nothing: the evidence is not weighed there.
    """
    stored = uow.catalogue.frame(frame_id)
    if stored is None or not stored.listed or not stored.frame.live:
        return None
    said = judged(uow, clock, stored.frame, subject)
    if said.held or said.value is None:
        return None
    why = "two proven contributors agree by evidence of their own, and nothing that counts differs"
    decision = Decision(
        mint("decision"), frame_id, subject, clock.today(), RULE_AUTHOR, "settle", why, said.value, said.rests_on
    )
    carry_out(uow, clock, stored, decision)
    return decision


def _proven(uow: UnitOfWork, clock: Clock, claims: list[Claim], limits: Limits) -> frozenset[str]:
    people = {c.source.by for c in claims}
    return frozenset(p for p in people if record_of(uow, p, clock.today(), limits).proven)


def _changed_today(uow: UnitOfWork, clock: Clock) -> Counter[str]:
    """Return how many values the rule settled today on each person's word."""
    found: Counter[str] = Counter()
    for decision in uow.statements.decisions_by(RULE_AUTHOR, clock.today()):
        named = (uow.statements.claim(c) for c in decision.rests_on)
        found.update({claim.source.by for claim in named if claim is not None})
    return found


def _batched(uow: UnitOfWork, claims: list[Claim], limits: Limits) -> frozenset[str]:
    """Return the claims whose document says so much that it is reviewed as one."""
    named = [(c.id, c.source.document) for c in claims if c.source.document is not None and c.unreviewed]
    return frozenset(claim for claim, document in named if uow.statements.count_of_document(document) >= limits.batch)
