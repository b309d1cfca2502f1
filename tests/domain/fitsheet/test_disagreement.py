"""When the asker's readings and the chart contradict each other: whom the sheet says to trust, why, and what next.

Who is to be trusted is judgement, without a published source; the intervals and uncertainties are those of
``computation``: a digital caliper reads an opening within 0.04 (DIN 862, inside) and 0.005 (half its step), so that
U = 2 sqrt(0.04^2/3 + 0.005^2/3) = 0.047 (JCGM 100:2008). Frames and shocks are invented.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from boltspan.domain.fitsheet.facts import FrameEndFacts, FrameFacts, OwnReadings
from boltspan.domain.fitsheet.sheet import EndSheet
from boltspan.domain.fitsheet.texts import TRUST
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.values import EndValue
from tests.domain.fitsheet.builders import at_hand, end, ends, eyelet, frame, old, read, shock

D = Decimal
LOWER = end("lower", "8 x 30")
SETTLED = end("upper", "8 x 22.2")
SHELF = at_hand(*(f"{bolt} x {width}" for bolt in (8, 10) for width in ("20", "21.8", "22", "22.2", "24", "48", "50")))


def upper(chart: FrameEndFacts, own: OwnReadings) -> EndSheet:
    """Return the upper end with a shock whose eyelets are 12.7 wide, and all widths at hand."""
    sheet, _ = ends(frame(chart, LOWER), new_shock=shock(eyelet()), readings={"upper": own}, at_hand=SHELF)
    return sheet


def widest(sheet: EndSheet) -> Decimal:
    """Return the widest width that the sheet lets anybody take."""
    named = [s.size.width_mm for s in sheet.served.substitutes]
    named += [] if sheet.kit is None else [sheet.kit.width_mm]
    named += [] if sheet.size is None or sheet.size.width_mm is None else [sheet.size.width_mm]
    return max(named, default=D(0))


@pytest.mark.parametrize(
    ("chart", "own", "trust", "why", "verdict", "at_most"),
    [
        # The bare frame in hand. 20.1 is under 22.2 - 0.045: 22.2 would have to be forced. 20 goes in (20 <= 20.053).
        (SETTLED, read(tab_gap="20.1"), "reading", "opening_reads_smaller", "buy", "20"),
        # 24.3 is over 22.725 + 0.045. The chart may be of another year, the reading over the tabs: nothing to buy.
        (SETTLED, read(tab_gap="24.3"), "neither", "opening_reads_larger", "disputed", "0"),
        # A plain shank of 9.93 is M10 (9.78 to 10), and no M8 (7.78 to 8), whatever the chart says.
        (SETTLED, read(shank="9.93"), "reading", "bolt_of_the_frame", "buy", "22.2"),
        # 8.9 is neither M8 nor M10.
        (SETTLED, read(shank="8.9"), "neither", "bolt_not_decided", "disputed", "0"),
        # A rule reads within 0.5 and 0.25: 20 is at most 20.75, and 24 at least 23.25. Neither is of 22.2 to 22.725.
        (SETTLED, read("steel_rule", tab_gap="20"), "neither", "coarse_instrument", "disputed", "0"),
        (SETTLED, read("tape", tab_gap="25"), "neither", "coarse_instrument", "disputed", "0"),
        # Old hardware of 19.98 is 20 (19.9 to 20), of 24 is 24: it may have been a substitute, or forced in.
        (SETTLED, read(hardware_width="19.98"), "chart", "reading_is_of_old_hardware", "buy", "22.2"),
        (SETTLED, read(hardware_width="23.96"), "chart", "reading_is_of_old_hardware", "buy", "22.2"),
        (SETTLED, read("tape", hardware_width="26"), "chart", "reading_is_of_old_hardware", "buy", "22.2"),
        (SETTLED, read(sleeve_bore="10.05"), "chart", "reading_is_of_old_hardware", "buy", "22.2"),
        # The same against a chart that is not settled, or contested.
        (end("upper", "8 x 22.2", "provisional"), read(hardware_width="19.98"), "neither", "old_hardware_only",
         "disputed", "0"),
        (end("upper", "8 x 22.2", contested=True), read(sleeve_bore="10.05"), "neither", "old_hardware_only",
         "disputed", "0"),
        # Usual mistakes that the chart's size explains: over tabs of 6, 34.3 - 12 = 22.3; 22.35 / 25.4 = 0.88;
        # 6.45 is the root of M8 (8 - 1.2269 x 1.25 = 6.466); 12.69 is a bushing's bore.
        (SETTLED, read(tab_gap="34.3", tabs="6"), "chart", "reading_looks_like_a_mistake", "buy", "22.2"),
        (SETTLED, read(tab_gap="0.88"), "chart", "reading_looks_like_a_mistake", "buy", "22.2"),
        (SETTLED, read(shank="6.45"), "chart", "reading_looks_like_a_mistake", "buy", "22.2"),
        (SETTLED, read(sleeve_bore="12.69"), "chart", "reading_looks_like_a_mistake", "buy", "22.2"),
        # A mistake that does not explain the chart says nothing for it. Over tabs of 12, 72.3 - 24 = 48.3 is of 48,
        # not of 50; 6.45 is the root of M8, not of M10 (10 - 1.2269 x 1.5 = 8.16); 0.95 in is 24.13, not 22.2.
        (end("upper", "8 x 50"), read(tab_gap="72.3", tabs="12"), "neither", "mistake_of_another_size", "disputed",
         "0"),
        (end("upper", "10 x 22.2"), read(shank="6.45"), "neither", "mistake_of_another_size", "disputed", "0"),
        (SETTLED, read(tab_gap="0.95"), "neither", "mistake_of_another_size", "disputed", "0"),
        # A size that the asker stated is no chart: nobody has settled it.
        (end("upper", "8 x 22.2", "unknown", stated=True), read(tab_gap="20.1"), "reading", "opening_reads_smaller",
         "buy", "20"),
        (end("upper", "8 x 22.2", "unknown", stated=True), read(hardware_width="19.98"), "neither",
         "old_hardware_only", "disputed", "0"),
        (end("upper", "8 x 22.2", "unknown", stated=True), read(shank="6.45"), "chart", "stated_size_by_mistake", "buy",
         "22.2"),
    ],
)  # fmt: skip
def test_whom_to_trust(
    chart: FrameEndFacts, own: OwnReadings, trust: str, why: str, verdict: str, at_most: str
) -> None:
    sheet = upper(chart, own)
    (reading,) = sheet.readings
    assert (reading.agrees, reading.trust, reading.why, sheet.verdict) == (False, trust, why, verdict)
    assert widest(sheet) == D(at_most)
    assert sheet.advice == ("do_not_sell" if verdict == "disputed" else "ask_first")
    if trust == "neither":
        assert (sheet.reasons, sheet.kit, sheet.size) == (("readings_against_chart",), None, None)


@pytest.mark.parametrize(
    ("tool", "bolt", "gap", "verdict", "reasons"),
    [
        # A caliper's U is 0.047: 22.225 goes into 22.3. A rule's is 2 sqrt(0.5^2/3 + 0.25^2/3) = 0.645, a tape's 1.29:
        # neighbouring widths are 0.2 to 1 apart.
        ("digital_caliper", "7.95", "22.3", "buy", ("size_by_readings",)),
        ("steel_rule", "8", "22.5", "not_known", ("end_unknown", "readings_too_coarse")),
        ("tape", "8", "22", "not_known", ("end_unknown", "readings_too_coarse")),
        # Two readings 0.5 apart: s = 0.354, U = 2 sqrt(0.0233^2 + 0.354^2 / 2) = 0.502.
        ("digital_caliper", "7.95", "22.3 22.8", "not_known", ("end_unknown", "readings_too_coarse")),
    ],
)
def test_no_width_is_chosen_by_a_coarse_reading_alone(
    tool: str, bolt: str, gap: str, verdict: str, reasons: tuple[str, ...]
) -> None:
    sheet = upper(end("upper", None, "unknown"), read(tool, shank=bolt, tab_gap=gap))
    assert (sheet.verdict, sheet.reasons) == (verdict, reasons)
    assert verdict == "buy" or widest(sheet) == 0
    named = {each.name for reading in sheet.readings for each in reading.assumed}
    assert ("coarse_over_mm" in named) == (verdict != "buy")


@pytest.mark.parametrize("code", TRUST)
def test_every_case_says_whom_to_trust_first_and_what_to_do_next(code: str) -> None:
    assert TRUST[code].startswith(("Trust the reading", "Trust the chart", "Trust the size that was stated",
                                   "Trust neither yet"))  # fmt: skip
    assert "easure" in TRUST[code] or "Read the opening again" in TRUST[code] or "See that" in TRUST[code]


@pytest.mark.parametrize(
    ("own", "at_most"),
    [
        (read(tab_gap="24.3"), "22.23"),  # the chart's 22.2, within 0.03
        (read("steel_rule", tab_gap="20"), "20.03"),
        (read(tab_gap="0.95"), "22.23"),  # a mistake bounds nothing
    ],
)
def test_of_two_that_contradict_each_other_nothing_wider_than_the_smaller_goes_in(
    own: OwnReadings, at_most: str
) -> None:
    assert upper(SETTLED, own).never_over_mm == D(at_most)


def test_a_bolt_that_is_in_no_table_and_agrees_is_no_mistake() -> None:
    """A bolt of 12.7 is read as 12.69: that is the bolt, and no bushing."""
    sheet = upper(end("upper", "12.7 x 22.2"), read(shank="12.69"))
    (reading,) = sheet.readings
    assert (reading.agrees, reading.mistake, reading.trust) == (True, None, None)


@pytest.mark.parametrize("mount", ["trunnion", "open_eyelet"])
def test_hardware_in_an_end_that_takes_none_is_marked(mount: str) -> None:
    """The chart says that there is none; the asker had some in the hand. One of the two is of another end or frame."""
    of = frame(end("upper", EndValue(mount)), LOWER)
    new = shock(body=ShockEnd(mount), shaft=eyelet())
    for bench in ({"old_hardware": {"upper": old("8 x 22.2")}}, {"readings": {"upper": read(sleeve_bore="8.05")}}):
        sheet, _ = ends(of, new_shock=new, shock_up="body", **bench)
        assert (sheet.verdict, sheet.reasons) == ("disputed", ("hardware_where_none_belongs",))
        assert sheet.advice == "do_not_sell"
    bare, _ = ends(of, new_shock=new, shock_up="body")
    assert bare.verdict == "none_needed"


def test_readings_that_agree_change_nothing() -> None:
    """22.31 lies in 22.2 to 22.725, 7.95 in 7.78 to 8."""
    sheet = upper(SETTLED, read(shank="7.95", tab_gap="22.31"))
    assert [(r.agrees, r.trust) for r in sheet.readings] == [(True, None), (True, None)]
    assert (sheet.verdict, sheet.advice, widest(sheet)) == ("buy", "sell", D("22.2"))


def test_a_chart_on_hold_stays_on_hold() -> None:
    sheets = ends(FrameFacts((FrameEndFacts("upper", "withheld"), LOWER)), new_shock=shock(eyelet()),
                  readings={"upper": read(shank="7.95", tab_gap="22.31")})  # fmt: skip
    assert (sheets[0].verdict, sheets[0].reasons, sheets[0].size) == ("not_known", ("end_withheld",), None)
