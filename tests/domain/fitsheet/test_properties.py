"""What holds for every frame, shock and shelf."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.cautions import SIZE_CAUTIONS
from boltspan.domain.fitsheet.facts import AtHand, Bench, FrameEndFacts, FrameFacts, OwnReadings, ShockFacts
from boltspan.domain.fitsheet.kits import BUSHINGS, O_RINGS, SIDES, SLEEVES, KitStyle
from boltspan.domain.fitsheet.sheet import EndSheet, FitSheet, fit_sheet
from boltspan.domain.fitsheet.told import KINDS, texts_of
from boltspan.domain.fitsheet.verdicts import FITTED, GOES_IN
from boltspan.domain.shock_values import ShockEnd, ShockSize
from boltspan.domain.values import EndValue
from tests.domain.fitsheet.builders import eyelet, old, read

D = Decimal
SIZES = ("20", "21.8", "22", "22.2", "22.225", "24", "25.4", "30")
bolts = st.sampled_from((D(6), D(8), D(10)))
widths = st.sampled_from(tuple(map(D, SIZES)))
bores = st.sampled_from((None, D("12.7"), D(15), D("15.08")))
values = st.one_of(
    st.none(),
    st.builds(EndValue, st.sampled_from((None, "hardware")), bolts, widths),
    st.builds(EndValue, st.just("hardware"), bolts, widths, bearing_compatible=st.booleans()),
    st.builds(EndValue, st.just("bearing"), bolts, widths),
    st.builds(EndValue, st.just("open_eyelet"), eyelet_bore_mm=st.sampled_from((None, D(10), D(12)))),
    st.sampled_from((EndValue("trunnion"), EndValue("proprietary"), EndValue("bearing"), EndValue(bolt_mm=D(8)))),
)


@st.composite
def frame_ends(draw: Any, name: str) -> FrameEndFacts:
    value = draw(values)
    standing = draw(st.sampled_from(("settled", "provisional") if value else ("unknown", "disputed", "withheld")))
    advice = {"settled": "sell", "provisional": "ask_first"}.get(standing, "do_not_sell")
    return FrameEndFacts(name, standing, advice, value, contested=draw(st.booleans()))


frames = st.builds(
    lambda ends, size: FrameFacts(ends, "settled" if size.complete else "unknown", size),
    st.tuples(frame_ends("upper"), frame_ends("lower")),
    st.sampled_from((ShockSize(), ShockSize(D(210), D(55)), ShockSize(D(210)))),
)
shock_ends = st.one_of(
    st.none(),
    st.just(ShockEnd("trunnion")),
    st.builds(
        ShockEnd, st.sampled_from(("eyelet", "open_eyelet")), bores, st.sampled_from((None, D("12.7"), D("22.2"))),
        st.sampled_from((None, D(24))),
    ),
    st.builds(ShockEnd, st.just("bearing_eyelet"), bores, bearings=st.sampled_from((None, "fixed", "swappable"))),
)  # fmt: skip
shocks = st.builds(
    ShockFacts,
    eye_to_eye_mm=st.sampled_from((None, D(210), D(230))),
    stroke_mm=st.sampled_from((None, D(50), D(55), D(65))),
    body=shock_ends,
    shaft=shock_ends,
)
stock = st.lists(
    st.builds(AtHand, st.sampled_from((None, "A", "B")), st.none(), bolts, widths, bores), max_size=8
)  # fmt: skip
readings = st.dictionaries(
    st.sampled_from(("upper", "lower")),
    st.builds(
        lambda tool, bolt, width, reading, gap, tabs: read(tool, tabs=tabs, **{bolt: reading, width: gap}),
        st.sampled_from(("digital_caliper", "vernier_caliper", "steel_rule", "tape")),
        st.sampled_from(("shank", "thread_crest", "sleeve_bore")),
        st.sampled_from(("tab_gap", "hardware_width")),
        st.sampled_from(("7.95", "9.93 9.94", "6.5", "12.7")),
        st.sampled_from(("19.2", "21.7", "21.9 21.91", "22.3", "24.1", "30.2", "34.3", "0.875", "9")),
        st.sampled_from((None, "6")),
    ),
    max_size=2,
)
styles = st.builds(
    lambda b, s, o, w: KitStyle(b, s, o, w if s == "one_piece" else "spacer"),
    *(st.sampled_from(tuple(words)) for words in (BUSHINGS, SLEEVES, O_RINGS, SIDES)),
)
olds = st.dictionaries(
    st.sampled_from(("upper", "lower")),
    st.builds(
        lambda text, worn, bore, stays: old(text, worn=worn, bore=bore, stays_in_old_shock=stays),
        st.sampled_from(("8 x 22.2", "8 x 21.8", "10 x 30", "8 x 30")),
        st.booleans(), st.sampled_from((None, "15", "12.7")), st.booleans(),
    ),
    max_size=2,
)  # fmt: skip
benches = st.builds(
    lambda new, before, hardware, own, hand, style, up: Bench(
        new, before, False, up, hardware, own, tuple(hand), kit_style=style
    ),
    st.one_of(st.none(), shocks), st.one_of(st.none(), shocks), olds, readings, stock, st.one_of(st.none(), styles),
    st.sampled_from((None, "body", "shaft")),
)  # fmt: skip


def every_end(sheet: FitSheet) -> list[EndSheet]:
    return [each for way in sheet.ways for each in way.ends]


def most(of: FrameFacts, sheet: EndSheet) -> Decimal | None:
    """Return the widest that may stand in an end: what the chart says, unless the sheet says why it is not believed."""
    chart = next(each for each in of.ends if each.end == sheet.end)
    return None if chart.value is None or chart.value.width_mm is None else chart.value.width_mm + D("0.03")


@given(frames, benches)
def test_no_width_over_the_chart_or_the_opening_is_ever_named(of: FrameFacts, bench: Bench) -> None:
    for each in every_end(fit_sheet(of, bench)):
        named = [s.size.width_mm for s in each.served.substitutes]
        named += [each.kit.width_mm] if each.kit is not None else []
        named += [each.size.width_mm] if each.size is not None and each.size.width_mm is not None else []
        limit = most(of, each)
        assert limit is None or all(width <= limit for width in named)
        gaps = [r.mean_mm + r.uncertainty_mm for r in each.readings if r.is_gap and r.trust != "chart"]
        assert each.verdict not in FITTED or all(width < gap for width in named for gap in gaps)
        smaller = [r.mean_mm + r.uncertainty_mm for r in each.readings if r.is_gap]
        assert each.verdict not in FITTED or all(width < gap for width in named for gap in smaller)
        across = None if each.built is None else each.built.eyelet.width_mm
        assert across is None or each.kit is None or each.kit.width_mm >= across - D("0.03")
        assert across is None or all(s.size.width_mm >= across - D("0.03") for s in each.served.substitutes)
        never = {n.size.width_mm for n in each.served.never}
        assert not never & {s.size.width_mm for s in each.served.substitutes}


@given(frames, benches, st.randoms(use_true_random=False))
def test_the_order_of_the_shelf_never_matters(of: FrameFacts, bench: Bench, shuffle: Any) -> None:
    mixed = list(bench.at_hand or ())
    shuffle.shuffle(mixed)
    assert fit_sheet(of, bench).ways == fit_sheet(of, replace(bench, at_hand=tuple(mixed))).ways


@given(frames, benches)
def test_every_code_has_its_text_and_every_sheet_all_cautions(of: FrameFacts, bench: Bench) -> None:
    sheet = fit_sheet(of, bench)
    texts = texts_of([sheet])  # raises when a code has no text
    assert set(texts) <= set(KINDS)
    assert set(SIZE_CAUTIONS) <= set(texts["fit_cautions"])
    assert len(sheet.ways) in (1, 2)
    assert (len(sheet.ways) == 2) == ("which_way_up" in sheet.questions)


@given(frames, benches)
def test_nothing_is_sold_on_what_is_not_known(of: FrameFacts, bench: Bench) -> None:
    for each in every_end(fit_sheet(of, bench)):
        if each.verdict in ("incompatible", "not_known", "disputed"):
            assert each.advice == "do_not_sell"
            assert each.reasons
        if each.verdict not in GOES_IN:
            assert (each.kit, each.built, each.taking_out, each.fitting, each.not_in_kit) == (None, None, (), (), ())
        if each.advice == "sell":
            assert each.standing == "settled"
            assert all(reading.agrees is not False for reading in each.readings)
        if each.standing == "withheld":
            assert each.verdict in ("not_known", "incompatible")


@given(frames, benches)
def test_the_parts_of_a_kit_make_up_its_width(of: FrameFacts, bench: Bench) -> None:
    for each in every_end(fit_sheet(of, bench)):
        kit = each.kit
        if kit is None or kit.eyelet_width_mm is None:
            continue
        spacer, half = kit.part("spacer"), kit.part("sleeve_half")
        side = D(0) if spacer is None else spacer.length_mm
        if half is not None:
            assert half.length_mm is not None
            assert 2 * half.length_mm == kit.width_mm
        else:
            assert side is not None
            assert kit.eyelet_width_mm + 2 * side == kit.width_mm
        assert all(part.length_mm is None or 0 < part.length_mm <= kit.width_mm for part in kit.parts)


@given(frames, benches)
def test_whoever_is_not_to_be_trusted_decides_nothing(of: FrameFacts, bench: Bench) -> None:
    """A reading against the chart always says whom to trust; trusting neither tells no size and sells nothing."""
    for each in every_end(fit_sheet(of, bench)):
        against = [reading for reading in each.readings if reading.agrees is False]
        assert all(reading.trust is not None and reading.why is not None for reading in against)
        assert all(reading.trust is None for reading in each.readings if reading.agrees is not False)
        if any(reading.trust == "neither" for reading in against) and each.standing != "withheld":
            assert each.verdict in ("disputed", "incompatible", "ask_frame_maker")
            assert (each.size, each.kit, each.served.substitutes) == (None, None, ())
        if against:
            assert each.advice != "sell"


@given(frames, shocks, st.sampled_from(("body", "shaft")))
def test_a_shock_turned_round_is_the_same_shock(of: FrameFacts, given_shock: ShockFacts, up: str) -> None:
    turned = replace(given_shock, body=given_shock.shaft, shaft=given_shock.body)
    other = "shaft" if up == "body" else "body"
    (one,), (two,) = (
        fit_sheet(of, Bench(new_shock=new, shock_up=which)).ways for new, which in ((given_shock, up), (turned, other))
    )
    assert [(a.verdict, a.reasons, a.size) for a in one.ends] == [(a.verdict, a.reasons, a.size) for a in two.ends]


@given(benches)
def test_old_hardware_is_moved_only_into_its_own_bore_and_size(bench: Bench) -> None:
    of = FrameFacts(
        (FrameEndFacts("upper", "settled", "sell", EndValue("hardware", D(8), D("22.2"))),
         FrameEndFacts("lower", "settled", "sell", EndValue("hardware", D(8), D(30)))),
        "settled", ShockSize(D(210), D(55)),
    )  # fmt: skip
    for each in every_end(fit_sheet(of, bench)):
        if each.verdict != "move":
            continue
        was = bench.old_hardware[each.end]
        assert not was.worn
        assert not was.stays_in_old_shock
        assert was.bolt_mm == 8
        assert each.size is not None
        assert each.size.width_mm == was.width_mm
        assert each.size.eyelet_bore_mm is not None


@given(st.sampled_from(("digital_caliper", "vernier_caliper")), st.decimals("18", "32", places=2))
def test_an_opening_read_without_a_chart_never_gets_more_than_goes_in(tool: str, gap: Decimal) -> None:
    own: OwnReadings = read(tool, shank="7.95", tab_gap=str(gap))
    of = FrameFacts((FrameEndFacts("upper"), FrameEndFacts("lower")))
    shock = ShockFacts(both=eyelet(width="12.7"))
    sheet = fit_sheet(of, Bench(new_shock=shock, readings={"upper": own}))
    upper = sheet.ways[0].ends[0]
    assert upper.verdict in ("buy", "ask_frame_maker")
    if upper.verdict == "buy":
        assert upper.size is not None
        assert upper.size.width_mm is not None
        unsure = upper.readings[0].uncertainty_mm, upper.readings[1].uncertainty_mm
        if upper.size.width_mm > gap - unsure[1]:
            assert "try_by_hand_first" in upper.cautions
        assert upper.size.width_mm < gap + unsure[1]
