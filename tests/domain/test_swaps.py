"""Another shock at one end of a frame. Sizes are invented, but for the published inch lengths and common names."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boltspan.domain.answers import as_mapping
from boltspan.domain.bench_cautions import BENCH_CAUTIONS
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.shock_values import SHOCK_MOUNTS
from boltspan.domain.swaps import (
    REASONS,
    FrameEnd,
    NewShock,
    OldHardware,
    Part,
    ShockSwapRequest,
    swap_shock,
)
from boltspan.domain.values import MOUNTS

D = Decimal
FRAME = FrameEnd("hardware", D(210), D(55), D(8), D(30))
SHOCK = NewShock("eyelet", D(210), D(55), D(15))
OLD = OldHardware(D(8), D(30), D(15), worn=False)
SAME = ShockSwapRequest(FRAME, SHOCK, OLD)


def test_sound_hardware_moves_and_worn_is_bought() -> None:
    moved = swap_shock(SAME)
    assert (moved.action, moved.reasons, moved.buy) == ("move", (), None)
    assert moved.cautions[0] == "fit_new_bushing_advised"
    worn = swap_shock(replace(SAME, old_hardware=replace(OLD, worn=True)))
    assert (worn.action, worn.buy) == ("buy", Part(D(8), D(30), D(15)))
    assert "fit_new_bushing_advised" not in worn.cautions


def test_same_shock_after_a_service_keeps_its_hardware() -> None:
    kept = swap_shock(replace(SAME, same_shock=True))
    assert kept.action == "keep"
    assert "fit_new_bushing_advised" not in kept.cautions
    assert swap_shock(replace(SAME, same_shock=True, old_hardware=replace(OLD, worn=True))).action == "buy"


@pytest.mark.parametrize(
    ("change", "action"),
    [
        ({"eyelet_bore_mm": D("15.05")}, "move"),  # within 0.05
        ({"eyelet_bore_mm": D("15.08")}, "buy"),  # 15.0 and 15.08 are two bores
        ({"bolt_mm": D("7.9375")}, "buy"),  # 5/16 in is not M8: 0.0625 apart
        ({"width_mm": D("30.03")}, "move"),  # one size
        ({"width_mm": D("29.8")}, "buy"),
    ],
)
def test_old_hardware_must_be_the_frame_s(change: dict[str, Decimal], action: str) -> None:
    old = replace(OLD, **change)  # type: ignore[arg-type]
    answer = swap_shock(replace(SAME, old_hardware=old))
    assert answer.action == action


def test_seven_eighths_is_one_width() -> None:
    """22.2 is the trade's name of 7/8 in = 22.225 (common practice, no source)."""
    frame = replace(FRAME, width_mm=D("22.2"))
    assert swap_shock(ShockSwapRequest(frame, SHOCK, replace(OLD, width_mm=D("22.225")))).action == "move"


def test_without_old_hardware_it_is_bought() -> None:
    assert swap_shock(replace(SAME, old_hardware=None)).buy == Part(D(8), D(30), D(15))


@pytest.mark.parametrize(
    ("frame_stroke", "stroke", "action"),
    [
        # metric and inch names of one stroke: 2.25 in = 57.15, 2.5 in = 63.5, 2.75 in = 69.85 (25.4 mm an inch)
        ("57", "57.15", "move"),
        ("63", "63.5", "move"),
        ("70", "69.85", "move"),
        ("55", "55.51", "incompatible"),
        ("55", "57.5", "incompatible"),
        ("55", "54.5", "move"),
        ("55", "54.49", "ask_frame_maker"),
    ],
)
def test_strokes(frame_stroke: str, stroke: str, action: str) -> None:
    answer = swap_shock(replace(SAME, frame=replace(FRAME, stroke_mm=D(frame_stroke)),
                                new_shock=replace(SHOCK, stroke_mm=D(stroke))))  # fmt: skip
    assert answer.action == action


@pytest.mark.parametrize(("length", "action"), [("210.5", "move"), ("209.5", "move"), ("210.51", "incompatible")])
def test_lengths(length: str, action: str) -> None:
    assert swap_shock(replace(SAME, new_shock=replace(SHOCK, eye_to_eye_mm=D(length)))).action == action


def test_all_reasons_that_hold_are_told() -> None:
    frame = FrameEnd("trunnion", D(205), D(60))
    answer = swap_shock(ShockSwapRequest(frame, NewShock("eyelet", D(230), D(65), D(15))))
    assert answer.reasons == ("mount_differs", "length_differs", "stroke_longer")
    unknown = FrameEnd("bearing", D(210), D(55))
    short = swap_shock(ShockSwapRequest(unknown, NewShock("bearing_eyelet", D(210), D(50), D(15))))
    assert (short.action, short.reasons) == ("ask_frame_maker", ("stroke_shorter", "size_unknown"))


def test_proprietary_goes_before_all_else() -> None:
    frame = FrameEnd("proprietary", D(205), D(60))
    answer = swap_shock(ShockSwapRequest(frame, NewShock("eyelet", D(230), D(65), D(15))))
    assert (answer.action, answer.reasons) == ("ask_frame_maker", ("proprietary_mount",))


def test_ends_that_need_nothing() -> None:
    for frame_mount, shock_mount in (("trunnion", "trunnion"), ("open_eyelet", "open_eyelet")):
        frame, shock = FrameEnd(frame_mount, D(210), D(55)), NewShock(shock_mount, D(210), D(55))
        answer = as_mapping(swap_shock(ShockSwapRequest(frame, shock, OLD)))
        assert answer["action"] == "none_needed"
        assert "buy" not in answer


def test_bearing_eyelet_goes_only_where_the_frame_takes_it() -> None:
    bearing = replace(SHOCK, mount="bearing_eyelet")
    assert swap_shock(ShockSwapRequest(FRAME, bearing)).reasons == ("mount_differs",)
    flagged = swap_shock(ShockSwapRequest(replace(FRAME, bearing_compatible=True), bearing))
    assert flagged.action == "buy"
    assert "bearing_compatible_takes_bearing_eyelet" in {each.name for each in flagged.assumed}


@pytest.mark.parametrize(
    ("frame", "shock", "field"),
    [
        (replace(FRAME, mount="clamp"), SHOCK, "frame/mount"),
        (FRAME, replace(SHOCK, mount="hardware"), "new_shock/mount"),
        (replace(FRAME, bolt_mm=None), SHOCK, "frame/bolt_mm"),
        (replace(FRAME, width_mm=None), SHOCK, "frame/width_mm"),
        (FRAME, replace(SHOCK, eyelet_bore_mm=None), "new_shock/eyelet_bore_mm"),
        (replace(FRAME, stroke_mm=D(0)), SHOCK, "frame/stroke_mm"),
        (FRAME, replace(SHOCK, eye_to_eye_mm=D(2001)), "new_shock/eye_to_eye_mm"),
    ],
)
def test_refusals(frame: FrameEnd, shock: NewShock, field: str) -> None:
    with pytest.raises(BenchRefusal) as caught:
        ShockSwapRequest(frame, shock)
    assert caught.value.field == field
    with pytest.raises(BenchRefusal):
        replace(SAME, old_hardware=replace(OLD, eyelet_bore_mm=D(0)))
    with pytest.raises(BenchRefusal):
        replace(SAME, stroke_tolerance_mm=D(-1))


@pytest.mark.parametrize(("frame_mount", "shock_mount"), list(itertools.product(MOUNTS, SHOCK_MOUNTS)))
def test_which_mounts_go_together(frame_mount: str, shock_mount: str) -> None:
    """The trade's pairs (common practice, no source); every other pair is incompatible or the maker's own."""
    pairs = {"hardware": "eyelet", "bearing": "bearing_eyelet", "trunnion": "trunnion", "open_eyelet": "open_eyelet"}
    frame = replace(FRAME, mount=frame_mount)
    answer = swap_shock(ShockSwapRequest(frame, replace(SHOCK, mount=shock_mount)))
    if frame_mount == "proprietary":
        assert answer.action == "ask_frame_maker"
    elif pairs[frame_mount] == shock_mount:
        assert answer.action in ("buy", "none_needed")
    else:
        assert (answer.action, answer.reasons) == ("incompatible", ("mount_differs",))


sizes = st.sampled_from([D("12.7"), D(15), D("15.08")])
shocks = st.builds(
    NewShock, st.sampled_from(SHOCK_MOUNTS), st.sampled_from([D(205), D(210), D("210.4")]),
    st.sampled_from([D(50), D(55), D("55.5"), D(60)]), sizes,
)  # fmt: skip
frames = st.builds(
    FrameEnd, st.sampled_from(MOUNTS), st.just(D(210)), st.just(D(55)), st.sampled_from([D(6), D(8)]),
    st.sampled_from([D(30), D("22.2")]), st.none(), st.booleans(),
)  # fmt: skip
hardware = st.none() | st.builds(
    OldHardware, st.sampled_from([D(6), D(8)]), st.sampled_from([D(30), D("22.225")]), sizes, st.booleans()
)


@given(frames, shocks, hardware, st.booleans())
def test_answers_are_whole(frame: FrameEnd, shock: NewShock, old: OldHardware | None, same: bool) -> None:
    answer = swap_shock(ShockSwapRequest(frame, shock, old, same_shock=same))
    goes_in = answer.action in ("move", "buy", "keep", "none_needed")
    assert goes_in == (not answer.reasons)
    assert goes_in == ("check_full_travel" in answer.cautions)
    assert (answer.buy is not None) == (answer.action == "buy")
    assert set(answer.reasons) <= set(REASONS)
    assert set(answer.cautions) <= set(CAUTIONS) | set(BENCH_CAUTIONS)
    if goes_in:
        assert shock.stroke_mm - frame.stroke_mm <= D("0.5")
    if answer.buy is not None:
        assert (answer.buy.bolt_mm, answer.buy.width_mm) == (frame.bolt_mm, frame.width_mm)
        assert answer.buy.eyelet_bore_mm == shock.eyelet_bore_mm
