"""Carrying out a decision: its event, the claims' states, the case, the answer, all in one transaction."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from boltspan.domain.claim_states import state_of
from boltspan.domain.ids import RULE_AUTHOR
from boltspan.domain.review import Decision
from boltspan.domain.values import value_json
from boltspan.services.cases import close_case, open_case
from boltspan.services.flags import close_flags
from boltspan.services.made import touch
from boltspan.services.protocols import Case, Clock, Stored, UnitOfWork
from boltspan.services.publishing import republish
from boltspan.services.standing_events import standing_event


def carry_out(uow: UnitOfWork, clock: Clock, stored: Stored, decision: Decision) -> Case:
    """Store a decision with its event and bring claims, case and answer in step; return the case as it is then.

    A reversal brings back the answer that held before, and opens the case. Every other ruling closes the flags on the
    subject, and the case, unless claims were refused while others still wait for their review.
    """
    payload: dict[str, Any] = {"decision": decision.id, "ruling": decision.ruling, "why": decision.why}
    if decision.value is not None:
        payload["value"] = value_json(decision.value)
    if decision.reason is not None:
        payload["reason"] = decision.reason
    author = decision.by if decision.by != RULE_AUTHOR else None
    sequence = uow.events.record(
        author, "decision_made", frame=decision.frame, subject=decision.subject, payload=payload
    )
    decision = replace(decision, sequence=sequence)
    uow.statements.add_decisions([decision])
    ruled = [d for d in uow.statements.decisions(decision.frame) if d.subject == decision.subject]
    for claim in uow.statements.claims(decision.frame):
        state = state_of(claim, ruled) if claim.subject == decision.subject else claim.state
        if state != claim.state:
            uow.statements.set_state(replace(claim, state=state))
    holds = standing_event(uow, decision.frame) if decision.ruling == "reverse" else None
    touch(uow, stored, sequence, holds_from=holds)
    if decision.ruling == "reverse":
        case = open_case(uow, clock, decision.frame, decision.subject, "reversed", sequence)
    else:
        close_flags(uow, clock, decision.frame, decision.subject)
        case = close_case(uow, clock, decision.frame, decision.subject, sequence)
    if decision.ruling == "refuse_claims" and _wait(uow, decision):
        case = open_case(uow, clock, decision.frame, decision.subject, "new_claim", sequence)
    republish(uow, [decision.frame])
    return case


def _wait(uow: UnitOfWork, decision: Decision) -> bool:
    return any(c.subject == decision.subject and c.state == "submitted" for c in uow.statements.claims(decision.frame))
