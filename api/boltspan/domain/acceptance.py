"""The published rule: when a value is settled without a maintainer. Pure; whoever calls it carries it out.

A value is settled only when all of this holds; each thing that does not has a code in HELD:

- the evidence's outcome is ``accept`` and its best value says all that is needed to fetch the part;
- two contributors, neither of them new or long away, agree with it within their uncertainty, each by evidence of
  their own that names every size of it (a document that the other has named too is nobody's own, nor is a line of a
  large batch);
- nothing that counts differs, no reading looks like a usual mistake, nobody has flagged the subject;
- no person has ruled on the subject, nor undone what was settled there;
- it rests on no large batch, and the contributors have not changed too many values that day.

How many people agree beyond that makes no difference: fifty new accounts are as good as none. What it settles makes
nobody less new (``domain/contributors.py``), so it never brings about its own conditions.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from boltspan.domain.by_evidence import as_stated
from boltspan.domain.contributors import Limits
from boltspan.domain.review import Decision, rulings
from boltspan.domain.sources import page_of
from boltspan.domain.statement_readings import Statement
from boltspan.domain.values import EndValue, Value, value_json
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
    "daily_limit": "Enough values were changed on these contributors' word within a day.",
}


@dataclass(frozen=True, slots=True)
class Acceptance:
    """What the rule says: the value to settle and the claims it rests on, or (``held``) why not."""

    value: Value | None = None
    rests_on: tuple[str, ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Situation:
    """What stands beside the claims: proven people, values changed in the last day by person, claims of large batches
    (``waiting_batch`` those of them that nobody has reviewed), open flags.
    """

    proven: Collection[str]
    changed_today: Mapping[str, int]
    batched: Collection[str]
    waiting_batch: Collection[str]
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
        own = [s for s in for_it if s.claim.source.by in around.proven and s.claim.id not in around.batched]
        pairs = confirming([s for s in own if names_all(s, best.value)])
        if not pairs:
            held.add("too_few_confirm")
        elif all(_spent(pair, around, limits) for pair in pairs):
            held.add("daily_limit")
        if set(rests_on) & set(around.waiting_batch):
            held.add("batch")
    if held:
        return Acceptance(held=tuple(code for code in HELD if code in held))
    assert best is not None
    return Acceptance(as_stated(best.value, statements), rests_on)


def confirming(statements: Sequence[Statement]) -> list[tuple[str, str]]:
    """Return the pairs of people that confirm each other: each has a witness that the other has not named.

    One person is never two, whatever they have read, and two people with one document are one voice.
    """
    witnesses: dict[str, set[str]] = {}
    for said in statements:
        witnesses.setdefault(said.claim.source.by, set()).add(page_of(said.claim.source))
    return [
        (a, b)
        for a, b in combinations(sorted(witnesses), 2)
        if witnesses[a] - witnesses[b] and witnesses[b] - witnesses[a]
    ]


def names_all(said: Statement, value: EndValue) -> bool:
    """Return whether a statement itself speaks of every size of ``value``; of a value without sizes, of its mount.

    Somebody who names the bolt alone contradicts no width, and confirms none either.
    """
    named = set() if said.claim.value is None else set(value_json(said.claim.value))
    measured = said.claim.source.measurement
    if measured is not None:
        named |= {"bolt_mm"} if measured.bolt_readings_mm else set()
        named |= {"width_mm"} if measured.width_readings_mm else set()
    sizes = {size for size in ("bolt_mm", "width_mm") if getattr(value, size) is not None}
    return (sizes or {"mount"}) <= named


def _ruled(decisions: Sequence[Decision]) -> set[str]:
    ruled = rulings(decisions)
    found = {"decided"} if ruled.standing is not None else set()
    if any(d.ruling == "settle" and d.id in ruled.reversed for d in decisions):
        found.add("reversed")
    return found


def _spent(pair: tuple[str, str], around: Situation, limits: Limits) -> bool:
    return any(around.changed_today.get(person, 0) >= limits.changes_a_day for person in pair)
