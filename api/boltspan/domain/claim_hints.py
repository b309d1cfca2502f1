"""What a reviewer had better look at in a claim: usual slips that its numbers, or its neighbours, show.

A hint is no ruling: each has an innocent reading too. All are common practice without a published source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.lengths import INCH_MM, same_size
from boltspan.domain.sources import document_of
from boltspan.domain.statement_readings import beside_others, statement_of
from boltspan.domain.values import EndValue, agree

HINTS: Final = {
    "inch_slip": "The width fits another statement when inches and millimetres are exchanged.",
    "bolt_width_swapped": "Bolt and width look exchanged.",
    "both_ends_equal": "The same person states the same size for both ends.",
    "identical_digits": "Several readings are the same to the last digit, as if one had been written down again.",
    "same_document": "Another claim names the same document; the two are one voice.",
    "reading_mistake": "The reading looks like a usual mistake with a caliper.",
    "person_repeats": "The same person has more than one claim here.",
}
LARGEST_BOLT_MM: Final = Decimal("14.9")
SMALLEST_WIDTH_MM: Final = Decimal("12.8")
"""A bolt from the first and a width up to the second: exchanged, no other reading is possible."""
LEAST_READINGS: Final = 3


@dataclass(frozen=True, slots=True)
class Hint:
    """A code of HINTS, and the other claim it has to do with, if any."""

    code: str
    claim: str | None = None


def hints(claim: Claim, others: Sequence[Claim], at_other_end: Sequence[Claim]) -> tuple[Hint, ...]:
    """Return the hints on ``claim``, in the order of HINTS, each code and claim once.

    ``others`` are the claims on its subject that count (itself may be among them), ``at_other_end`` those on the
    frame's other end; none for the shock's size.
    """
    rest = [c for c in others if c.id != claim.id]
    said = beside_others(claim, rest)
    found: list[Hint] = []
    if isinstance(said.value, EndValue):
        found += _numbers(said.value, rest)
        found += [Hint("both_ends_equal", c.id) for c in at_other_end if _says_the_same(claim, said.value, c)]
    if _identical(claim):
        found.append(Hint("identical_digits"))
    found += [
        Hint("same_document", c.id) for c in rest if _document(c) is not None and _document(c) == _document(claim)
    ]
    if said.mistake is not None:
        found.append(Hint("reading_mistake"))
    found += [Hint("person_repeats", c.id) for c in rest if c.source.by == claim.source.by]
    place: Mapping[str, int] = {code: i for i, code in enumerate(HINTS)}
    return tuple(sorted(dict.fromkeys(found), key=lambda h: (place[h.code], h.claim or "")))


def _numbers(value: EndValue, rest: Sequence[Claim]) -> list[Hint]:
    found: list[Hint] = []
    if value.width_mm is not None:
        for other in rest:
            stated = statement_of(other).value
            if isinstance(stated, EndValue) and stated.width_mm is not None and _in_inches(value, stated):
                found.append(Hint("inch_slip", other.id))
    if value.bolt_mm is not None and value.width_mm is not None:
        if value.bolt_mm >= LARGEST_BOLT_MM and value.width_mm <= SMALLEST_WIDTH_MM:
            found.append(Hint("bolt_width_swapped"))
        for other in rest:
            stated = statement_of(other).value
            if isinstance(stated, EndValue) and (stated.bolt_mm, stated.width_mm) == (value.width_mm, value.bolt_mm):
                found.append(Hint("bolt_width_swapped", other.id))
    return found


def _in_inches(value: EndValue, other: EndValue) -> bool:
    a, b = value.width_mm, other.width_mm
    assert a is not None and b is not None
    return not same_size(a, b) and (same_size(a * INCH_MM, b) or same_size(a, b * INCH_MM))


def _says_the_same(claim: Claim, value: EndValue, other: Claim) -> bool:
    stated = statement_of(other).value
    sized = value.bolt_mm is not None and value.width_mm is not None
    return sized and stated is not None and other.source.by == claim.source.by and agree(value, stated)


def _identical(claim: Claim) -> bool:
    measured = claim.source.measurement
    lists = () if measured is None else [readings for _, _, readings in measured.parts]
    return any(len(r) >= LEAST_READINGS and len(set(r)) == 1 for r in lists)


def _document(claim: Claim) -> str | None:
    return document_of(claim.source.url) if claim.source.url else claim.source.document
