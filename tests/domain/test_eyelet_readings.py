"""What readings of a shock's bare eyelet come to, alone and beside what is written, and the mistakes that are named."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pressfit
import pytest

from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput
from boltspan.domain.eyelet_readings import end_read, reads_as, size_read
from boltspan.domain.features import EYELET_FEATURES, reading_interval, true_interval
from boltspan.domain.findings import Finding, find
from boltspan.domain.frames import Years
from boltspan.domain.mistakes import ADVICE
from boltspan.domain.read_back import read_back
from boltspan.domain.readings import nominal_from_readings
from boltspan.domain.review import Decision
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.shocks import Shock
from boltspan.domain.sources import Measurement
from boltspan.domain.statements import claim_from, claim_json

D = Decimal
SHOCK = Shock("s-0000000001", "orrinfell", "brindle", "shock", Years(2019))
FEATURES = dict(zip(("bore", "width", "outer"), EYELET_FEATURES, strict=True))


def reading(number: int, by: int = 1, value: Any = None, instrument: str = "digital_caliper", step: str = "0.01",
            **readings: list[str]) -> Claim:  # fmt: skip
    source = {
        "kind": "measured",
        "by": f"p-{by:010d}",
        "seen_on": "2026-05-01",
        "instrument": {"kind": instrument, "resolution_mm": D(step)},
        "features": {part: FEATURES[part] for part in readings},
        "readings_mm": {part: [D(r) for r in taken] for part, taken in readings.items()},
    }
    said = {"id": f"c-{number:010d}", "source": source} | ({} if value is None else {"value": value})
    return claim_from(SHOCK, "body", said)


def page(number: int, **value: Any) -> Claim:
    source = {"kind": "spec_page", "by": "p-0000000009", "document": f"example.org/{number}", "seen_on": "2026-03-04"}
    return claim_from(SHOCK, "body", {"id": f"c-{number:010d}", "value": value, "source": source})


def found(*claims: Claim, decisions: tuple[Decision, ...] = ()) -> Finding:
    return find(SHOCK, "body", claims, decisions)


def test_an_eyelets_bore_has_the_limits_h8() -> None:
    """ISO 286 by pressfit 0.1.0 (PyPI), an independent table; that eyelets are bored so is assumed."""
    for size in (D("12.7"), D(15), D("15.08")):
        lo, hi = true_interval("eyelet_bore", size)
        theirs = pressfit.fit("H8/h9", float(size))
        assert (lo - size, hi - size) == (D(theirs.hole_ei_um) / 1000, D(theirs.hole_es_um) / 1000)


def test_a_bore_reads_as_the_usual_bore_with_the_probability_of_the_formula() -> None:
    """By hand for one reading of 15.02 with a digital caliper, step 0.01, DIN 862 inside limit 0.04:

    sigma^2 = 0.0135^2/3 + 0.04^2/3 + 0.01^2/12 = 0.00006075 + 0.00053333 + 0.00000833 = 0.00060242; sigma 0.024544.
    Off 15.0135 by 0.0065: z 0.2648; off 15.0935 by 0.0735: z 2.9946. The densities are as exp(-0.0351) = 0.9656 to
    exp(-4.4838) = 0.01129, and "other" is 0.02/0.32667 x (1/77) x 0.024544 x 2.5066 = 0.0000489:
    p = 0.9656 / (0.9656 + 0.01129 + 0.00005) = 0.98838.
    """
    answer = nominal_from_readings([D("15.02")], "eyelet_bore", "digital_caliper", resolution_mm=D("0.01"))
    assert answer.choice_mm == D("15.0")
    assert math.isclose(answer.probabilities[0].p, 0.98838, abs_tol=2e-4)
    assert {a.name for a in answer.assumed} >= {"eyelet_bore_grade"}


@pytest.mark.parametrize(
    ("readings", "instrument", "size", "mistake"),
    [
        (["12.71"], "digital_caliper", "12.7", None),  # an older eyelet, or a bushing: alone it cannot be told
        (["15.09", "15.10"], "digital_caliper", "15.08", None),
        (["15.05"], "digital_caliper", None, None),  # between 15.0 and 15.08
        (["15.0"], "steel_rule", None, None),  # a rule tells 15.0 and 15.08 not apart
        (["8.06"], "digital_caliper", None, "measured_sleeve_bore"),  # the pin's bore
        (["0.591"], "digital_caliper", None, "wrong_unit"),  # 15.01 mm
        (["16.4"], "digital_caliper", None, None),  # a bore that no list has
    ],
)
def test_what_a_bore_reads_as(readings: list[str], instrument: str, size: str | None, mistake: str | None) -> None:
    read = size_read("eyelet_bore", tuple(map(D, readings)), instrument, D("0.01"))
    assert read == (None if size is None else D(size), mistake)


@pytest.mark.parametrize(
    ("feature", "readings", "instrument", "step", "size", "mistake"),
    [
        ("eyelet_width", ["22.03", "21.98", "22.01"], "digital_caliper", "0.01", "22", None),
        ("eyelet_width", ["20.02"], "vernier_caliper", "0.05", "20", None),
        ("eyelet_width", ["22"], "tape", "1", None, None),  # give or take a millimetre is no width
        ("eyelet_width", ["0.866"], "digital_caliper", "0.001", None, "wrong_unit"),  # 21.996 mm
        ("eyelet_width", ["95"], "digital_caliper", "0.01", None, None),  # no eyelet is so wide
        ("eyelet_outer", ["25.14"], "digital_caliper", "0.01", "25.1", None),
    ],
)
def test_a_width_is_its_own_mean_to_a_tenth_where_the_instrument_allows(
    feature: str, readings: list[str], instrument: str, step: str, size: str | None, mistake: str | None
) -> None:
    read = size_read(feature, tuple(map(D, readings)), instrument, D(step))
    assert read == (None if size is None else D(size), mistake)


def test_readings_alone_give_a_candidate_and_two_people_a_provisional_value() -> None:
    alone = found(reading(1, bore=["15.02"], width=["22.01"]))
    assert (alone.standing, alone.advice, alone.value) == ("unknown", "do_not_sell", None)
    assert [c.value for c in alone.candidates] == [ShockEnd(None, D("15.0"), D(22))]
    twice = found(reading(1, bore=["15.02"]), reading(2, bore=["15.01"]))
    assert (twice.standing, twice.independent) == ("unknown", 1)  # one person's caliper is one voice
    two = found(reading(1, bore=["15.02"], width=["22.04"]), reading(2, by=2, bore=["15.01"], width=["22.06"]))
    assert (two.standing, two.advice, two.independent) == ("provisional", "ask_first", 2)
    assert isinstance(two.value, ShockEnd) and two.value.eyelet_bore_mm == D("15.0")


def test_a_reading_stands_beside_a_page_within_its_uncertainty() -> None:
    said = page(1, mount="eyelet", eyelet_bore_mm=15, eyelet_width_mm=22, eyelet_outer_mm=25)
    near = found(said, reading(2, bore=["15.03"], width=["21.95"], outer=["25.2"]))
    assert (near.standing, near.independent, near.mistakes) == ("provisional", 2, ())
    assert near.value == ShockEnd("eyelet", D(15), D(22), D(25))
    far = found(said, reading(2, bore=["15.11"]))
    assert (far.standing, far.advice, far.value) == ("disputed", "do_not_sell", None)
    assert {tuple(c.claims) for c in far.candidates} == {("c-0000000001",), ("c-0000000002",)}
    trunnion = found(page(1, mount="trunnion"), reading(2, bore=["15.02"]))
    assert trunnion.standing == "disputed"
    odd = found(page(1, mount="eyelet", eyelet_bore_mm=D("16.4")), reading(2, bore=["16.42"]))
    assert (odd.standing, odd.value) == ("provisional", ShockEnd("eyelet", D("16.4")))


def test_mistakes_that_show_beside_a_page_are_named_and_change_no_standing() -> None:
    said = page(1, mount="eyelet", eyelet_bore_mm=15, eyelet_width_mm=22)
    bushing = found(said, reading(2, bore=["12.72"]))
    assert (bushing.standing, bushing.mistakes) == ("disputed", (("c-0000000002", "measured_bushing_bore"),))
    spacers = found(said, reading(2, width=["29.9"]))
    assert (spacers.standing, spacers.mistakes) == ("disputed", (("c-0000000002", "measured_over_spacers"),))
    older = found(page(1, mount="eyelet", eyelet_bore_mm=D("12.7")), reading(2, bore=["12.72"]))
    assert (older.standing, older.mistakes) == ("provisional", ())
    assert {"measured_bushing_bore", "measured_over_spacers", "measured_sleeve_bore"} < set(ADVICE)


def test_readings_that_settle_no_size_dispute_nothing() -> None:
    unsure = found(reading(1, bore=["15.05"]), reading(2, by=2, bore=["15.05"]))
    assert (unsure.standing, unsure.advice, unsure.candidates) == ("unknown", "do_not_sell", ())


def test_an_open_eyelet_may_be_as_narrow_as_a_bolt() -> None:
    said = found(reading(1, value={"mount": "open_eyelet", "eyelet_bore_mm": 8}, bore=["8.06"]))
    assert said.mistakes == ()


def test_a_ruling_on_readings_rules() -> None:
    claims = (page(1, mount="eyelet", eyelet_bore_mm=15), reading(2, bore=["15.11"]))
    settled = Decision("d-0000000001", SHOCK.id, "body", "2026-06-01", "p-0000000008", "settle", "the maker confirms",
                       ShockEnd("eyelet", D("15.08")), ("c-0000000002",), ("c-0000000001",))  # fmt: skip
    ruled = found(*claims, decisions=(settled,))
    assert (ruled.standing, ruled.contested, ruled.advice) == ("settled", False, "sell")
    later = found(*claims, reading(3, by=3, bore=["12.7"]), decisions=(settled,))
    assert (later.standing, later.contested, later.advice) == ("settled", True, "ask_first")
    assert dict(later.mistakes) == {"c-0000000003": "measured_bushing_bore"}


def test_what_cannot_be_measured_is_refused_with_its_place() -> None:
    for readings, value, code in (
        ({"bore": ["15.02"], "outer": ["14.9"]}, None, "outer_within_bore"),
        ({"bore": ["15.02"]}, {"mount": "trunnion"}, "no_eyelet_here"),
    ):
        with pytest.raises(InvalidInput) as refused:
            reading(1, value=value, **readings)
        assert [p.code for p in refused.value.problems] == [code]
    assert claim_json(reading(1, bore=["15.02"], outer=["25"]))["source"]["readings_mm"] == {
        "bore": [D("15.02")], "outer": [D(25)],
    }  # fmt: skip


def test_what_was_read_is_said_back_part_by_part() -> None:
    width, bore, outer = read_back(reading(1, bore=["15.02"], width=["22.01"], outer=["25"]), "measured_over_spacers")
    assert (bore.size, bore.chosen, bore.p is not None and bore.p > 0.9) == ("15 mm", True, True)
    assert (width.size, width.chosen, width.mistake, width.p) == ("22 mm", False, "measured_over_spacers", None)
    assert (outer.size, outer.chosen, outer.mistake) == ("25 mm", True, None)
    (rule,) = read_back(reading(1, instrument="tape", step="1", width=["22"]))
    assert (rule.size, rule.chosen, rule.next is not None) == (None, False, True)


def test_readings_in_any_order_are_the_same() -> None:
    one = Measurement("digital_caliper", D("0.01"), bore_feature="eyelet_bore",
                      bore_readings_mm=(D("15.01"), D("15.03")))  # fmt: skip
    other = Measurement("digital_caliper", D("0.01"), bore_feature="eyelet_bore",
                        bore_readings_mm=(D("15.03"), D("15.01")))  # fmt: skip
    assert end_read(one) == end_read(other) == (ShockEnd(None, D("15.0")), None)
    lo, hi = reading_interval("eyelet_bore", D(15), "digital_caliper", 1)
    assert (lo, hi) == (D("14.955"), D("15.072"))  # 15 - 0.04 - 0.005, 15.027 + 0.04 + 0.005
    assert reads_as(one, ShockEnd("eyelet", D(15))) and not reads_as(one, ShockEnd("eyelet", D("15.08")))
