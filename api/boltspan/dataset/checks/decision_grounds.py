"""A decision names claims that stand on its own subject.

A ruling that rests on a claim nobody can look up, or on one about the other end, cannot be checked or undone with
reason.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem, nearest

CODE: Final = "decision_grounds"
NAME: Final = "decisions rest on claims that are there"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each claim that a decision names and that is not on its subject."""
    on_subject: dict[tuple[str, str], set[str]] = defaultdict(set)
    for c in records.claims:
        on_subject[c.record.frame, c.record.subject].add(c.record.id)
    elsewhere = {c.record.id: f"{c.path}#{c.pointer}" for c in records.claims}
    for placed in records.decisions:
        own = sorted(on_subject[placed.record.frame, placed.record.subject])
        for key in ("rests_on", "overrules", "refuses"):
            for i, claim in enumerate(getattr(placed.record, key)):
                if claim in own or (claim in records.ids and claim not in elsewhere):
                    continue  # one that could not be read is told about already
                there = elsewhere.get(claim)
                detail = f"this claim is about another subject, at {there}" if there else "there is no such claim"
                yield Problem(
                    placed.path,
                    f"{placed.pointer}/{key}/{i}",
                    CODE,
                    detail,
                    claim,
                    ", ".join(own) or "the subject has no claim",
                    nearest(claim, own),
                )
