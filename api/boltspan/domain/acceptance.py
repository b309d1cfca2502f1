"""The published rule: when a value is settled without a maintainer. Pure; whoever calls it carries it out.

A value is settled only when all of this holds; each thing that does not has a code in HELD:

- the evidence's outcome is ``accept`` and its best value says all that is needed to fetch the part;
- two contributors, neither of them new or long away, agree with it within their uncertainty, each by evidence of
  their own (a document that somebody else has named is not);
- nothing that counts differs, no reading looks like a usual mistake, nobody has flagged the subject;
- no person has ruled on the subject, nor undone what the rule had settled there;
- it rests on no large batch, and the contributors have not changed too many values that day.

How many people agree beyond that makes no difference: fifty new accounts are as good as none.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from boltspan.domain.by_evidence import as_stated
from boltspan.domain.contributors import Limits
from boltspan.domain.ids import RULE_AUTHOR
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import Statement
from boltspan.domain.values import Value
from boltspan.domain.weighed import Weighed

HELD: Final = {
    "evidence_undecided": "The evidence does not decide it.",
    "value_incomplete": "The value does not say all that is needed to fetch the part.",
    "too_few_confirm": "No two proven contributors agree on it, each by evidence of their own.",
    "claim_differs": "A claim that counts says something else.",
    "reading_flagged": "A reading looks like a usual mistake.",
    "flag_open": "Somebody has said that something is wrong here.",
    "decided": "A person has ruled on it.",
    "reversed": "A person has undone what was settled here.",
    "batch": "It came in a large batch, which is reviewed as one.",
    "daily_limit": "Enough values were changed on these contributors' word for one day.",
}


@dataclass(frozen=True, slots=True)
class Acceptance:
    """What the rule says: the value to settle and the claims it rests on, or (``held``) why not."""

    value: Value | None = None
    rests_on: tuple[str, ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Situation:
    """What stands beside the claims: proven people, values changed today by person, claims of batches, open flags."""

    proven: Collection[str]
    changed_today: Mapping[str, int]
    batched: Collection[str]
    flagged: bool


def judge(
    weighed: Weighed | None,
    statements: Sequence[Statement],
    decisions: Sequence[Decision],
    around: Situation,
    limits: Limits,
) -> Acceptance:
    """Return whether the rule settles a subject.

    ``weighed`` is what the evidence says (None: it says nothing of such a subject), ``statements`` are those that
    count, ``decisions`` all on the subject, oldest first. Every reason against it is told, in the order of HELD.
    """
    held: set[str] = set()
    best = weighed.best if weighed is not None and weighed.outcome == "accept" else None
    if best is None:
        held.add("evidence_undecided")
    elif not best.value.complete:
        held.add("value_incomplete")
    held |= _ruled(decisions)
    if any(s.mistake for s in statements):
        held.add("reading_flagged")
    if around.flagged:
        held.add("flag_open")
    rests_on: tuple[str, ...] = ()
    if best is not None:
        for_it = [s for s in statements if s.allows(best.value)]
        if len(for_it) < len(statements):
            held.add("claim_differs")
        rests_on = tuple(s.claim.id for s in for_it)
        pairs = confirming([s for s in for_it if s.claim.source.by in around.proven])
        if not pairs:
            held.add("too_few_confirm")
        elif all(_spent(pair, around, limits) for pair in pairs):
            held.add("daily_limit")
        if set(rests_on) & set(around.batched):
            held.add("batch")
    if held:
        return Acceptance(held=tuple(code for code in HELD if code in held))
    assert best is not None
    return Acceptance(as_stated(best.value, statements), rests_on)


def confirming(statements: Sequence[Statement]) -> list[tuple[str, str]]:
    """Return the pairs of people that confirm each other: each has a witness that the other has not named."""
    witnesses: dict[str, set[str]] = {}
    for said in statements:
        witnesses.setdefault(said.claim.source.by, set()).add(said.claim.source.witness)
    return [(a, b) for a, b in combinations(sorted(witnesses), 2) if len(witnesses[a] | witnesses[b]) > 1]


def _ruled(decisions: Sequence[Decision]) -> set[str]:
    ruled = rulings(decisions)
    found = {"decided"} if ruled.standing is not None else set()
    if any(d.by == RULE_AUTHOR and d.id in ruled.reversed for d in decisions):
        found.add("reversed")
    return found


def _spent(pair: tuple[str, str], around: Situation, limits: Limits) -> bool:
    return any(around.changed_today.get(person, 0) >= limits.changes_a_day for person in pair)
