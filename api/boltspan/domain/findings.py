"""Findings: what decisions and claims together say about one subject. Computed, never authored.

A decision rules. Without one, plain agreement of independent claims speaks: claims that share a document, or a
person with an instrument, are one voice. No probability is made up here; ``confidence`` is absent.

| what stands | standing | value | advice |
|---|---|---|---|
| settle by a person or the rule | settled | ruled | sell |
| the same, and a claim the ruling did not see says otherwise | settled, contested | ruled | ask_first |
| withhold | withheld | none | do_not_sell |
| all voices agree, two of them or one accepted page of the maker's own | provisional | agreed | ask_first |
| voices that cannot all be right | disputed | none, candidates | do_not_sell |
| one voice of another kind, or none | unknown | none, candidates | do_not_sell |
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.review import Decision, rulings
from boltspan.domain.sources import MAKERS_OWN
from boltspan.domain.statement_readings import Statement, statement_of
from boltspan.domain.subjects import Record
from boltspan.domain.values import EndValue, Value, agree, merged, stated

STANDINGS: Final = ("settled", "provisional", "disputed", "unknown", "withheld")
ADVICE: Final = ("sell", "ask_first", "do_not_sell")
SUPPLY: Final = ("stock", "none_needed", "frame_maker")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A value some claims allow: their ids, and how many independent voices they are."""

    value: Value
    claims: tuple[str, ...]
    independent: int


@dataclass(frozen=True, slots=True)
class Finding:
    """What stands for one subject. ``value`` is None unless settled or provisional.

    ``claims`` and ``independent`` count the evidence for the shown value (all evidence when none is shown);
    ``evidence_to`` is the last model year that evidence speaks of; ``mistakes`` maps claim ids to the code of a
    usual mistake a reading looks like.
    """

    subject: str
    standing: str
    advice: str
    value: Value | None = None
    contested: bool = False
    claims: int = 0
    independent: int = 0
    decision: str | None = None
    evidence_to: int | None = None
    checked_on: str | None = None
    why: str | None = None
    dissent: tuple[Candidate, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    mistakes: tuple[tuple[str, str], ...] = ()

    @property
    def supply(self) -> str | None:
        """Where the part comes from: the shop's stock, nowhere (none is needed), or the frame's maker only."""
        if not isinstance(self.value, EndValue) or self.value.mount is None:
            return None
        by_mount = {"trunnion": "none_needed", "open_eyelet": "none_needed", "proprietary": "frame_maker"}
        return by_mount.get(self.value.mount, "stock")


def find(record: Record, subject: str, claims: Sequence[Claim], decisions: Sequence[Decision]) -> Finding:
    """Return the finding on ``subject`` of ``record`` from all its claims and its decisions, oldest first.

    The order of claims does not matter. No claim and no decision: unknown.
    """
    ruled = rulings(decisions)
    live = sorted((c for c in claims if _speaks(record, c) and c.id not in ruled.refused), key=lambda c: c.id)
    statements = [statement_of(c) for c in live]
    mistakes = tuple((s.claim.id, s.mistake) for s in statements if s.mistake)
    standing = ruled.standing
    if standing is not None and standing.ruling == "settle" and standing.value is not None:
        return replace(_settled(record, subject, standing, statements), mistakes=mistakes)
    if standing is not None and standing.ruling == "withhold":
        return Finding(
            subject,
            "withheld",
            "do_not_sell",
            claims=len(live),
            independent=_voices(statements),
            decision=standing.id,
            checked_on=standing.on,
            why=standing.why,
            mistakes=mistakes,
        )
    decided = standing.id if standing is not None else None
    return replace(_agreement(record, subject, statements), decision=decided, mistakes=mistakes)


def _speaks(record: Record, claim: Claim) -> bool:
    """Whether a claim is evidence for the record: one whose years were corrected may hold claims of other years."""
    return claim.counts and (claim.years is None or claim.years.overlaps(record.years))


def for_year(finding: Finding, year: int) -> Finding:
    """Return the finding as it answers for ``year``: beyond the last year of its evidence at most provisional."""
    if finding.standing == "settled" and finding.evidence_to is not None and year > finding.evidence_to:
        return replace(finding, standing="provisional", advice="ask_first")
    return finding


def _settled(record: Record, subject: str, ruling: Decision, statements: Sequence[Statement]) -> Finding:
    value = ruling.value
    assert value is not None
    for_it = [s for s in statements if s.allows(value)]
    against = [s for s in statements if not s.allows(value)]
    contested = any(s.claim.id not in ruling.overrules for s in against)
    return Finding(
        subject,
        "settled",
        "ask_first" if contested else "sell",
        value,
        contested,
        len(for_it),
        _voices(for_it),
        ruling.id,
        _evidence_to(record, [s.claim for s in for_it]),
        ruling.on,
        dissent=tuple(_grouped(against)),
    )


def _agreement(record: Record, subject: str, statements: Sequence[Statement]) -> Finding:
    if not statements:
        return Finding(subject, "unknown", "do_not_sell")
    candidates = _candidates(statements)
    newest = max(s.claim.source.seen_on for s in statements)
    count, voices = len(statements), _voices(statements)
    whole = next((c for c in candidates if len(c.claims) == count), None)
    if whole is None and (candidates or len(statements) > 1):
        return Finding(
            subject,
            "disputed",
            "do_not_sell",
            claims=count,
            independent=voices,
            checked_on=newest,
            candidates=candidates,
        )
    if whole is not None and (voices > 1 or any(_is_makers_word(s.claim) for s in statements)):
        return Finding(
            subject,
            "provisional",
            "ask_first",
            whole.value,
            claims=count,
            independent=voices,
            evidence_to=_evidence_to(record, [s.claim for s in statements]),
            checked_on=newest,
        )
    return Finding(
        subject, "unknown", "do_not_sell", claims=count, independent=voices, checked_on=newest, candidates=candidates
    )


def _is_makers_word(claim: Claim) -> bool:
    return claim.source.kind in MAKERS_OWN and claim.state == "accepted"


def _candidates(statements: Sequence[Statement]) -> tuple[Candidate, ...]:
    """Return every value some statement makes, completed by those that agree with it; most voices first."""
    values = [s.value for s in statements if s.value is not None]
    pool: list[Value] = []
    for start in sorted(values, key=lambda v: (-stated(v), repr(v))):
        whole = start
        for other in sorted(values, key=repr):
            if agree(whole, other):
                whole = merged(whole, other)
        if not any(agree(whole, known) and stated(known) >= stated(whole) for known in pool):
            pool.append(whole)
    found = [_candidate(value, [s for s in statements if s.allows(value)]) for value in pool]
    return tuple(sorted(found, key=lambda c: (-c.independent, -len(c.claims), repr(c.value))))


def _grouped(statements: Sequence[Statement]) -> Iterable[Candidate]:
    """Return the statements against a shown value, those that agree with each other together."""
    rest = list(statements)
    while rest:
        first = next((s for s in rest if s.value is not None), rest[0])
        if first.value is None:
            return
        together = [s for s in rest if s.allows(first.value)] or [first]
        yield _candidate(first.value, together)
        rest = [s for s in rest if s not in together]


def _candidate(value: Value, statements: Sequence[Statement]) -> Candidate:
    return Candidate(value, tuple(s.claim.id for s in statements), _voices(statements))


def _voices(statements: Sequence[Statement]) -> int:
    """Return how many independent voices there are: claims of one document are one, and so are a person's own.

    A claim that waits for review also counts as its contributor's, so that nobody makes two voices by naming two
    documents. Claims that share any of these are one voice together.
    """
    groups: list[set[str]] = []
    for statement in statements:
        source = statement.claim.source
        names = {source.witness} | ({source.person} if statement.claim.state == "submitted" else set())
        touching = [g for g in groups if g & names]
        groups = [g for g in groups if not g & names] + [names.union(*touching)]
    return len(groups)


def _evidence_to(record: Record, claims: Sequence[Claim]) -> int | None:
    """Return the last model year the claims speak of.

    A claim without years speaks for the record's years; while it is still made, up to the year it was seen.
    """
    last = [_last_year(record, c) for c in claims]
    return max(last) if last else None


def _last_year(record: Record, claim: Claim) -> int:
    seen = int(claim.source.seen_on[:4])
    for years in (claim.years, record.years):
        if years is not None and years.end is not None:
            return years.end
    return max(seen, record.years.start)
