"""Why the evidence says what it says of one end, as figures that add up and as words a mechanic would use."""

from __future__ import annotations

from dataclasses import dataclass

from boltspan.domain.values import EndValue
from boltspan.domain.weighed import WeighedCandidate


@dataclass(frozen=True, slots=True)
class ClaimWeight:
    """What one claim adds to the first candidate against the second, and what it says, to be drawn.

    ``log10_odds`` above 0 speaks for the first candidate: 2 is a hundred times likelier under it. ``width_mm`` and
    ``bolt_mm`` are what the source states or the mean of its readings as read; the ``_sd_mm`` are their standard
    uncertainties (None for a document, which states its size outright, and where there is no size). ``shared_by``
    counts the claims that this one shares its weight with, itself included. ``words`` is one sentence.
    """

    claim: str
    kind: str
    by: str
    seen_on: str
    log10_odds: float
    words: str
    mount: str | None = None
    bolt_mm: float | None = None
    bolt_sd_mm: float | None = None
    width_mm: float | None = None
    width_sd_mm: float | None = None
    shared_by: int = 1


@dataclass(frozen=True, slots=True)
class Side:
    """One of the values that are said of an end: what its ``claims`` name of it, and who says so.

    ``voices`` counts who speaks independently: claims of one document are one. ``speakers`` is that in words.
    """

    value: EndValue
    voices: int
    speakers: str
    claims: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CaliperFigure:
    """What one person's calipers say of the width, their zero error taken off, with its standard uncertainty."""

    by: str
    width_mm: float
    uncertainty_mm: float
    readings: int
    zero_error_mm: float


@dataclass(frozen=True, slots=True)
class CaliperSummary:
    """All caliper widths of the end as one figure. Never part of the probabilities: 30 and 40 do not make 35.

    ``birge_ratio`` is about 1 where the figures differ as far as their uncertainties say; None for a single figure.
    ``enlarged_uncertainty_mm`` allows for a ratio above 1.
    """

    mean_mm: float
    standard_uncertainty_mm: float
    enlarged_uncertainty_mm: float
    birge_ratio: float | None = None


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why one end comes out as it does: ``first``, the likeliest value, against ``second``.

    ``second`` is the likeliest value of those who contradict ``first``; the next likeliest where nobody does. ``sides``
    tells who says what, with those for ``first`` before the others.

    ``prior_log10_odds`` + ``other_end_log10_odds`` + all ``weights`` = log10 of ``first.p`` / ``second.p``.
    ``candidates`` are all values with a probability worth a line, the first and second among them, descending.
    ``measurement_value`` is what one more measurement is worth in units of one review; ``advice`` says in plain words
    what would settle the end. ``why`` is the whole in a few sentences. ``calipers`` and ``caliper_summary`` are for
    reviewers only and are left out for everybody else.
    """

    frame: str
    end: str
    outcome: str
    first: WeighedCandidate
    second: WeighedCandidate
    prior_log10_odds: float
    other_end_log10_odds: float
    weights: tuple[ClaimWeight, ...]
    candidates: tuple[WeighedCandidate, ...]
    split_probability: float
    witnesses: int
    measurement_value: float
    why: tuple[str, ...]
    advice: tuple[str, ...]
    model_version: str
    snapshot: str
    settled: EndValue | None = None
    sides: tuple[Side, ...] = ()
    calipers: tuple[CaliperFigure, ...] = ()
    caliper_summary: CaliperSummary | None = None
