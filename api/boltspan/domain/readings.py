"""From caliper readings to a nominal size: which size they speak for, or which mistake they look like.

Model. Each candidate i has an interval [lo, hi] of true values of the feature and a prior w_i. With n readings of
mean y and sample standard deviation s:

    m_i   = (lo + hi) / 2
    var_i = ((hi - lo) / 2)^2 / 3  +  a^2 / 3  +  r^2 / 12  +  s^2 / n
    L_i   = normal density of y around m_i with var_i
    p_i   = w_i L_i / (sum of all w L)

with a the instrument's limit on the side used, r its step (rectangular limits and their combination: JCGM 100:2008,
4.3.7 and 5.1.2). "Other", none of the candidates, takes part with a flat density. Bayes' theorem does the rest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import (
    ACCEPT,
    EYELET_BORES_MM,
    INCH_BOLT_PRIOR,
    METRIC_BOLT_PRIOR,
    MISTAKE_OVER,
    MISTAKE_TOLERANCE_MM,
    OTHER_DENSITY_PER_MM,
    OTHER_PRIOR,
    ROOT_TOLERANCE_MM,
)
from boltspan.domain.features import (
    BOLT_FEATURES,
    EYELET_FEATURES,
    FEATURES,
    Interval,
    assumed_of,
    reading_interval,
    true_interval,
    usual_side,
)
from boltspan.domain.instruments import ASSUMED_KINDS, SIDES, Instrument
from boltspan.domain.lengths import same_size
from boltspan.domain.mistakes import Circumstances, Mistake, name_mistake, roots_near
from boltspan.domain.preconditions import (
    require_amount,
    require_entries,
    require_length,
    require_one_of,
    require_within,
)
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.standards.threads import root_mm
from boltspan.domain.uncertainty import combined, mean_and_spread, rectangular

__all__ = [
    "DEFAULT_BOLTS", "Candidate", "CandidateProbability", "ReadingAnswer", "ReadingRequest", "carried_on",
    "interpret_readings", "nominal_from_readings", "reading_interval", "equal_candidates",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Candidate:
    """A size in question: its prior chance (0 to 1) and its interval of true values, by the feature when absent."""

    nominal_mm: Decimal
    prior: float
    interval_mm: Interval | None = None


DEFAULT_BOLTS: Final = (
    *(Candidate(Decimal(size), METRIC_BOLT_PRIOR) for size in ("6", "8", "10")),
    *(Candidate(Decimal(size), INCH_BOLT_PRIOR) for size in ("6.35", "7.9375", "9.525")),
)
"""M6, M8, M10, and 1/4, 5/16, 3/8 in: the bolts that hold a shock, with assumed priors."""


@dataclass(frozen=True, slots=True)
class ReadingRequest:
    """1 to 1,000 readings of one feature, what they were taken with, and the sizes in question.

    ``candidates`` absent: the default bolts for a bolt's feature, the usual bores for an eyelet's, for a width whatever
    widths the caller of ``interpret_readings`` knows. Raises BenchRefusal for anything out of its range.
    """

    readings_mm: tuple[Decimal, ...]
    feature: str
    instrument: Instrument
    tab_thickness_mm: Decimal | None = None
    side: str | None = None
    candidates: tuple[Candidate, ...] | None = None
    eyelet_bores_mm: tuple[Decimal, ...] = EYELET_BORES_MM
    eyelet_width_mm: Decimal | None = None
    mistake_tolerance_mm: Decimal = MISTAKE_TOLERANCE_MM
    other_prior: float = OTHER_PRIOR
    other_density_per_mm: float = OTHER_DENSITY_PER_MM
    accept: float = ACCEPT

    def __post_init__(self) -> None:
        require_entries("readings_mm", self.readings_mm, least=1)
        for place, reading in enumerate(self.readings_mm):
            require_amount(f"readings_mm/{place}", reading)
        require_one_of("feature", self.feature, FEATURES + EYELET_FEATURES)
        if self.side is not None:
            require_one_of("side", self.side, SIDES)
        self.instrument.check()
        require_entries("candidates", self.candidates or ())
        for place, candidate in enumerate(self.candidates or ()):
            _check_candidate(f"candidates/{place}", candidate, self.feature)
        require_entries("eyelet_bores_mm", self.eyelet_bores_mm)
        for place, bore in enumerate(self.eyelet_bores_mm):
            require_length(f"eyelet_bores_mm/{place}", bore)
        require_length("eyelet_width_mm", self.eyelet_width_mm)
        require_length("tab_thickness_mm", self.tab_thickness_mm)
        require_amount("mistake_tolerance_mm", self.mistake_tolerance_mm)
        require_within("other_prior", self.other_prior, 0, 1)
        require_within("other_density_per_mm", self.other_density_per_mm, 0, 1000)
        require_within("accept", self.accept, 0, 1, open_below=True)


@dataclass(frozen=True, slots=True)
class CandidateProbability:
    """How probable one candidate is after the readings, 0 to 1."""

    nominal_mm: Decimal
    p: float


@dataclass(frozen=True, slots=True)
class ReadingAnswer:
    """All candidates with their probabilities, most probable first (ties: the smaller size first).

    ``other_p`` is what is missing to 1. ``choice_mm`` is absent when undecided, and ``next`` then says what to measure
    next; ``mistake`` is absent when none is named.
    """

    probabilities: tuple[CandidateProbability, ...]
    other_p: float
    assumed: tuple[Assumed, ...]
    choice_mm: Decimal | None = None
    mistake: Mistake | None = None
    next: str | None = None


NEXT: Final = {  # what to measure when a feature settles no size
    "thread_crest": "Measure the bore of the pin as well, or the bolt's plain shank.",
    "shank": "Measure the bore of the pin as well, or the bolt over the crests of its thread.",
    "sleeve_bore": "Measure the bolt as well: over the crests of its thread, or its plain shank.",
    "tab_gap": "Measure the old hardware over the outsides of both spacers as well.",
    "hardware_width": "Measure the opening between the frame's tabs as well.",
    "eyelet_bore": "Measure again, across another diameter, or look the bore up on the maker's page.",
    "eyelet_width": "Measure again with a caliper, or look the width up on the maker's page.",
    "eyelet_outer": "Measure again with a caliper, or look the outside up on the maker's page.",
}


@dataclass(frozen=True, slots=True)
class _Known:
    """A candidate whose interval is settled, in exact numbers."""

    nominal_mm: Decimal
    prior: float
    interval_mm: Interval


def interpret_readings(request: ReadingRequest, widths_mm: Sequence[Decimal] = ()) -> ReadingAnswer:
    """Return which candidate the readings speak for, or which mistake they look like.

    ``widths_mm`` are the widths in use, taken for a width feature whose request names no candidates. A candidate is
    chosen when its probability reaches ``accept`` and no other shares it. One exception, for safety: a crest or shank
    reading near the root of a larger coarse thread that speaks at least as much for that root as for the smaller
    bolt chosen stays undecided, since a root must never be taken for a smaller bolt. A mistake is looked for only when
    "other" is more probable than 0.5. With no candidates at all everything is "other"; the readings' order never
    matters.

    Raises BenchRefusal when a width given as candidate cannot have an interval.
    """
    known = _known(request, widths_mm)
    mean, spread = mean_and_spread(request.readings_mm)
    noise = _noise(request, spread)
    shares, other = _posterior(request, known, float(mean), noise)
    ranked = sorted(zip(shares, known, strict=True), key=lambda pair: (-pair[0], pair[1].nominal_mm))
    choice = _choice(request, ranked, mean, noise)
    mistake = None
    if other > MISTAKE_OVER:
        around = Circumstances(
            request.feature, [each.interval_mm for each in known], request.eyelet_bores_mm, request.eyelet_width_mm,
            request.tab_thickness_mm, request.mistake_tolerance_mm,
        )  # fmt: skip
        mistake = name_mistake(mean, around)
    return ReadingAnswer(
        probabilities=tuple(CandidateProbability(each.nominal_mm, share) for share, each in ranked),
        other_p=other,
        assumed=_assumed(request, other, mistake, mean),
        choice_mm=choice,
        mistake=mistake,
        next=NEXT[request.feature] if choice is None else None,
    )


def nominal_from_readings(
    readings_mm: Sequence[Decimal],
    feature: str,
    instrument_kind: str,
    candidates_mm: Sequence[Decimal] | None = None,
    *,
    resolution_mm: Decimal | None = None,
    eyelet_width_mm: Decimal | None = None,
    tab_thickness_mm: Decimal | None = None,
) -> ReadingAnswer:
    """Return what a measured claim's readings say, with the usual limits of its instrument and the usual candidates.

    ``candidates_mm`` get equal priors and the feature's own interval; absent, a bolt's feature is held against M6, M8,
    M10, 1/4, 5/16 and 3/8 in, and a width against nothing. Widths within 0.03 are one size. Raises BenchRefusal as
    ``ReadingRequest`` does.

    >>> from decimal import Decimal
    >>> nominal_from_readings([Decimal("8.06")], "sleeve_bore", "digital_caliper").choice_mm
    Decimal('8')
    """
    longest = max((reading for reading in readings_mm if reading.is_finite()), default=Decimal(0))
    request = ReadingRequest(
        readings_mm=tuple(readings_mm),
        feature=feature,
        instrument=Instrument.of_kind(instrument_kind, resolution_mm, longest),
        candidates=None if candidates_mm is None else equal_candidates(candidates_mm),
        eyelet_width_mm=eyelet_width_mm,
        tab_thickness_mm=tab_thickness_mm,
    )
    return interpret_readings(request)


def equal_candidates(sizes_mm: Sequence[Decimal], other_prior: float = OTHER_PRIOR) -> tuple[Candidate, ...]:
    """Return each size once, with equal priors that leave ``other_prior`` to none of them, smallest first.

    Sizes within 0.03 of the smallest of their group are one, under the name with the fewest digits (22.2 for 22.225).
    """
    return _equal_candidates(tuple(map(str, sizes_mm)), other_prior)


@lru_cache(maxsize=64)  # the trade's widths are asked for with every reading; by text, for 22.20 is 22.2 to a cache
def _equal_candidates(written: tuple[str, ...], other_prior: float) -> tuple[Candidate, ...]:
    groups: list[list[Decimal]] = []
    for size in sorted({Decimal(size) for size in written}):
        if groups and same_size(groups[-1][0], size):
            groups[-1].append(size)
        else:
            groups.append([size])
    names = [min(group, key=lambda size: (len(size.normalize().as_tuple().digits), size)) for group in groups]
    return tuple(Candidate(name, (1 - other_prior) / len(names)) for name in names)


def carried_on(first: ReadingAnswer) -> tuple[tuple[Candidate, ...], float]:
    """Return the candidates and the ``other_prior`` with which to read a second feature of the same end.

    The first feature's probabilities are the second's priors, so that the two multiply; the order makes no difference.
    """
    return tuple(Candidate(each.nominal_mm, each.p) for each in first.probabilities), first.other_p


def _check_candidate(field: str, candidate: Candidate, feature: str) -> None:
    require_length(f"{field}/nominal_mm", candidate.nominal_mm)
    require_within(f"{field}/prior", candidate.prior, 0, 1)
    if candidate.interval_mm is None:
        try:
            true_interval(feature, candidate.nominal_mm)
        except BenchRefusal as refusal:
            raise BenchRefusal(refusal.code, f"{field}/nominal_mm", refusal.got, refusal.accepted) from refusal
        return
    lo, hi = candidate.interval_mm
    require_amount(f"{field}/interval_mm/0", lo)
    require_amount(f"{field}/interval_mm/1", hi)
    if lo > hi:
        raise BenchRefusal("out_of_range", f"{field}/interval_mm", f"{lo} to {hi}", "the lower bound first")


def _known(request: ReadingRequest, widths_mm: Sequence[Decimal]) -> list[_Known]:
    candidates = request.candidates
    if candidates is None:
        sizes = EYELET_BORES_MM if request.feature == "eyelet_bore" else widths_mm
        bolt = request.feature in BOLT_FEATURES
        candidates = DEFAULT_BOLTS if bolt else equal_candidates(sizes, request.other_prior)
    return [
        _Known(each.nominal_mm, each.prior, each.interval_mm or true_interval(request.feature, each.nominal_mm))
        for each in candidates
    ]


def _side(request: ReadingRequest) -> str:
    return request.side or usual_side(request.feature)


def _noise(request: ReadingRequest, spread: Decimal) -> float:
    """Standard uncertainty of the mean reading: limit, step and repeatability."""
    return combined([
        rectangular(float(request.instrument.limit_mm(_side(request)))),
        rectangular(float(request.instrument.resolution_mm) / 2),
        float(spread) / math.sqrt(len(request.readings_mm)),
    ])  # fmt: skip


def _log_density(mean: float, interval_mm: Interval, noise: float) -> float:
    lo, hi = map(float, interval_mm)
    deviation = combined([rectangular((hi - lo) / 2), noise]) or math.ulp(0.0)
    away = (mean - (lo + hi) / 2) / deviation
    return -0.5 * away * away - math.log(deviation * math.sqrt(2 * math.pi))


def _posterior(
    request: ReadingRequest, known: Sequence[_Known], mean: float, noise: float
) -> tuple[list[float], float]:
    """Probabilities of the known candidates and of "other", in logarithms so that nothing vanishes too soon."""
    logs = [
        _log(each.prior) + _log_density(mean, each.interval_mm, noise) if each.prior else -math.inf for each in known
    ]
    logs.append(_log(request.other_prior) + _log(request.other_density_per_mm))
    top = max(logs)
    if top == -math.inf:
        return [0.0] * len(known), 1.0
    weights = [math.exp(each - top) for each in logs]
    total = math.fsum(weights)
    *shares, other = (weight / total for weight in weights)
    return shares, other


def _log(value: float) -> float:
    return math.log(value) if value > 0 else -math.inf


def _choice(
    request: ReadingRequest, ranked: Sequence[tuple[float, _Known]], mean: Decimal, noise: float
) -> Decimal | None:
    if not ranked or ranked[0][0] < request.accept:
        return None
    if len(ranked) > 1 and ranked[1][0] == ranked[0][0]:
        return None
    chosen = ranked[0][1]
    as_chosen = _log_density(float(mean), chosen.interval_mm, noise)
    for row in roots_near(mean, request.feature):
        root = (root_mm(row) - ROOT_TOLERANCE_MM, root_mm(row) + ROOT_TOLERANCE_MM)
        if chosen.nominal_mm < row.nominal_mm and _log_density(float(mean), root, noise) >= as_chosen:
            return None
    return chosen.nominal_mm


def _assumed(request: ReadingRequest, other: float, mistake: Mistake | None, mean: Decimal) -> tuple[Assumed, ...]:
    found = [
        Assumed("accept", request.accept),
        Assumed("other_prior", request.other_prior),
        Assumed("other_density_per_mm", request.other_density_per_mm),
    ]
    if request.candidates is None and request.feature in BOLT_FEATURES:
        found += [Assumed("metric_bolt_prior", METRIC_BOLT_PRIOR), Assumed("inch_bolt_prior", INCH_BOLT_PRIOR)]
    if request.candidates is None or any(each.interval_mm is None for each in request.candidates):
        found += assumed_of(request.feature)
    if request.instrument.kind in ASSUMED_KINDS:
        side = _side(request)
        found.append(Assumed(f"limit_{side}_mm", request.instrument.limit_mm(side)))
    if other > MISTAKE_OVER:
        found += [Assumed("mistake_over", MISTAKE_OVER), Assumed("mistake_tolerance_mm", request.mistake_tolerance_mm)]
    if mistake is not None and mistake.code == "measured_bushing_or_eyelet_bore":
        nearest = min(request.eyelet_bores_mm, key=lambda bore: (abs(bore - mean), bore))
        found.append(Assumed("eyelet_bores_mm", nearest))
    if request.feature in ("thread_crest", "shank"):
        found.append(Assumed("root_tolerance_mm", ROOT_TOLERANCE_MM))
    return tuple(found)
