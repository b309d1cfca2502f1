"""Plain agreement: what independent claims say together where no probability is there to be had.

Claims that share a document, or a person with an instrument, are one voice.

| what stands | standing | value | advice |
|---|---|---|---|
| all voices agree, two of them reviewed, or one reviewed page of the maker's own | provisional | agreed | ask_first |
| voices that cannot all be right | disputed | none, candidates | do_not_sell |
| one voice of another kind, or none | unknown | none, candidates | do_not_sell |
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from boltspan.domain.claims import Claim
from boltspan.domain.finding import Candidate, Finding
from boltspan.domain.sources import MAKERS_OWN
from boltspan.domain.statement_readings import Statement
from boltspan.domain.subjects import Record
from boltspan.domain.values import Value, agree, merged, stated


def agreement(record: Record, subject: str, statements: Sequence[Statement]) -> Finding:
    """Return what plain agreement makes of the statements on one subject; none at all: unknown."""
    if not statements:
        return Finding(subject, "unknown", "do_not_sell")
    candidates = candidates_of(statements)
    newest = max(s.claim.source.seen_on for s in statements)
    count, voices = len(statements), voices_of(statements)
    whole = next((c for c in candidates if len(c.claims) == count), None)
    if whole is None and candidates:
        return Finding(
            subject,
            "disputed",
            "do_not_sell",
            claims=count,
            independent=voices,
            checked_on=newest,
            candidates=candidates,
        )
    reviewed = voices_of([s for s in statements if s.claim.state == "accepted"])
    if whole is not None and (reviewed > 1 or any(_is_makers_word(s.claim) for s in statements)):
        return Finding(
            subject,
            "provisional",
            "ask_first",
            whole.value,
            claims=count,
            independent=voices,
            evidence_to=evidence_to(record, [s.claim for s in statements]),
            checked_on=newest,
        )
    return Finding(
        subject, "unknown", "do_not_sell", claims=count, independent=voices, checked_on=newest, candidates=candidates
    )


def _is_makers_word(claim: Claim) -> bool:
    return claim.source.kind in MAKERS_OWN and claim.state == "accepted"


def candidates_of(statements: Sequence[Statement]) -> tuple[Candidate, ...]:
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
    found = [candidate_of(value, [s for s in statements if s.allows(value)]) for value in pool]
    return tuple(sorted(found, key=lambda c: (-c.independent, -len(c.claims), repr(c.value))))


def grouped(statements: Sequence[Statement]) -> Iterable[Candidate]:
    """Return the statements against a shown value, those that agree with each other together."""
    rest = list(statements)
    while rest:
        first = next((s for s in rest if s.value is not None), rest[0])
        if first.value is None:
            return
        together = [s for s in rest if s.allows(first.value)] or [first]
        yield candidate_of(first.value, together)
        rest = [s for s in rest if s not in together]


def candidate_of(value: Value, statements: Sequence[Statement]) -> Candidate:
    """Return ``value`` with the claims and voices of these statements."""
    return Candidate(value, tuple(s.claim.id for s in statements), voices_of(statements))


def voices_of(statements: Sequence[Statement]) -> int:
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


def evidence_to(record: Record, claims: Sequence[Claim]) -> int | None:
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


def agreed_value(statements: Sequence[Statement]) -> Value | None:
    """Return the one value that all statements go with, made of what they state; None when there is none."""
    return next((c.value for c in candidates_of(statements) if len(c.claims) == len(statements)), None)
