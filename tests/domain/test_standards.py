"""The tables against published values and, where one is known, the rule; each source stands beside its check."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pressfit
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.bores import BoreFitRequest, fit_bore
from boltspan.domain.features import true_interval
from boltspan.domain.instruments import Instrument
from boltspan.domain.standards.calipers import DIN_862, INSIDE_ADDS_MM
from boltspan.domain.standards.clearance_holes import ISO_273
from boltspan.domain.standards.limits_and_fits import BANDS_UP_TO_MM, GRADES_UM, SHAFT_UPPER_UM, band, tolerance_um
from boltspan.domain.standards.threads import ASME_B1_1_2A, COARSE, ISO_965_6G, CrestRow, root_mm

D = Decimal
PUBLISHED: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "vectors" / "standards.json").read_text("utf-8"),
    parse_float=Decimal,
    parse_int=Decimal,
)


def row(thread: str, pitch: str) -> CrestRow:
    return next(each for each in ISO_965_6G if (each.thread, each.pitch_mm) == (thread, D(pitch)))


# --- ISO 965-1, class 6g


def test_every_published_6g_row_is_loaded_as_printed() -> None:
    """ISO 965-1 6g, outside diameters, as four published charts print them (tests/vectors/standards.json)."""
    rows = PUBLISHED["iso_965_6g_major"]
    assert len(rows) == len(ISO_965_6G) == 15
    for each in rows:
        found = row(each["thread"], str(each["pitch"]))
        assert (found.crest_max_mm, found.crest_min_mm) == (each["major_max"], each["major_min"])
        assert found.seen_at
        assert found.sure


# R40 of ISO 3, where tolerances are rounded to it (from memory)
R40 = (100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300, 315, 335)


def follows_6g(each: CrestRow) -> bool:
    """ISO 965-1 (from memory): es(g) = -(15 + 11 P) um, Td(6) = 180 P^(2/3) - 3.15 / P^0.5 um, to a value of R40.

    The standard's own rounding differs from the formula by up to 1.25 um in es (23.25 printed as 22 at P = 0.75).
    """
    pitch = float(each.pitch_mm)
    allowance = float(each.nominal_mm - each.crest_max_mm) * 1000
    width = round(float(each.crest_max_mm - each.crest_min_mm) * 1000)
    exact = 180 * pitch ** (2 / 3) - 3.15 / pitch**0.5
    if abs(allowance - (15 + 11 * pitch)) > 1.5 or width not in R40:
        return False
    place = R40.index(width)
    return bool(R40[place - 1] < exact < R40[place + 1])


@pytest.mark.parametrize("each", ISO_965_6G, ids=lambda each: f"{each.thread}x{each.pitch_mm}")
def test_6g_rows_follow_the_rule(each: CrestRow) -> None:
    """M8 x 1.25: 15 + 13.75 = 28.75, printed as 28; 180 x 1.160397 - 2.8175 = 206.05, printed as 212."""
    assert follows_6g(each)


def test_the_misprint_of_m9_would_be_found() -> None:
    """Two published charts print M9 x 1 6g as at most 8.972; the rule gives 8.974 (15 + 11 = 26 um)."""
    right = CrestRow("M9", D(9), D(1), D("8.974"), D("8.794"), "", "")
    assert follows_6g(right)
    assert not follows_6g(replace(right, crest_max_mm=D("8.972")))
    assert {row(thread, "1").nominal_mm - row(thread, "1").crest_max_mm for thread in ("M6", "M8", "M10", "M12")} == {
        D("0.026")
    }


def test_coarse_threads_and_their_roots() -> None:
    """Coarse pitches of ISO 261; roots d - 1.2269 P: M6 4.77, M8 6.47, M10 8.16."""
    coarse = {each.thread: each.pitch_mm for each in COARSE if each.thread.startswith("M")}
    assert coarse == {"M5": D("0.8"), "M6": D(1), "M8": D("1.25"), "M10": D("1.5"), "M12": D("1.75"), "M14": D(2)}
    roots = {each.thread: round(root_mm(each), 2) for each in COARSE}
    assert (roots["M6"], roots["M8"], roots["M10"]) == (D("4.77"), D("6.47"), D("8.16"))


# --- ASME B1.1, class 2A


@pytest.mark.parametrize("each", ASME_B1_1_2A, ids=lambda each: each.thread)
def test_inch_rows_follow_the_rule(each: CrestRow) -> None:
    """ASME B1.1 (from memory): tolerance of the 2A outside diameter 0.060 P^(2/3) in, to four places.

    1/4-20: 0.060 x 0.05^(2/3) = 0.00814, so 0.2489 - 0.0081 = 0.2408.
    """
    width = (each.crest_max_mm - each.crest_min_mm) / D("25.4")
    assert width == D(round(0.060 * (float(each.pitch_mm) / 25.4) ** (2 / 3), 4)).quantize(D("0.0001"))


@pytest.mark.parametrize(
    ("per_inch", "largest", "smallest"),
    [(24, "0.1890", "0.1818"), (32, "0.1631", "0.1571"), (40, "0.1112", "0.1061"), (24, "0.2150", "0.2078")],
)
def test_the_inch_rule_gives_published_rows(per_inch: int, largest: str, smallest: str) -> None:
    """10-24, 8-32, 4-40 and 12-24 of a published table of class 2A limits: the rule above gives their tolerance."""
    assert round(0.060 * (1 / per_inch) ** (2 / 3), 4) == pytest.approx(float(D(largest) - D(smallest)), abs=1e-9)


# --- ISO 286


def test_iso_286_tables_are_as_published() -> None:
    """ISO 286: IT6 to IT13, f and g (tests/vectors/standards.json, seen in two or three published tables)."""
    published = PUBLISHED["iso_286_um"]
    for grade, values in GRADES_UM:
        assert list(values) == published[f"IT{grade}"]
    for letter, values in SHAFT_UPPER_UM:
        if letter != "h":
            assert list(values) == published[f"{letter}_es"]


@pytest.mark.parametrize("check", PUBLISHED["iso_286_checks"], ids=lambda check: str(check["fit"]))
def test_published_fits(check: dict[str, Any]) -> None:
    """Limits and clearances of published fits, among them 8 H8/f7 = 8.000-8.022 / 7.972-7.987, 13 to 50 um."""
    size, classes = check["fit"].split()
    hole, shaft = classes.split("/")
    answer = fit_bore(BoreFitRequest(f"{size} {hole}", f"{size} {shaft}"))
    assert list(answer.clearance_um) == check["clearance_um"]
    (hole_lo, hole_hi), (shaft_lo, shaft_hi) = check["hole"], check["shaft"]
    assert list(answer.clearance_um) == [(hole_lo - shaft_hi) * 1000, (hole_hi - shaft_lo) * 1000]


def test_h6_is_not_the_misprint() -> None:
    """A published dimension table prints h6 as 10, 12, 15 um for 6-10, 10-18, 18-30; right are 9, 11, 13."""
    assert [tolerance_um(6, place) for place in (1, 2, 3)] == [9, 11, 13]


def test_a_size_on_a_band_s_edge_belongs_to_the_lower_band() -> None:
    """ISO 286: over a, up to and including b. 6 mm H7 is 12 um, not 15; 10 mm 15, not 18; 18 mm 18, not 21."""
    for edge, place, micrometres in ((6, 0, 12), (10, 1, 15), (18, 2, 18)):
        assert band(D(edge)) == place
        assert tolerance_um(7, place) == micrometres
        assert band(D(edge) + D("0.001")) == place + 1
    assert band(D(3)) is None
    assert band(D("3.001")) == 0
    assert band(D(80)) == len(BANDS_UP_TO_MM) - 1
    assert band(D("80.001")) is None


@given(st.decimals(D("3.001"), D(80), places=3), st.integers(6, 11), st.sampled_from("fgh"), st.integers(6, 11))
def test_fits_agree_with_the_package_pressfit(nominal: Decimal, bore: int, letter: str, grade: int) -> None:
    """pressfit 0.1.0 (PyPI), an independent table of ISO 286: grades 6 to 11."""
    theirs = pressfit.fit(f"H{bore}/{letter}{grade}", float(nominal))
    ours = fit_bore(BoreFitRequest(f"{nominal} H{bore}", f"{nominal} {letter}{grade}"))
    assert tuple(map(float, ours.clearance_um)) == tuple(map(float, theirs.clearance_um))


def test_shanks_are_nominal_less_it13() -> None:
    """Plain shank of a grade A bolt: M10 9.78 and M12 11.73 published, M6 5.82 and M8 7.78 by IT13."""
    for size, least in ((6, "5.82"), (8, "7.78"), (10, "9.78"), (12, "11.73")):
        assert true_interval("shank", D(size)) == (D(least), D(size))


@pytest.mark.parametrize(
    ("bore", "bolt", "clearance"),
    [
        # a bearing maker's table of wrapped bushes, shaft f7: 12 f7 = 11.966 to 11.984, bore when mounted 11.99 to
        # 12.058 (not an H bore), so only the shaft is compared, through an H7 bore of 12.000 to 12.018
        ("12 H7", "12 f7", (16, 52)),
        # the same table: 13 f7 = 12.966 to 12.984; 13 H7 = 13.000 to 13.018
        ("13 H7", "13 f7", (16, 52)),
        # and its housing: 15 H7 = 15.000 to 15.018 against a bush of 15 h9 (0 to -43)
        ("15 H7", "15 h9", (0, 61)),
    ],
)
def test_published_shafts_and_housings(bore: str, bolt: str, clearance: tuple[int, int]) -> None:
    assert fit_bore(BoreFitRequest(bore, bolt)).clearance_um == tuple(map(D, clearance))


# --- ISO 273, DIN 862


def test_clearance_holes() -> None:
    """ISO 273 as one published table prints it; from M12 up another source differs (13, 14, 15) and is not loaded."""
    published = PUBLISHED["iso_273_fine_medium_coarse"]
    assert {name: list(sizes) for name, *sizes in ISO_273} == published


def test_clearance_holes_take_their_bolt() -> None:
    """Each ISO 273 hole is wider than the largest 6g crest of its bolt (ISO 965-1), the series ascending."""
    for name, fine, medium, coarse in ISO_273:
        crest = max(each.crest_max_mm for each in ISO_965_6G if each.thread == name)
        assert crest < fine < medium < coarse


@pytest.mark.parametrize(
    ("kind", "step", "longest", "outside", "inside"),
    [
        ("digital_caliper", None, "50", "0.02", "0.04"),  # DIN 862 to 100 mm; a calibration page: 0.02 and 0.04
        ("digital_caliper", None, "100", "0.02", "0.04"),
        ("digital_caliper", None, "100.01", "0.03", "0.05"),
        ("digital_caliper", None, "500", "0.03", "0.05"),  # beyond the table: its last row
        ("digital_caliper", "0.1", "50", "0.1", "0.12"),  # ISO 13385-1: never below the step
        ("vernier_caliper", None, "150", "0.05", "0.07"),
        ("vernier_caliper", "0.02", "50", "0.02", "0.04"),
        ("steel_rule", None, "50", "0.5", "0.5"),  # assumed
        ("tape", None, "50", "1", "1"),  # assumed
    ],
)
def test_limits_of_instruments(kind: str, step: str | None, longest: str, outside: str, inside: str) -> None:
    instrument = Instrument.of_kind(kind, None if step is None else D(step), D(longest))
    assert (instrument.limit_mm("outside"), instrument.limit_mm("inside")) == (D(outside), D(inside))


def test_din_862_inside_adds_20_um() -> None:
    published = PUBLISHED["din_862"]
    assert published["inside_adds"] == INSIDE_ADDS_MM
    loaded = {(each.kind, each.step_mm, each.up_to_mm): each.limit_mm for each in DIN_862}
    assert loaded["digital_caliper", D("0.01"), D(100)] == published["digital_0.01_to_100"]
    assert loaded["vernier_caliper", D("0.02"), D(100)] == published["vernier_0.02_to_100"]
    assert loaded["vernier_caliper", D("0.05"), D(200)] == published["vernier_0.05_to_200"]
