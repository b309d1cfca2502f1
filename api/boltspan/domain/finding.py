"""A finding: what stands for one subject, and what may be instead. Computed, never authored."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from boltspan.domain.values import EndValue, Value

STANDINGS: Final = ("settled", "provisional", "disputed", "unknown", "withheld")
ADVICE: Final = ("sell", "ask_first", "do_not_sell")
SUPPLY: Final = ("stock", "none_needed", "frame_maker")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A value some claims allow: their ids, how many independent voices they are, and its probability once earned."""

    value: Value
    claims: tuple[str, ...]
    independent: int
    p: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What stands for one subject. ``value`` is None unless settled or provisional.

    ``claims`` and ``independent`` count the evidence for the shown value (all evidence when none is shown);
    ``evidence_to`` is the last model year that evidence speaks of; ``mistakes`` maps claim ids to the code of a
    usual mistake a reading looks like. ``confidence`` is the probability of the shown value and ``model_version``
    the model it comes from; both are None where the evidence was not weighed.
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
    confidence: float | None = None
    model_version: str | None = None

    @property
    def supply(self) -> str | None:
        """Where the part comes from: the shop's stock, nowhere (none is needed), or the frame's maker only."""
        if not isinstance(self.value, EndValue) or self.value.mount is None:
            return None
        by_mount = {"trunnion": "none_needed", "open_eyelet": "none_needed", "proprietary": "frame_maker"}
        return by_mount.get(self.value.mount, "stock")
