"""Shocks: who makes them, for which years, and what became of a record. What each end is, claims say.

A shock whose eyelet bore changed with a model year is two generations: two records with years of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from boltspan.domain.frames import Model, Qualifier, Years
from boltspan.domain.shock_values import SIZES
from boltspan.domain.sources import Source

SHOCK_RECORDS: Final = ("shock", "merged", "divided", "withdrawn")
SHOCK_ENDS: Final = ("body", "shaft")
"""The two ends of every shock; they may be of different kinds: a trunnion shock has an eyelet at the shaft."""


@dataclass(frozen=True, slots=True)
class SoldWith:
    """The word of a source that this shock, sold for ``frame``, has the hardware of these ``ends`` in its box.

    ``ends`` are named as the frame's maker names them.
    """

    frame: str
    ends: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class ShockModel(Model):
    """A model of shock of one make, as sold."""


@dataclass(frozen=True, slots=True)
class Shock:
    """One generation of a shock model, or what became of its record (``record`` is one of SHOCK_RECORDS)."""

    id: str
    make: str
    model: str
    record: str
    years: Years
    qualifier: Qualifier | None = None
    sold_with: tuple[SoldWith, ...] = ()
    into: tuple[str, ...] = ()
    withdrawn_on: str | None = None
    why: str | None = None

    @property
    def live(self) -> bool:
        """Whether the record still answers for a shock."""
        return self.record == "shock"

    @property
    def subjects(self) -> tuple[str, str, str]:
        """What claims can be about: the sizes it is made in and both ends, in the files' order."""
        return (SIZES, *SHOCK_ENDS)
