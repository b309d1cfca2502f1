"""What the asker's own readings say of one end, beside what the chart says, and which of the two to trust.

The rule of trust is judgement: a bike on the bench rules over a record about bikes of its kind, old hardware does not,
and a larger size than the one known is never believed on one reading.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import COARSE_OVER_MM, CREST_UNDER_MM, EYELET_BORES_MM, MISTAKE_TOLERANCE_MM
from boltspan.domain.features import BOLT_FEATURES, reading_interval, true_interval, usual_side
from boltspan.domain.fitsheet.facts import FrameEndFacts, OwnReadings
from boltspan.domain.instruments import Instrument
from boltspan.domain.lengths import PLACES, same_size
from boltspan.domain.mistakes import Circumstances, Mistake, name_mistake, roots_near
from boltspan.domain.readings import Candidate, ReadingRequest, equal_candidates, interpret_readings
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM
from boltspan.domain.uncertainty import expanded_mm, mean_and_spread

OF_THE_FRAME: Final = ("thread_crest", "shank", "tab_gap")
"""Features of the bike itself; the others are of hardware, which may be a substitute or a wrong one."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the readings of one feature come to: their mean and its expanded uncertainty (k = 2), in mm.

    ``choice_mm`` is None when they decide no size, ``mistake`` None when none is named, ``chart_mm`` None when the
    chart says nothing. ``agrees`` is whether the chart's size can give this reading; ``trust`` is then ``chart``,
    ``reading`` or ``neither``, with the code of TRUST that says why.
    """

    part: str
    feature: str
    mean_mm: Decimal
    uncertainty_mm: Decimal
    instrument: str
    assumed: tuple[Assumed, ...]
    choice_mm: Decimal | None = None
    mistake: Mistake | None = None
    next: str | None = None
    chart_mm: Decimal | None = None
    agrees: bool | None = None
    trust: str | None = None
    why: str | None = None

    @property
    def of_the_frame(self) -> bool:
        """Whether it is a reading of the bike itself."""
        return self.feature in OF_THE_FRAME

    @property
    def coarse(self) -> bool:
        """Whether it is too unsure to tell neighbouring widths apart."""
        return self.uncertainty_mm > COARSE_OVER_MM

    @property
    def is_gap(self) -> bool:
        """Whether it bounds what may stand between the tabs: a sound reading of the opening."""
        return self.feature == "tab_gap" and self.mistake is None


def own_readings(
    given: OwnReadings | None, chart: FrameEndFacts, eyelet_width_mm: Decimal | None
) -> tuple[Reading, ...]:
    """Return what the readings of the bolt and of the width say; nothing for what was not measured.

    ``eyelet_width_mm`` is the old eyelet's, to name the mistake of measuring it instead of the hardware.
    """
    if given is None:
        return ()
    found = []
    for part in ("bolt", "width"):
        feature, readings = getattr(given.features, part), getattr(given.readings_mm, part)
        if feature is not None and readings:
            stated = None if chart.value is None else getattr(chart.value, f"{part}_mm")
            found.append(_reading(part, feature, readings, given, chart, stated, eyelet_width_mm))
    return tuple(found)


def _reading(
    part: str,
    feature: str,
    readings: tuple[Decimal, ...],
    given: OwnReadings,
    chart: FrameEndFacts,
    stated: Decimal | None,
    eyelet_width_mm: Decimal | None,
) -> Reading:
    kind, step = given.instrument.kind, given.instrument.resolution_mm
    instrument = Instrument.of_kind(kind, step, max(readings))
    answer = interpret_readings(
        ReadingRequest(
            readings, feature, instrument, given.tab_thickness_mm,
            candidates=None if feature in BOLT_FEATURES else _widths(stated), eyelet_width_mm=eyelet_width_mm,
        )
    )  # fmt: skip
    mean, _ = mean_and_spread(readings)
    unsure = expanded_mm(readings, instrument, usual_side(feature))
    agrees = None if stated is None else _agrees(feature, stated, mean, instrument, len(readings))
    choice = answer.choice_mm
    if feature == "tab_gap":  # no size is taken from an opening that it surely does not go into
        agrees = agrees and stated is not None and stated < mean + unsure
        choice = choice if choice is not None and choice < mean + unsure else None
    mistake, trust, why = answer.mistake, None, None
    if agrees:
        mistake = None
    if agrees is False and stated is not None:
        explains = _against_chart(feature, stated, mean, given, eyelet_width_mm)
        mistake = explains or mistake
        against = _Against(part, feature, unsure > COARSE_OVER_MM, chart, mistake is not None, explains is not None,
                           choice is not None, mean < stated)  # fmt: skip
        trust, why = _trust(against)
    assumed = answer.assumed
    if stated is not None and not _in_tables(feature, stated):
        assumed = (*assumed, Assumed("crest_under_mm", CREST_UNDER_MM))
    if unsure > COARSE_OVER_MM:
        assumed = (*assumed, Assumed("coarse_over_mm", COARSE_OVER_MM))
    return Reading(
        part, feature, round(mean, PLACES), unsure, kind, assumed, choice, mistake,
        None if agrees else answer.next, stated, agrees, trust, why,
    )  # fmt: skip


@lru_cache(maxsize=256)  # the chart's widths are few
def _widths(stated: Decimal | None) -> tuple[Candidate, ...]:
    """Return the widths in question: those of the trade, and the chart's."""
    return equal_candidates(TRADE_WIDTHS_MM if stated is None else (*TRADE_WIDTHS_MM, stated))


def _against_chart(
    feature: str, stated: Decimal, mean: Decimal, given: OwnReadings, eyelet_width_mm: Decimal | None
) -> Mistake | None:
    """Return the usual mistake that makes this reading of the chart's size, or None.

    A mistake that would need another size says nothing for the chart: the root of another thread is one.
    """
    if not _in_tables(feature, stated):
        return None
    interval = true_interval(feature, stated)
    around = Circumstances(
        feature, (interval,), EYELET_BORES_MM, eyelet_width_mm, given.tab_thickness_mm, MISTAKE_TOLERANCE_MM
    )
    found = name_mistake(mean, around)
    if found is not None and found.code == "measured_thread_root":
        return found if any(same_size(row.nominal_mm, stated) for row in roots_near(mean, feature)) else None
    return found


def _in_tables(feature: str, stated: Decimal) -> bool:
    """Return whether the limits of a part of this size are known; of a bolt such as 12.7 no table holds the thread."""
    try:
        true_interval(feature, stated)
    except BenchRefusal:
        return False
    return True


def _agrees(feature: str, stated: Decimal, mean: Decimal, instrument: Instrument, count: int) -> bool:
    if _in_tables(feature, stated):
        lo, hi = reading_interval(feature, stated, instrument, count)
    else:
        wider = instrument.limit_outside_mm
        lo, hi = stated - CREST_UNDER_MM - wider, stated + wider
    return lo <= mean <= hi


@dataclass(frozen=True, slots=True)
class _Against:
    """A reading that the chart's size cannot give.

    ``explained``: by the mistake that is named, the chart's size gives it. ``decided``: it is surely of some other
    size. ``smaller``: it is under the chart's.
    """

    part: str
    feature: str
    coarse: bool
    chart: FrameEndFacts
    mistaken: bool
    explained: bool
    decided: bool
    smaller: bool


def _trust(reading: _Against) -> tuple[str, str]:
    """Return whom to trust and why; ``neither`` comes with what to measure next.

    A smaller opening of this frame is believed, since the larger size would have to be forced. A larger one is not: it
    may have been taken over the outsides of the tabs, or of another frame.
    """
    chart = reading.chart
    if reading.explained:
        return "chart", "stated_size_by_mistake" if chart.stated else "reading_looks_like_a_mistake"
    if reading.mistaken:
        return "neither", "mistake_of_another_size"
    if reading.feature not in OF_THE_FRAME:
        settled = chart.standing == "settled" and not chart.contested
        return ("chart", "reading_is_of_old_hardware") if settled else ("neither", "old_hardware_only")
    if reading.coarse:
        return "neither", "coarse_instrument"
    if reading.part == "bolt":
        return ("reading", "bolt_of_the_frame") if reading.decided else ("neither", "bolt_not_decided")
    return ("reading", "opening_reads_smaller") if reading.smaller else ("neither", "opening_reads_larger")
