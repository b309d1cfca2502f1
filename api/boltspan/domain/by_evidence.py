"""Findings where nobody has ruled and the evidence was weighed.

The evidence knows an end as a mount, and hardware by bolt and width. It may only give a value whose numbers somebody
has named: what usually goes with a width is no statement about this frame.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from boltspan.domain.agreement import agreed_value, candidate_of, candidates_of, evidence_to, grouped, voices_of
from boltspan.domain.finding import Candidate, Finding
from boltspan.domain.frames import Frame
from boltspan.domain.statement_readings import Statement
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM
from boltspan.domain.values import INCH_BOLTS, EndValue, Value
from boltspan.domain.weighed import (
    BOLT_TOLERANCE_MM,
    MODELLED_BOLTS_MM,
    Weighed,
    WeighedCandidate,
    same_end,
    same_width,
)

PROVISIONAL_P: Final = 0.90
"""From this probability on a value is shown without a ruling, to be asked about first (judgement)."""
LEAST_P: Final = 0.01
"""A candidate that no claim states outright is named from this probability on (judgement)."""


def may_speak(weighed: Weighed, statements: Sequence[Statement]) -> bool:
    """Return whether the likeliest value is one that the claims state as a whole, in what the evidence can tell apart.

    Not so when a number of it is only usual (nobody named a bolt), when claims for it differ in a size that the
    evidence does not weigh (of a bearing, of an open eyelet), and when somebody names a bolt in inches.
    """
    best = weighed.best
    if best is None or any(_is_inch_bolt(s) for s in statements):
        return False
    backers = [s for s in statements if s.claim.id in best.claims]
    if best.value.mount == "hardware":
        return all(any(_names(s, size, best.value) for s in backers) for size in ("bolt_mm", "width_mm"))
    return bool(backers) and agreed_value(backers) is not None


def by_evidence(frame: Frame, subject: str, statements: Sequence[Statement], weighed: Weighed) -> Finding:
    """Return what the evidence makes of the statements, which ``may_speak`` has let it; no ruling stands.

    Claims that wait for their review make no value alone, however many and however likely: strangers can make an
    answer doubtful, never give one.
    """
    best = weighed.best
    assert best is not None, "the evidence may speak only with a candidate"
    value = as_stated(best.value, statements)
    backers = [s for s in statements if s.claim.id in best.claims or s.allows(value)]
    newest = max(s.claim.source.seen_on for s in statements)
    reviewed = any(s.claim.state == "accepted" for s in backers)
    if weighed.outcome != "conflict" and best.p >= PROVISIONAL_P and reviewed:
        rest = [s for s in statements if s not in backers]
        return Finding(
            subject,
            "provisional",
            "ask_first",
            value,
            claims=len(backers),
            independent=voices_of(backers),
            evidence_to=evidence_to(frame, [s.claim for s in backers]),
            checked_on=newest,
            dissent=tuple(replace(c, p=probability(weighed, c.value)) for c in grouped(rest)),
            confidence=best.p,
            model_version=weighed.model_version,
        )
    standing = "disputed" if weighed.outcome == "conflict" else "unknown"
    return Finding(
        subject,
        standing,
        "do_not_sell",
        claims=len(statements),
        independent=voices_of(statements),
        checked_on=newest,
        candidates=_candidates(statements, weighed),
        model_version=weighed.model_version,
    )


def probability(weighed: Weighed | None, value: Value) -> float | None:
    """Return the probability that ``value`` holds; 0 when the evidence has no such candidate.

    None where it was not weighed or knows no such size: a shock's size, a bolt in inches.
    """
    if weighed is None or not isinstance(value, EndValue) or not _known_bolt(value.bolt_mm, value.mount):
        return None
    return weighed.p_of(value)


def _candidates(statements: Sequence[Statement], weighed: Weighed) -> tuple[Candidate, ...]:
    """Return the likely values that claims go with, then whatever else claims state; the likeliest first."""
    stated = candidates_of(statements)
    found: list[Candidate] = []
    shown: list[WeighedCandidate] = []
    for candidate in weighed.candidates:
        outright = any(same_end(c.value, candidate.value) for c in stated if isinstance(c.value, EndValue))
        if candidate.claims and (candidate.p >= LEAST_P or outright):
            backers = [s for s in statements if s.claim.id in candidate.claims]
            found.append(replace(candidate_of(as_stated(candidate.value, statements), backers), p=candidate.p))
            shown.append(candidate)
    found += (
        replace(other, p=probability(weighed, other.value))
        for other in stated
        if isinstance(other.value, EndValue) and not any(same_end(other.value, c.value) for c in shown)
    )
    return tuple(sorted(found, key=lambda c: (-(c.p or 0.0), -c.independent, repr(c.value))))


def as_stated(value: EndValue, statements: Iterable[Statement]) -> EndValue:
    """Return ``value`` as those write it who state it: 28.575 for 28.58, with what else they say of such an end."""
    same = [s.value for s in statements if isinstance(s.value, EndValue) and same_end(s.value, value)]
    if value.mount != "hardware":
        known = [v for v in same if v.mount == value.mount]
        return max(known, key=lambda v: (len(_sizes(v)), repr(v)), default=value)
    width = value.width_mm
    assert width is not None, "hardware that was weighed has both sizes"
    written = Counter(v.width_mm for v in same if v.width_mm is not None and same_width(v.width_mm, width))
    usual = min(written, key=lambda w: (-written[w], w), default=_trade(width))
    return replace(value, width_mm=usual, bearing_compatible=any(v.bearing_compatible for v in same))


def _sizes(value: EndValue) -> list[Decimal]:
    return [n for n in (value.bolt_mm, value.width_mm, value.eyelet_bore_mm) if n is not None]


def _trade(width: Decimal) -> Decimal:
    """Return the trade's width that ``width`` is rounded from, else itself."""
    return next((w for w in TRADE_WIDTHS_MM if abs(w - width) <= Decimal("0.006")), width)


def _names(statement: Statement, size: str, of: EndValue) -> bool:
    """Return whether a claim that goes with ``of`` says something of this size: by readings, or by stating it."""
    measurement, value = statement.claim.source.measurement, statement.claim.value
    if measurement is not None:
        return bool(measurement.bolt_readings_mm if size == "bolt_mm" else measurement.width_readings_mm)
    if not isinstance(value, EndValue) or getattr(value, size) is None:
        return False
    return size == "width_mm" or same_end(EndValue(bolt_mm=value.bolt_mm), of)


def _is_inch_bolt(statement: Statement) -> bool:
    value = statement.claim.value
    return isinstance(value, EndValue) and value.bolt_mm in INCH_BOLTS


def _known_bolt(bolt_mm: Decimal | None, mount: str | None) -> bool:
    """Return whether the evidence knows the bolt; that of a mount without weighed sizes does not matter."""
    if bolt_mm is None or mount not in (None, "hardware"):
        return True
    return any(abs(bolt_mm - known) <= BOLT_TOLERANCE_MM for known in MODELLED_BOLTS_MM)
