"""Findings: what decisions, the weighed evidence and the claims together say about one subject.

A decision rules; the evidence speaks where nobody has ruled. "Weighed" is what the evidence model made of the claims;
without it (the shock's size, partial values) plain agreement speaks and there is no confidence.

| evidence | decision | standing | value | advice |
|---|---|---|---|---|
| any | settle, by a person or the rule | settled | ruled; ``confidence`` is the evidence's, whatever it is | sell |
| any, and a claim the ruling did not see says otherwise | settle | settled, contested | ruled | ask_first |
| accept or insufficient, p >= 0.90 | none | provisional | the likeliest | ask_first |
| conflict | none | disputed | none, candidates | do_not_sell |
| insufficient, p < 0.90, or no claims | none | unknown | none, candidates | do_not_sell |
| any | withhold | withheld | none | do_not_sell |
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from boltspan.domain.agreement import agreement, evidence_to, grouped, voices_of
from boltspan.domain.by_evidence import by_evidence, may_speak, probability
from boltspan.domain.claims import Claim
from boltspan.domain.finding import ADVICE, STANDINGS, SUPPLY, Candidate, Finding
from boltspan.domain.frames import Frame
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import Statement, statements_of
from boltspan.domain.subjects import Record
from boltspan.domain.weighed import Weighed

__all__ = ["ADVICE", "STANDINGS", "SUPPLY", "Candidate", "Finding", "find", "for_year", "speaking"]


def find(
    record: Record,
    subject: str,
    claims: Sequence[Claim],
    decisions: Sequence[Decision],
    weighed: Weighed | None = None,
) -> Finding:
    """Return the finding on ``subject`` of ``record`` from all its claims and its decisions, oldest first.

    ``weighed`` is what the evidence makes of the same claims, None where it has nothing to say. The order of claims
    does not matter. No claim and no decision: unknown.
    """
    live = speaking(record, claims, decisions)
    statements = statements_of(live)
    mistakes = tuple((s.claim.id, s.mistake) for s in statements if s.mistake)
    standing = rulings(decisions).standing
    if standing is not None and standing.ruling == "settle" and standing.value is not None:
        return replace(_settled(record, subject, standing, statements, weighed), mistakes=mistakes)
    if standing is not None and standing.ruling == "withhold":
        return Finding(
            subject,
            "withheld",
            "do_not_sell",
            claims=len(live),
            independent=voices_of(statements),
            decision=standing.id,
            checked_on=standing.on,
            why=standing.why,
            mistakes=mistakes,
        )
    decided = standing.id if standing is not None else None
    if isinstance(record, Frame) and weighed is not None and may_speak(weighed, statements):
        found = by_evidence(record, subject, statements, weighed)
    else:
        found = agreement(record, subject, statements)
    return replace(found, decision=decided, mistakes=mistakes)


def speaking(record: Record, claims: Sequence[Claim], decisions: Sequence[Decision]) -> list[Claim]:
    """Return the claims that are evidence for the record, by id: neither withdrawn nor refused, and of its years.

    A record whose years were corrected may hold claims of other years. ``claims`` and ``decisions`` are those of one
    subject.
    """
    refused = rulings(decisions).refused
    found = [
        c for c in claims if c.counts and c.id not in refused and (c.years is None or c.years.overlaps(record.years))
    ]
    return sorted(found, key=lambda c: c.id)


def for_year(finding: Finding, year: int) -> Finding:
    """Return the finding as it answers for ``year``: beyond the last year of its evidence at most provisional."""
    if finding.standing == "settled" and finding.evidence_to is not None and year > finding.evidence_to:
        return replace(finding, standing="provisional", advice="ask_first")
    return finding


def _settled(
    record: Record, subject: str, ruling: Decision, statements: Sequence[Statement], weighed: Weighed | None
) -> Finding:
    value = ruling.value
    assert value is not None
    for_it = [s for s in statements if s.allows(value)]
    against = [s for s in statements if not s.allows(value)]
    contested = any(s.claim.id not in ruling.overrules for s in against)
    confidence = probability(weighed, value)
    return Finding(
        subject,
        "settled",
        "ask_first" if contested else "sell",
        value,
        contested,
        len(for_it),
        voices_of(for_it),
        ruling.id,
        evidence_to(record, [s.claim for s in for_it]),
        ruling.on,
        dissent=tuple(replace(c, p=probability(weighed, c.value)) for c in grouped(against)),
        confidence=confidence,
        model_version=weighed.model_version if weighed is not None and confidence is not None else None,
    )
