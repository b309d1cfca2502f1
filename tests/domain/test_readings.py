"""Readings to sizes: worked cases, the model against outside implementations, and what must hold for any reading."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from statistics import NormalDist

import pytest
from GTC import type_a, type_b, uncertainty, ureal
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.answers import as_mapping
from boltspan.domain.features import FEATURES, reading_interval, true_interval, usual_side
from boltspan.domain.instruments import KINDS, Instrument
from boltspan.domain.readings import (
    DEFAULT_BOLTS,
    Candidate,
    ReadingAnswer,
    ReadingRequest,
    carried_on,
    equal_candidates,
    interpret_readings,
    nominal_from_readings,
)
from boltspan.domain.refusals import BenchRefusal

D = Decimal
CALIPER = Instrument.of_kind("digital_caliper")
METRIC = DEFAULT_BOLTS[:3]
WIDTHS = tuple(map(D, ("20", "21.8", "22", "22.2", "24", "30", "40", "54")))


def read(
    value: str, feature: str, kind: str = "digital_caliper", widths: tuple[Decimal, ...] | None = None
) -> ReadingAnswer:
    return nominal_from_readings([D(value)], feature, kind, widths)


def hundredths(least: str, most: str) -> st.SearchStrategy[Decimal]:
    return st.decimals(D(least), D(most), places=2)


# --- the model against outside implementations


def test_variance_is_what_the_guide_gives_by_gtc() -> None:
    """The spread behind B1, and with repeats, recomputed with GTC (an implementation of JCGM 100:2008, the GUM).

    By hand for three readings 7.85, 7.86, 7.87: s = 0.01, s^2/3 = 0.0000333; with 0.106^2/3 = 0.0037453,
    0.02^2/3 = 0.0001333 and 0.01^2/12 = 0.0000083 the sum is 0.0039203, its root 0.0626126.
    """
    readings = (7.85, 7.86, 7.87)
    parts = (
        ureal(0, type_b.uniform(0.106)), ureal(0, type_b.uniform(0.02)), ureal(0, type_b.uniform(0.005)),
        type_a.estimate(readings),
    )  # fmt: skip
    deviation = uncertainty(sum(parts))
    assert deviation == pytest.approx(0.0626126, abs=1e-7)
    bolts = {6: (5.794, 5.974), 8: (7.760, 7.972), 10: (9.732, 9.968)}
    weights = {}
    for size, (lo, hi) in bolts.items():
        spread = math.hypot(uncertainty(sum(parts[1:])), type_b.uniform((hi - lo) / 2))
        weights[size] = 0.32 * NormalDist((lo + hi) / 2, spread).pdf(7.86)
    request = ReadingRequest(tuple(map(D, ("7.85", "7.86", "7.87"))), "thread_crest", CALIPER, candidates=METRIC)
    answer = interpret_readings(request)
    total = sum(weights.values()) + 0.02 / 77
    for each in answer.probabilities:
        assert each.p == pytest.approx(weights[int(each.nominal_mm)] / total, rel=1e-9)
    assert answer.other_p == pytest.approx(0.02 / 77 / total, rel=1e-9)


def test_two_features_multiply_whatever_their_order() -> None:
    """Bayes' theorem: the second feature's priors are the first's posteriors.

    By hand for a crest of 7.90 and a bore of 8.03, M8 against 5/16: crest M8 z = 0.034/0.06235 gives 5.515, 5/16
    (mid 7.7965, sd 0.0649) z = 1.595 gives 1.722; bore M8 mid 8.075, sd 0.0491, z = 0.917 gives 5.336, 5/16 mid
    8.0125, z = 0.356 gives 7.625. Odds 48 x 3.203 x 0.6998 = 107.6 to 1.
    """
    crest = ReadingRequest((D("7.90"),), "thread_crest", CALIPER)
    bore = ReadingRequest((D("8.03"),), "sleeve_bore", CALIPER)
    found = []
    for first, second in ((crest, bore), (bore, crest)):
        candidates, other = carried_on(interpret_readings(first))
        answer = interpret_readings(replace(second, candidates=candidates, other_prior=other))
        found.append({each.nominal_mm: each.p for each in answer.probabilities})
    one, two = found
    assert one[D(8)] / one[D("7.9375")] == pytest.approx(107.6, rel=2e-3)
    assert one == pytest.approx(two, rel=1e-9)


# --- worked cases


@pytest.mark.parametrize(
    ("value", "feature", "size"),
    [
        ("7.86", "thread_crest", "8"),
        ("8.06", "sleeve_bore", "8"),
        ("5.90", "thread_crest", "6"),
        ("9.88", "shank", "10"),
        ("8.00", "thread_crest", "8"),
        ("8.01", "shank", "8"),
    ],
)
def test_usual_bolts_are_found(value: str, feature: str, size: str) -> None:
    """Readings inside the published limits, or just over them by the caliper's own error."""
    answer = read(value, feature)
    assert answer.choice_mm == D(size)
    assert answer.mistake is None
    assert answer.next is None


def test_width_is_found_among_close_neighbours() -> None:
    """21.8, 22 and 22.2 are three parts. 22.18 x 3 lies in [22.1, 22.225] of 22.2, 0.18 over the most of 22."""
    answer = nominal_from_readings(
        list(map(D, ("22.18", "22.19", "22.17"))), "hardware_width", "digital_caliper", WIDTHS
    )
    assert answer.choice_mm == D("22.2")


def test_width_between_two_sizes_is_undecided() -> None:
    """22.10 is the least of 22.2 and 0.10 over the most of 22: neither is sure, a second feature is asked for."""
    answer = read("22.05", "hardware_width", widths=WIDTHS)
    assert answer.choice_mm is None
    assert answer.next == "Measure the opening between the frame's tabs as well."


def test_two_spellings_of_one_width_are_one_candidate() -> None:
    """22.2 is the trade's name of 7/8 in = 22.225 (common practice, no source); a part of 22.22 is that size."""
    merged = equal_candidates([D("22.225"), D("22.2"), D("30")])
    assert [each.nominal_mm for each in merged] == [D("22.2"), D(30)]
    assert read("22.22", "hardware_width", widths=(D("22.225"), D("22.2"), D(30))).choice_mm == D("22.2")


def test_rule_cannot_tell_close_widths_apart() -> None:
    """A steel rule is off by up to 0.5: 21.8, 22 and 22.2 stay open."""
    assert read("22.0", "hardware_width", "steel_rule", WIDTHS).choice_mm is None


@pytest.mark.parametrize(
    ("value", "feature", "known", "code"),
    [
        ("12.72", "sleeve_bore", {}, "measured_bushing_or_eyelet_bore"),  # 1/2 in bush, 0.02 off
        ("15.05", "shank", {}, "measured_bushing_or_eyelet_bore"),  # between 15.0 and 15.08
        ("12.70", "hardware_width", {"eyelet_width_mm": D("12.7")}, "width_equals_eyelet_spacers_missing"),
        ("42.30", "tab_gap", {"tab_thickness_mm": D(6)}, "measured_outside_of_tabs"),  # 42.3 - 12 = 30.3 in [30, 30.5]
        ("6.47", "thread_crest", {}, "measured_thread_root"),  # 8 - 1.2269 x 1.25 = 6.466
        ("4.77", "shank", {}, "measured_thread_root"),  # 6 - 1.2269 = 4.773
        ("8.16", "thread_crest", {}, "measured_thread_root"),  # 10 - 1.2269 x 1.5 = 8.160
        ("0.31", "thread_crest", {}, "wrong_unit"),  # 0.31 x 25.4 = 7.874
        ("1.18", "hardware_width", {}, "wrong_unit"),  # 1.18 x 25.4 = 29.97
        ("762.0", "tab_gap", {}, "wrong_unit"),  # 762 / 25.4 = 30
    ],
)
def test_mistakes_are_named(value: str, feature: str, known: dict[str, Decimal], code: str) -> None:
    """Usual mistakes (common practice, no source), each with its arithmetic beside it."""
    widths = WIDTHS if feature in ("tab_gap", "hardware_width") else None
    answer = nominal_from_readings([D(value)], feature, "digital_caliper", widths, **known)
    assert answer.choice_mm is None
    assert answer.mistake is not None
    assert answer.mistake.code == code
    assert answer.mistake.advice


def test_first_mistake_that_fits_is_named() -> None:
    """15.05 is an eyelet's bore, and also 0.5925 in away from nothing: the order of the list decides."""
    wide = (Candidate(D(16), 0.5, (D("382.2"), D("382.4"))),)  # 15.05 x 25.4 = 382.27
    request = ReadingRequest((D("15.05"),), "shank", CALIPER, candidates=wide)
    both = interpret_readings(request)
    only_unit = interpret_readings(replace(request, eyelet_bores_mm=()))
    assert both.mistake is not None
    assert both.mistake.code == "measured_bushing_or_eyelet_bore"
    assert only_unit.mistake is not None
    assert only_unit.mistake.code == "wrong_unit"


def test_no_mistake_is_named_for_a_plain_odd_reading() -> None:
    """11.30 is no bolt and no known mistake: undecided, without a guess at the cause."""
    answer = read("11.30", "shank")
    assert (answer.choice_mm, answer.mistake) == (None, None)
    assert answer.other_p > 0.99


def test_nothing_to_hold_it_against() -> None:
    """No widths known (an empty dataset): everything is "other", and the mistakes are still looked at."""
    answer = nominal_from_readings([D("12.7")], "hardware_width", "digital_caliper", (), eyelet_width_mm=D("12.7"))
    assert (answer.probabilities, answer.other_p, answer.choice_mm) == ((), 1.0, None)
    assert answer.mistake is not None


def test_just_as_probable_as_asked_is_chosen() -> None:
    """A single candidate without an "other" has p = 1, which meets accept = 1; two alike share 0.5 and are a tie."""
    only = (Candidate(D(8), 0.5),)
    request = ReadingRequest((D("7.9"),), "shank", CALIPER, candidates=only, other_prior=0.0, accept=1.0)
    assert interpret_readings(request).choice_mm == D(8)
    twins = (Candidate(D(8), 0.4), Candidate(D(9), 0.4, (D("7.78"), D(8))))
    assert interpret_readings(replace(request, candidates=twins, accept=0.5)).choice_mm is None


def test_side_can_be_said() -> None:
    """The same crest read with the inside jaws is less sure: 0.04 for 0.02, 0.106^2/3 + 0.04^2/3 + 0.01^2/12."""
    request = ReadingRequest((D("7.80"),), "thread_crest", CALIPER, candidates=METRIC[1:2])
    deviation = math.sqrt(0.106**2 / 3 + 0.04**2 / 3 + 0.01**2 / 12)
    weight = 0.32 * NormalDist(7.866, deviation).pdf(7.80)
    inside = interpret_readings(replace(request, side="inside"))
    assert inside.probabilities[0].p == pytest.approx(weight / (weight + 0.02 / 77), rel=1e-9)
    assert inside != interpret_readings(request)


def test_far_readings_still_have_probabilities() -> None:
    """500 mm is thousands of deviations from any bolt; without an "other" the nearest still takes all."""
    request = ReadingRequest((D(500),), "shank", CALIPER, candidates=METRIC, other_prior=0.0)
    assert [each.p for each in interpret_readings(request).probabilities] == [1.0, 0.0, 0.0]


def test_usual_candidates_leave_room_for_other() -> None:
    """Three widths and 0.02 for none of them: (1 - 0.02)/3 each."""
    assert [each.prior for each in equal_candidates([D(20), D(30), D(22)])] == [pytest.approx(0.98 / 3)] * 3
    assert math.fsum(each.prior for each in DEFAULT_BOLTS) == pytest.approx(0.98)


def test_equal_candidates_are_a_tie_and_no_choice() -> None:
    twins = tuple(Candidate(D(size), 0.49, (D("7.9"), D("8.1"))) for size in (9, 8))
    answer = interpret_readings(ReadingRequest((D(8),), "shank", CALIPER, candidates=twins, accept=0.4))
    assert [each.nominal_mm for each in answer.probabilities] == [D(8), D(9)]
    assert answer.choice_mm is None


def test_nothing_explains_it_and_no_other_is_allowed() -> None:
    """With priors of 0 all round nothing can be said; that is "other", not a division by 0."""
    nothing = (Candidate(D(8), 0.0),)
    answer = interpret_readings(ReadingRequest((D(8),), "shank", CALIPER, candidates=nothing, other_prior=0.0))
    assert (answer.probabilities[0].p, answer.other_p) == (0.0, 1.0)


def test_answer_says_what_it_assumes() -> None:
    named = {each["name"] for each in as_mapping(read("8.06", "sleeve_bore", "tape"))["assumed"]}  # type: ignore[attr-defined]
    assert {"accept", "other_prior", "sleeve_bore_over_mm", "metric_bolt_prior", "limit_inside_mm"} <= named
    own = ReadingRequest((D("7.86"),), "thread_crest", CALIPER, candidates=(Candidate(D(8), 0.9, (D("7.7"), D(8))),))
    assert "metric_bolt_prior" not in {each.name for each in interpret_readings(own).assumed}


# --- refusals


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"readings_mm": ()}, "readings_mm"),
        ({"readings_mm": (D(8),) * 1001}, "readings_mm"),
        ({"readings_mm": (D(8), D("-0.01"))}, "readings_mm/1"),
        ({"readings_mm": (D("2000.01"),)}, "readings_mm/0"),
        ({"readings_mm": (D("NaN"),)}, "readings_mm/0"),
        ({"feature": "eyelet"}, "feature"),
        ({"side": "left"}, "side"),
        ({"instrument": Instrument("guess", D(1), D(1), D(1))}, "instrument/kind"),
        ({"instrument": Instrument("tape", D(0), D(1), D(1))}, "instrument/resolution_mm"),
        ({"instrument": Instrument("tape", D(1), D(-1), D(1))}, "instrument/limit_outside_mm"),
        ({"candidates": (Candidate(D(8), 0.5), Candidate(D(7), 0.5))}, "candidates/1/nominal_mm"),
        ({"candidates": (Candidate(D(8), 1.5),)}, "candidates/0/prior"),
        ({"candidates": (Candidate(D(8), 0.5, (D(9), D(8))),)}, "candidates/0/interval_mm"),
        ({"candidates": (Candidate(D(8), 0.5),) * 1001}, "candidates"),
        ({"eyelet_bores_mm": (D(0),)}, "eyelet_bores_mm/0"),
        ({"eyelet_width_mm": D(0)}, "eyelet_width_mm"),
        ({"tab_thickness_mm": D(2001)}, "tab_thickness_mm"),
        ({"mistake_tolerance_mm": D(-1)}, "mistake_tolerance_mm"),
        ({"other_prior": 1.1}, "other_prior"),
        ({"other_density_per_mm": math.inf}, "other_density_per_mm"),
        ({"accept": 0.0}, "accept"),
    ],
)
def test_refusals_name_the_field(change: dict[str, object], field: str) -> None:
    sound = ReadingRequest((D("7.86"),), "thread_crest", CALIPER)
    with pytest.raises(BenchRefusal) as caught:
        replace(sound, **change)  # type: ignore[arg-type]
    assert caught.value.field == field
    assert caught.value.accepted


# --- what must hold for any reading


@given(
    st.lists(hundredths("5", "11"), min_size=1, max_size=6).flatmap(
        lambda r: st.tuples(st.just(r), st.permutations(r))
    ),
    st.permutations(DEFAULT_BOLTS),
    st.sampled_from(("thread_crest", "shank", "sleeve_bore")),
)
def test_order_never_matters(
    both: tuple[list[Decimal], list[Decimal]], candidates: list[Candidate], feature: str
) -> None:
    one = interpret_readings(ReadingRequest(tuple(both[0]), feature, CALIPER, candidates=DEFAULT_BOLTS))
    two = interpret_readings(ReadingRequest(tuple(both[1]), feature, CALIPER, candidates=tuple(candidates)))
    assert one == two


@given(hundredths("0", "2000"), st.sampled_from(FEATURES), st.sampled_from(KINDS))
def test_probabilities_are_whole_and_ranked(reading: Decimal, feature: str, kind: str) -> None:
    widths = None if feature in ("thread_crest", "shank", "sleeve_bore") else WIDTHS
    answer = nominal_from_readings([reading], feature, kind, widths)
    shares = [each.p for each in answer.probabilities]
    assert math.fsum([*shares, answer.other_p]) == pytest.approx(1, abs=1e-12)
    assert shares == sorted(shares, reverse=True)
    assert (answer.choice_mm is None) == (answer.next is not None)
    if answer.mistake is not None:
        assert answer.other_p > 0.5


@given(hundredths("7.87", "9.85"), hundredths("0.01", "0.50"))
def test_further_from_a_size_is_never_surer_of_it(reading: Decimal, more: Decimal) -> None:
    def p8(value: Decimal) -> float:
        answer = interpret_readings(ReadingRequest((value,), "thread_crest", CALIPER, candidates=METRIC))
        return next(each.p for each in answer.probabilities if each.nominal_mm == 8)

    assert p8(reading + more) <= p8(reading)


ROOTS = st.sampled_from((("6", "4.773"), ("8", "6.466"), ("10", "8.160")))
"""Root diameters d - 1.2269 P of the coarse threads (d3 of ISO 724, from memory)."""


@given(ROOTS, hundredths("-0.13", "0.13"), st.sampled_from(("thread_crest", "shank")), st.sampled_from(KINDS))
def test_root_is_never_taken_for_a_smaller_metric_bolt(
    thread: tuple[str, str], off: Decimal, feature: str, kind: str
) -> None:
    size, root = map(D, thread)
    answer = interpret_readings(ReadingRequest((root + off,), feature, Instrument.of_kind(kind), candidates=METRIC))
    assert answer.choice_mm is None or answer.choice_mm >= size


@given(ROOTS, hundredths("-0.05", "0.13"), st.sampled_from(("thread_crest", "shank")), st.sampled_from(KINDS))
def test_root_is_never_taken_for_a_smaller_bolt(thread: tuple[str, str], off: Decimal, feature: str, kind: str) -> None:
    """With the inch bolts too; 0.1 under M8's root begins the plain shank of a 1/4 in bolt, a sound reading."""
    size, root = map(D, thread)
    answer = nominal_from_readings([root + off], feature, kind)
    assert answer.choice_mm is None or answer.choice_mm >= size


@given(st.sampled_from((6, 8, 10)), st.sampled_from(("thread_crest", "shank", "sleeve_bore")), st.floats(0, 1))
def test_inch_display_is_named(size: int, feature: str, share: float) -> None:
    """A caliper left on inches shows the same part with three decimals (1 in = 25.4 mm exactly)."""
    lo, hi = true_interval(feature, D(size))
    true = lo + (hi - lo) * D(share)
    answer = nominal_from_readings([round(true / D("25.4"), 3)], feature, "digital_caliper")
    assert answer.mistake is not None
    assert answer.mistake.code == "wrong_unit"


@given(st.sampled_from(WIDTHS), st.sampled_from(("tab_gap", "hardware_width")), st.floats(0, 1))
def test_inch_display_of_a_width_is_named(width: Decimal, feature: str, share: float) -> None:
    lo, hi = true_interval(feature, width)
    reading = round((lo + (hi - lo) * D(share)) / D("25.4"), 3)
    answer = nominal_from_readings([reading], feature, "digital_caliper", WIDTHS)
    assert answer.mistake is not None
    assert answer.mistake.code == "wrong_unit"


@given(
    st.sampled_from(FEATURES), st.sampled_from(KINDS), st.sampled_from(("6", "6.35", "7.9375", "8", "9.525", "10")),
    st.floats(0, 1), st.floats(-1, 1),
)  # fmt: skip
def test_reading_interval_takes_every_sound_reading(
    feature: str, kind: str, size: str, share: float, error: float
) -> None:
    instrument = Instrument.of_kind(kind)
    lo, hi = true_interval(feature, D(size))
    true = lo + (hi - lo) * D(share)
    shown = true + instrument.limit_mm(usual_side(feature)) * D(error)
    step = instrument.resolution_mm
    reading = (shown / step).to_integral_value() * step
    low, high = reading_interval(feature, D(size), instrument)
    assert low <= reading <= high
    of_many = reading_interval(feature, D(size), instrument, 5)
    assert low <= of_many[0] <= lo <= hi <= of_many[1] <= high


def test_reading_interval_by_hand() -> None:
    """M8 crest: 7.760 - 0.02 - 0.005 and 7.972 + 0.02 + 0.005; four readings share half a step in two halves."""
    assert reading_interval("thread_crest", D(8), CALIPER) == (D("7.735"), D("7.997"))
    assert reading_interval("thread_crest", D(8), CALIPER, 4) == (D("7.7375"), D("7.9945"))
    assert reading_interval("tab_gap", D("22.2"), "digital_caliper") == (D("22.155"), D("22.770"))
    with pytest.raises(BenchRefusal):
        reading_interval("shank", D(8), CALIPER, 0)


def test_width_with_a_rounded_name_takes_both_spellings() -> None:
    """22.2 is 7/8 in = 22.225: hardware from 22.1 to 22.225, an opening from 22.2 to 22.725 (common practice)."""
    assert true_interval("hardware_width", D("22.2")) == (D("22.1"), D("22.225"))
    assert true_interval("tab_gap", D("22.2")) == (D("22.2"), D("22.725"))
    assert true_interval("hardware_width", D(22)) == (D("21.9"), D(22))


@given(st.sampled_from(("shank", "sleeve_bore", "tab_gap", "hardware_width")), hundredths("3.01", "80"))
def test_interval_holds_its_nominal(feature: str, size: Decimal) -> None:
    lo, hi = true_interval(feature, size)
    assert lo <= size <= hi


def test_crest_lies_under_its_nominal() -> None:
    """A 6g or 2A thread is always under its size: the allowance (ISO 965-1, ASME B1.1)."""
    for size in ("5", "6", "6.35", "7.9375", "8", "9.525", "10", "12", "14"):
        lo, hi = true_interval("thread_crest", D(size))
        assert lo < hi < D(size)
