"""Caliper widths of one end at a glance, for a reviewer.

Never part of the posterior: a mean of 30 and 40 is no size.
"""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from boltspan.evidence.intake import Claim, End, EvidenceInputError, read_claims
from boltspan.evidence.parameters import Parameters, load_parameters
from boltspan.evidence.vocabulary import CALIPER


@dataclass(frozen=True, slots=True)
class WidthSummary:
    """Several figures for one width as one.

    `birge_ratio` is about 1 where figures differ as far as their uncertainties say; a single figure has none (None).
    """

    mean_mm: float
    standard_uncertainty_mm: float
    birge_ratio: float | None
    enlarged_uncertainty_mm: float


@dataclass(frozen=True, slots=True)
class ContributorWidth:
    """What one contributor's caliper says of the width, its zero error taken off, with the standard uncertainty."""

    contributor: str
    width_mm: float
    uncertainty_mm: float
    readings: int


def summarise_widths(widths_mm: Sequence[float], uncertainties_mm: Sequence[float]) -> WidthSummary:
    """The weighted mean of the figures, its standard uncertainty, and how far the figures disagree.

    Weights are w = 1 / u^2: mean = sum w x / sum w, standard uncertainty (sum w)^-1/2, Birge ratio
    R = sqrt(sum w (x - mean)^2 / (n - 1)) (Birge 1932, from memory), enlarged uncertainty the standard one times
    max(1, R). `uncertainties_mm` are standard uncertainties over 0.
    ValueError: no figures, lists of different lengths, an uncertainty that is not over 0.
    """
    if not widths_mm or len(widths_mm) != len(uncertainties_mm):
        raise ValueError("widths and uncertainties: one of each is needed for every figure, and at least one figure")
    if not all(0.0 < uncertainty < math.inf for uncertainty in uncertainties_mm):
        raise ValueError("uncertainties: accepted: numbers over 0")
    weights = [uncertainty**-2 for uncertainty in uncertainties_mm]
    total = math.fsum(weights)
    mean = math.fsum(weight * x for weight, x in zip(weights, widths_mm, strict=True)) / total
    standard = total**-0.5
    if len(widths_mm) == 1:
        return WidthSummary(mean, standard, None, standard)
    squares = math.fsum(weight * (x - mean) ** 2 for weight, x in zip(weights, widths_mm, strict=True))
    ratio = math.sqrt(squares / (len(widths_mm) - 1))
    return WidthSummary(mean, standard, ratio, standard * max(1.0, ratio))


def caliper_widths(
    claims: Any, offsets_mm: Mapping[str, float] | None = None, parameters: Parameters | None = None
) -> list[ContributorWidth]:
    """One figure for each contributor who put a caliper to the width of one end, by contributor; [] for nobody.

    `claims` are rows as in the input of `resolve`, all of one end; other kinds are passed over. `offsets_mm` is the
    zero error of each contributor's caliper. Several claims of a contributor count as so many readings; the
    uncertainty is sqrt(sys^2 + sig^2 / n) of the caliper.
    EvidenceInputError: a row that cannot be used, or rows of several ends.
    """
    numbers = parameters or load_parameters()
    end_ids = {row.get("end_id") for row in claims}
    if len(end_ids) > 1:
        raise EvidenceInputError(f"claims: are of {len(end_ids)} ends; accepted: claims of one end")
    read = read_claims(claims, [End(end_id, end_id) for end_id in end_ids], numbers)
    of_person: defaultdict[str, list[Claim]] = defaultdict(list)
    for claim in read:
        if claim.source == CALIPER and not math.isnan(claim.width_mm):
            of_person[claim.contributor].append(claim)
    caliper, zeros_mm = numbers.instruments[CALIPER], offsets_mm or {}
    figures = []
    for contributor, own in sorted(of_person.items()):
        readings = sum(claim.readings for claim in own)
        mean_mm = math.fsum(claim.width_mm * claim.readings for claim in own) / readings
        uncertainty_mm = math.sqrt(caliper.systematic_sd_mm**2 + caliper.repeat_sd_mm**2 / readings)
        figures.append(
            ContributorWidth(contributor, mean_mm - zeros_mm.get(contributor, 0.0), uncertainty_mm, readings)
        )
    return figures
