"""What is shown of a claim beside what it says: its state, why it was refused, what was asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from boltspan.domain.claim_states import Question, shown_state
from boltspan.domain.claims import Claim
from boltspan.domain.review import Decision, rulings
from boltspan.domain.ruling_reasons import WRONG


@dataclass(frozen=True, slots=True)
class About:
    """What a claim's state follows from: the claims and decisions on its subject, and the questions about it."""

    claims: Sequence[Claim]
    decisions: Sequence[Decision]
    questions: Sequence[Question] = ()


def standing_answer(claim: Claim, about: About) -> dict[str, Any]:
    """Return ``state``, and of a refused claim ``refusal``: the decision, its reason's code and whether it says wrong.

    An older refusal has no code; then nothing is said about wrong or not.
    """
    found: dict[str, Any] = {"state": shown_state(claim, about.claims, about.decisions, about.questions)}
    if claim.state != "refused":
        return found
    undone = rulings(about.decisions).reversed
    for decision in reversed(about.decisions):
        if claim.id in decision.refuses and decision.id not in undone:
            found["refusal"] = {"decision": decision.id, "why": decision.why}
            if decision.reason is not None:
                found["refusal"] |= {"reason": decision.reason, "wrong": decision.reason in WRONG}
            break
    return found


def question_answer(question: Question) -> dict[str, Any]:
    """Return the JSON form of a question, for the contributor and for maintainers."""
    found: dict[str, Any] = {"id": question.id, "asked_on": question.asked_on, "question": question.question}
    more = {
        "answered_on": question.answered_on, "answer": question.answer, "answered_with": question.answered_with,
    }  # fmt: skip
    return found | {k: v for k, v in more.items() if v is not None}
