"""What a contributor's record says: whether their word may help the published rule to settle a value."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.ids import RULE_AUTHOR
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import statement_of


@dataclass(frozen=True, slots=True)
class Limits:
    """What the published rule asks for. All are judgement; a dataset may set its own.

    ``proven_after`` accepted claims a contributor is no longer new; after ``pause_days`` without a sign of life they
    are again. A claim is accepted by somebody else's ruling that follows it: what the rule settles counts for nothing,
    nor does a claim that was let in and overruled; all on one subject count as one, and so does a large batch.
    ``changes_a_day`` bounds how many values the rule settles on one person's word in 24 hours: it limits what changes,
    not how much anybody sends. From ``batch`` claims of one document on, they are reviewed as one.
    """

    proven_after: int = 10
    pause_days: int = 365
    changes_a_day: int = 20
    batch: int = 20


@dataclass(frozen=True, slots=True)
class ContributorRecord:
    """How a person's claims fared: how many are in each state, how many were found wrong, whether they are proven."""

    states: Mapping[str, int]
    wrong: int
    proven: bool


LIMIT_TEXTS: Final = {
    "proven_after": "Claims accepted by a maintainer after which a contributor is no longer new and may confirm.",
    "pause_days": "Days without a sign of life after which a contributor counts as new again.",
    "changes_a_day": "Values that the rule settles on one person's word within 24 hours, at most.",
    "batch": "Claims of one document from which on they are reviewed as one.",
}
LIMIT_RANGES: Final = {
    "proven_after": (1, 1000),
    "pause_days": (1, 10_000),
    "changes_a_day": (1, 1000),
    "batch": (2, 10_000),
}
"""What a limit may be set to, both ends included: none of them can be switched off (judgement)."""


def confirmed(claim: Claim, decisions: Sequence[Decision]) -> bool:
    """Return whether somebody else has ruled that an accepted claim is right: the last settle that stands follows it.

    ``decisions`` are those on its subject, oldest first. What the published rule settled does not count, or accounts
    that repeat each other would make themselves trusted; nor does a claim that a ruling let in and overruled.
    """
    undone = rulings(decisions).reversed
    settled = next((d for d in reversed(decisions) if d.ruling == "settle" and d.id not in undone), None)
    if claim.state != "accepted" or settled is None or settled.value is None:
        return False
    by_another = settled.by not in (RULE_AUTHOR, claim.source.by)
    return by_another and claim.id not in settled.overrules and statement_of(claim).allows(settled.value)


def since_pause(accepted_on: Sequence[str], active_on: Sequence[str], today: str, limits: Limits) -> int:
    """Return how many claims, sent on the days ``accepted_on``, were accepted since the person's last long pause.

    ``active_on`` are the days on which the person did anything. A pause is more than ``limits.pause_days`` between two
    of them, or since the last one until ``today``: then none counts. Nothing done: 0.
    """
    days = sorted({*active_on, *accepted_on})
    if not days:
        return 0
    longest = datetime.timedelta(days=limits.pause_days)
    dates = [datetime.date.fromisoformat(d) for d in days]
    if datetime.date.fromisoformat(today) - dates[-1] > longest:
        return 0
    start = next((i for i in range(len(dates) - 1, 0, -1) if dates[i] - dates[i - 1] > longest), 0)
    return sum(day >= days[start] for day in accepted_on)
