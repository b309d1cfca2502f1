"""What a contributor's record says: whether their word may help the published rule to settle a value."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """What the published rule asks for. All are judgement; a dataset may set its own.

    ``proven_after`` accepted claims a contributor is no longer new; after ``pause_days`` without a sign of life they
    are again. ``changes_a_day`` bounds how many values the rule settles on one person's word in a day: it limits what
    changes, not how much anybody sends. From ``batch`` claims of one document on, they are reviewed as one.
    """

    proven_after: int = 10
    pause_days: int = 365
    changes_a_day: int = 20
    batch: int = 20


@dataclass(frozen=True, slots=True)
class ContributorRecord:
    """How a person's claims fared: how many are in each state, and how many were accepted since the last long pause."""

    states: Mapping[str, int]
    wrong: int
    proven_claims: int
    proven: bool


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
