"""Claims: what one source says about one subject. Immutable; a claim can be withdrawn, never edited."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from boltspan.domain.frames import Years
from boltspan.domain.sources import Source
from boltspan.domain.values import Value

STATES: Final = ("submitted", "accepted", "refused", "superseded", "withdrawn")
"""``submitted`` waits for a review, ``accepted`` belongs to the dataset, ``refused`` was ruled out by a decision,
``superseded`` gave way to a newer claim of the same person. What is shown is finer: see ``claim_states``."""


@dataclass(frozen=True, slots=True)
class Claim:
    """One statement about the frame or shock whose id is ``frame``.

    ``value`` is None for a measurement whose contributor stated no size; readings speak then.

    ``sequence`` is the number of the event that brought it in (0 before it is stored). ``unreviewed`` says that it was
    sent by a contributor: then only a ruling that stands lets it in. ``superseded_by`` is the newer claim.
    """

    id: str
    frame: str
    subject: str
    source: Source
    value: Value | None = None
    years: Years | None = None
    withdrawn_on: str | None = None
    withdrawn_why: str | None = None
    state: str = "accepted"
    sequence: int = 0
    superseded_on: str | None = None
    superseded_by: str | None = None
    unreviewed: bool = False

    def __post_init__(self) -> None:
        if self.state == "submitted":  # what waits for a review came in without one
            object.__setattr__(self, "unreviewed", True)

    @property
    def counts(self) -> bool:
        """Whether the claim is evidence: neither withdrawn, superseded nor refused."""
        return self.state in ("submitted", "accepted")
