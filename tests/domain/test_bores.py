"""Bolts in bores: verdicts at their bounds and refusals; the limits themselves are checked in test_standards."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.bores import BoreFitRequest, fit_bore
from boltspan.domain.refusals import BenchRefusal

D = Decimal


@pytest.mark.parametrize(
    ("bore", "bolt", "clearance", "verdict"),
    [
        ("8 H9", "M8x1.25-6g", (28, 276), "clearance"),  # 8.000 - 7.972; 8.036 - 7.760
        ("8 H9", "M10x1.5-6g", (-1968, -1696), "does_not_pass"),  # 8.000 - 9.968; 8.036 - 9.732
        ("8 H9", "M6x1-6g", (2026, 2242), "wrong_size"),  # 8.000 - 5.974; 8.036 - 5.794
        ("8 H8", "8.01 h8", (-10, 34), "transition"),  # 8.000 - 8.010; 8.022 - 7.988
        ("8 H8", "8.03 h6", (-30, 1), "transition"),  # 8.000 - 8.030; 8.022 - 8.021
        ("8 H8", "8.031 h6", (-31, 0), "transition"),  # 8.022 - 8.022: 0 is not below 0
        ("8 H8", "8.032 h6", (-32, -1), "does_not_pass"),
        ("8 H8", "8.04 h6", (-40, -9), "does_not_pass"),  # 8.022 - 8.031
        ("8.5 H6", "8 h6", (500, 518), "clearance"),  # exactly 500 is not yet wrong
        ("8.501 H6", "8 h6", (501, 519), "wrong_size"),
        ("12.7 H7", "12.7 h6", (0, 29), "clearance"),  # the trade's half inch
        ("8H9", " M8 x 1.25 - 6g ", (28, 276), "clearance"),  # blanks are no matter
        ("8 H9", "M8x1.250-6g", (28, 276), "clearance"),
    ],
)
def test_verdicts_by_hand(bore: str, bolt: str, clearance: tuple[int, int], verdict: str) -> None:
    answer = fit_bore(BoreFitRequest(bore, bolt))
    assert answer.clearance_um == tuple(map(D, clearance))
    assert answer.verdict == verdict


@pytest.mark.parametrize(
    ("bore", "bolt", "code", "field"),
    [
        ("", "8 f7", "not_understood", "bore"),
        ("8 h9", "8 f7", "not_understood", "bore"),  # a shaft is no bore
        ("8 G9", "8 f7", "not_understood", "bore"),
        ("8 H9", "8 H9", "not_understood", "bolt"),
        ("8 H9", "8 F7", "not_understood", "bolt"),
        ("8 H9", "M8", "not_understood", "bolt"),
        ("8 H9", "-8 f7", "not_understood", "bolt"),
        ("8 H9", "8e0 f7", "not_understood", "bolt"),
        ("٨ H9", "8 f7", "not_understood", "bore"),  # another script's digit
        ("8" + "0" * 60 + " H9", "8 f7", "not_understood", "bore"),
        ("8 H5", "8 f7", "grade_out_of_range", "bore"),
        ("8 H14", "8 f7", "grade_out_of_range", "bore"),
        ("8 H9", "8 g5", "grade_out_of_range", "bolt"),
        ("3 H9", "8 f7", "size_out_of_range", "bore"),  # over 3
        ("80.1 H9", "8 f7", "size_out_of_range", "bore"),
        ("8 H9", "81 f7", "size_out_of_range", "bolt"),
        ("8 H9", "M8x1.5-6g", "thread_unknown", "bolt"),
        ("8 H9", "M16x2-6g", "thread_unknown", "bolt"),
    ],
)
def test_refusals(bore: str, bolt: str, code: str, field: str) -> None:
    with pytest.raises(BenchRefusal) as caught:
        fit_bore(BoreFitRequest(bore, bolt))
    assert (caught.value.code, caught.value.field) == (code, field)


@given(st.text(max_size=50), st.text(max_size=50))
def test_any_text_is_answered_or_refused(bore: str, bolt: str) -> None:
    try:
        lo, hi = fit_bore(BoreFitRequest(bore, bolt)).clearance_um
    except BenchRefusal:
        return
    assert lo <= hi


nominals = st.decimals(D("3.001"), D(80), places=3)


@given(nominals, nominals, st.integers(6, 12), st.sampled_from("fgh"), st.integers(6, 13))
def test_a_coarser_grade_never_narrows_the_clearance(
    bore: Decimal, bolt: Decimal, grade: int, letter: str, bolt_grade: int
) -> None:
    fine = fit_bore(BoreFitRequest(f"{bore} H{grade}", f"{bolt} {letter}{bolt_grade}")).clearance_um
    coarse = fit_bore(BoreFitRequest(f"{bore} H{grade + 1}", f"{bolt} {letter}{bolt_grade}")).clearance_um
    assert fine[0] == coarse[0]
    assert fine[1] < coarse[1]


@given(nominals, st.integers(6, 13), st.integers(6, 13))
def test_f_is_looser_than_g_is_looser_than_h(nominal: Decimal, grade: int, bolt_grade: int) -> None:
    f, g, h = (
        fit_bore(BoreFitRequest(f"{nominal} H{grade}", f"{nominal} {letter}{bolt_grade}")).clearance_um
        for letter in "fgh"
    )
    assert f > g > h
    assert h[0] == 0
