"""Stacks between the tabs, checked against published tolerance chains."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from GTC import uncertainty, ureal, value
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.answers import as_mapping
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.stack import StackRequest, root_sum_of_squares, stack_up, worst_case

D = Decimal
SPACERS = StackRequest(
    "two_spacers", D(30), D("12.7"), eyelet_tolerance_mm=D("0.1"), spacer_tolerance_mm=D("0.05"), gap_mm=D("30.2"),
    gap_tolerance_mm=D("0.1"),
)  # fmt: skip
PIN = StackRequest(
    "full_width_pin", D("22.225"), D("12.7"), pin_minus_mm=D("0.1"), pin_plus_mm=D(0), gap_mm=D("22.3"),
    gap_tolerance_mm=D("0.05"),
)  # fmt: skip


def lengths(least: str, most: str) -> st.SearchStrategy[Decimal]:
    return st.decimals(D(least), D(most), places=3)


@pytest.mark.parametrize(
    ("parts", "worst", "rss"),
    [
        # ficientdesign.com, tolerance stack-up: three parts in a housing; 5 + 3 + 2 + 5 um, root of 25 + 9 + 4 + 25
        (("0.005", "0.003", "0.002", "0.005"), "0.015", "0.00794"),
        # a published root-sum-square example: ten parts of 0.1; 10 x 0.1, 0.1 sqrt 10
        (("0.1",) * 10, "1.0", "0.316"),
        # metricmech.com, chain 40 - 25 - 2 - 10: 0.10 + 0.05 + 0.03 + 0.05, root of 0.0100 + 0.0025 + 0.0009 + 0.0025
        (("0.1", "0.05", "0.03", "0.05"), "0.23", "0.126"),
    ],
)
def test_tolerance_chains_of_published_examples(parts: tuple[str, ...], worst: str, rss: str) -> None:
    tolerances = list(map(D, parts))
    assert worst_case(tolerances) == D(worst)
    assert round(root_sum_of_squares(tolerances), len(rss) - 2) == D(rss)


def test_published_gap_as_a_stack() -> None:
    """The same three parts of ficientdesign.com as a pin of 4.000 +/- 0.010 in a gap of 4.02 +/- 0.005.

    Published: gap 0.02, worst case 0.005 to 0.035.
    """
    answer = stack_up(
        replace(PIN, width_mm=D("4.0"), eyelet_width_mm=D("2.0"), pin_minus_mm=D("0.010"), pin_plus_mm=D("0.010"),
                gap_mm=D("4.02"), gap_tolerance_mm=D("0.005"))
    )  # fmt: skip
    assert answer.clearance_nominal_mm == D("0.02")
    assert answer.clearance_worst_mm == (D("0.005"), D("0.035"))
    assert answer.fits == "proven"


@pytest.mark.parametrize(
    ("chain", "gap", "rss"),
    [
        # ficientdesign.com: a housing of 4.02 and parts of 2.0, 1.5 and 0.5; published gap 0.02, RSS 0.00794
        ((("4.02", "0.005"), ("-2.0", "0.005"), ("-1.5", "0.003"), ("-0.5", "0.002")), "0.02", "0.00794"),
        # metricmech.com: chain 40 - 25 - 2 - 10; published gap 3.0, RSS 0.126
        ((("40.0", "0.1"), ("-25.0", "0.05"), ("-2.0", "0.03"), ("-10.0", "0.05")), "3.0", "0.126"),
    ],
)
def test_published_chains_by_gtc(chain: tuple[tuple[str, str], ...], gap: str, rss: str) -> None:
    """GTC 1.5.1 adds up both published chains: the gap, and the root of the sum of squares that ours gives too."""
    total = sum((ureal(float(size), float(tolerance)) for size, tolerance in chain), ureal(0, 0))
    assert value(total) == pytest.approx(float(gap), abs=1e-9)
    ours = root_sum_of_squares([D(tolerance) for _, tolerance in chain])
    assert float(ours) == pytest.approx(uncertainty(total), abs=1e-6)
    assert round(ours, len(rss) - 2) == D(rss)


@given(st.lists(lengths("0", "1"), max_size=8))
def test_rss_is_what_gtc_propagates(tolerances: list[Decimal]) -> None:
    """Root sum of squares is the law of propagation (JCGM 100:2008, 5.1.2) with all sensitivities 1, by GTC."""
    total = sum((ureal(0, float(each)) for each in tolerances), ureal(0, 0))
    assert float(root_sum_of_squares(tolerances)) == pytest.approx(uncertainty(total), abs=1e-6)


def test_answer_has_only_what_was_asked() -> None:
    """Without gap or tolerances nothing is said of clearance, and nothing is null."""
    bare = as_mapping(stack_up(StackRequest("two_spacers", D(30), D("12.7"))))
    assert set(bare) == {"total_mm", "spacer_each_mm", "cautions"}
    no_tolerance = as_mapping(stack_up(replace(SPACERS, spacer_tolerance_mm=None)))
    assert no_tolerance["clearance_nominal_mm"] == D("0.2")
    assert not {"fits", "clearance_worst_mm", "clearance_rss_mm", "total_tolerance_rss_mm"} & set(no_tolerance)
    pin = as_mapping(stack_up(PIN))
    assert "clearance_rss_mm" not in pin
    assert "total_tolerance_worst_mm" not in pin
    assert "sleeve_length_mm" not in as_mapping(stack_up(SPACERS))


def test_pin_as_wide_as_the_eyelet_has_no_spacers() -> None:
    assert stack_up(replace(PIN, eyelet_width_mm=PIN.width_mm)).spacer_each_mm == 0


def test_shift_to_the_very_side_leaves_a_spacer_of_nothing() -> None:
    """(54 - 12.7)/2 = 20.65: shifted by as much, right 0, left 41.3."""
    answer = stack_up(StackRequest("two_spacers", D(54), D("12.7"), eyelet_shift_right_mm=D("20.65")))
    assert (answer.spacer_left_mm, answer.spacer_right_mm) == (D("41.3"), D(0))
    assert answer.spacer_each_mm is None


@pytest.mark.parametrize(
    ("gap", "verdict"), [("30.3", "proven"), ("30.299", "not_proven"), ("29.7", "not_proven"), ("29.699", "never")]
)
def test_verdict_turns_at_the_worst_case(gap: str, verdict: str) -> None:
    """Tolerances 0.1 + 2 x 0.05 + 0.1 = 0.3: least clearance 0 at a gap of 30.3, most 0 at 29.7."""
    assert stack_up(replace(SPACERS, gap_mm=D(gap))).fits == verdict


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"width_mm": D("12.6")}, "width_below_eyelet", "width_mm"),
        ({"width_mm": D("12.7")}, "width_equals_eyelet_no_spacer", "width_mm"),
        ({"eyelet_shift_right_mm": D("8.651")}, "shift_exceeds_spacer", "eyelet_shift_right_mm"),
        ({"build": "three_spacers"}, "not_one_of", "build"),
        ({"width_mm": D(0)}, "out_of_range", "width_mm"),
        ({"width_mm": D("2000.1")}, "out_of_range", "width_mm"),
        ({"width_mm": D("1E-401")}, "out_of_range", "width_mm"),
        ({"gap_mm": D("-0.1")}, "out_of_range", "gap_mm"),
        ({"eyelet_tolerance_mm": D("Infinity")}, "out_of_range", "eyelet_tolerance_mm"),
    ],
)
def test_refusals(change: dict[str, object], code: str, field: str) -> None:
    with pytest.raises(BenchRefusal) as caught:
        replace(SPACERS, **change)  # type: ignore[arg-type]
    assert (caught.value.code, caught.value.field) == (code, field)


def test_cautions_are_in_the_vocabulary() -> None:
    assert set(stack_up(SPACERS).cautions) <= set(CAUTIONS)
    assert "never_force_or_spread" in stack_up(SPACERS).cautions


@given(lengths("12.7", "80"), lengths("5", "12.699"), st.floats(0, 1))
def test_the_parts_always_make_up_the_width(width: Decimal, eyelet: Decimal, share: float) -> None:
    shift = round((width - eyelet) / 2 * D(share), 3)
    shift = min(shift, (width - eyelet) / 2)
    answer = stack_up(StackRequest("two_spacers", width, eyelet, eyelet_shift_right_mm=shift))
    assert answer.spacer_left_mm is not None
    assert answer.spacer_right_mm is not None
    assert answer.spacer_left_mm + eyelet + answer.spacer_right_mm == width
    assert answer.spacer_left_mm - answer.spacer_right_mm == 2 * shift


@given(*[lengths("0", "0.5")] * 3, lengths("29", "31"), lengths("0", "0.2"))
def test_looser_parts_are_never_proven_sooner(
    eyelet: Decimal, spacer: Decimal, gap_tolerance: Decimal, gap: Decimal, more: Decimal
) -> None:
    one = stack_up(replace(SPACERS, eyelet_tolerance_mm=eyelet, spacer_tolerance_mm=spacer, gap_mm=gap,
                           gap_tolerance_mm=gap_tolerance))  # fmt: skip
    two = stack_up(replace(SPACERS, eyelet_tolerance_mm=eyelet + more, spacer_tolerance_mm=spacer, gap_mm=gap,
                           gap_tolerance_mm=gap_tolerance))  # fmt: skip
    assert one.clearance_worst_mm is not None
    assert two.clearance_worst_mm is not None
    assert one.clearance_rss_mm is not None
    assert (
        two.clearance_worst_mm[0] <= one.clearance_worst_mm[0] <= one.clearance_worst_mm[1] <= two.clearance_worst_mm[1]
    )
    if two.fits == "proven":
        assert one.fits == "proven"
    # RSS never claims more than the worst case allows
    assert one.clearance_worst_mm[0] <= one.clearance_rss_mm[0] + D("1e-6")
