"""Twelve whole fit sheets: every number that stands on them, worked by hand beside it.

Rules and counts are common practice without a published source, but where one is named. Used all over:

- spacers fill (width - eyelet's width) / 2 a side;
- nothing over the size's name and 0.03 goes in; the opening is from the name to 0.5 over it (assumed);
- a metal bushing in a bore of 15 or 15.08 takes a sleeve of 12.7 (assumed, common practice);
- the push tool lies from the bushing's inside to the bore less 0.2 (margin, assumed); the catch tool from the bushing's
  outside (0.05 over its bore when it is out, assumed) and 0.2 to the eyelet's outside less twice a rim of 1 (assumed),
  and is as deep as the bushing is long;
- a digital caliper: U = 2 sqrt(0.04^2/3 + 0.005^2/3) = 0.0465 inside, 2 sqrt(0.02^2/3 + 0.005^2/3) = 0.0238 outside
  (DIN 862; JCGM 100:2008, 4.3.7, 5.1.2, 6.2), rounded up to 0.047 and 0.024. A vernier of 0.05 inside:
  2 sqrt(0.07^2/3 + 0.025^2/3) = 0.0858, 0.086.

Frames and shocks are invented.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.fitsheet.facts import FrameFacts
from boltspan.domain.fitsheet.kits import KitStyle
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.values import EndValue
from tests.domain.fitsheet.builders import (
    SOCKETS,
    at_hand,
    end,
    ends,
    eyelet,
    frame,
    made,
    numbers,
    old,
    read,
    shock,
)

D = Decimal
PLAIN = frame(end("upper", "8 x 22.2"), end("lower", "8 x 30"))
UNKNOWN = frame(end("upper", None, "unknown"), end("lower", None, "unknown"), None)
NOTHING = ""
Case = tuple[FrameFacts, dict[str, Any], str, str]


def bare_frame() -> Case:
    """(22.2 - 12.7) / 2 = 4.75; (30 - 12.7) / 2 = 8.65. Push to 15 - 0.2; catch 15 + 0.05 + 0.2 to 24 - 2."""
    return (
        PLAIN,
        {"new_shock": shock(eyelet()), "tools": SOCKETS},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 15
kit: bolt 8, width 22.2, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 22.2
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 4.75
built: bolt 8, width 22.2, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22.2, spacer 4.75, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7, outer 24
built tabs: gap 22.2
pressing tools: push_outer_range 12.7 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 12.7""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15
kit: bolt 8, width 30, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 30
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 8.65
built: bolt 8, width 30, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 30, spacer 8.65, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7, outer 24
built tabs: gap 30
pressing tools: push_outer_range 12.7 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 12.7""",
    )


def second_shock() -> Case:
    """Its own hardware, for eyelets of 15.08 by 15: (22.2 - 15) / 2 = 3.6; (30 - 15) / 2 = 7.5.

    Push to 15.08 - 0.2 = 14.88; catch 15.08 + 0.25 = 15.33 to 25 - 2 = 23, 15 deep.
    """
    stays = {name: old(text, stays_in_old_shock=True) for name, text in (("upper", "8 x 22.2"), ("lower", "8 x 30"))}
    new = shock(eyelet("15.08", "15", "25"))
    return (
        PLAIN,
        {"new_shock": new, "old_shock": shock(eyelet()), "old_hardware": stays, "tools": SOCKETS},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 15.08
kit: bolt 8, width 22.2, eyelet_bore 15.08, eyelet_width 15
kit parts bushing: count 1, outer 15.08, inner 12.7, length 15
kit parts sleeve: count 1, outer 12.7, inner 8, length 22.2
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 3.6
built: bolt 8, width 22.2, bushing_outer 15.08, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22.2, \
spacer 3.6, clearance 0 to 0.5
built eyelet: bore 15.08, width 15, outer 25
built tabs: gap 22.2
pressing tools: push_outer_range 12.7 to 14.88, catch_inner_range 15.33 to 23, catch_depth_min 15""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15.08
kit: bolt 8, width 30, eyelet_bore 15.08, eyelet_width 15
kit parts bushing: count 1, outer 15.08, inner 12.7, length 15
kit parts sleeve: count 1, outer 12.7, inner 8, length 30
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 7.5
built: bolt 8, width 30, bushing_outer 15.08, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 30, spacer 7.5, \
clearance 0 to 0.5
built eyelet: bore 15.08, width 15, outer 25
built tabs: gap 30
pressing tools: push_outer_range 12.7 to 14.88, catch_inner_range 15.33 to 23, catch_depth_min 15""",
    )


def replacement() -> Case:
    """Upper: 22.225 is 22.2 (0.025, within 0.03), bore and eyelet alike, sound: moved, with its sleeve of 12.69.

    (22.225 - 12.7) / 2 = 4.7625. The name is the same size, so the opening is 0 to 0.5 over it. Lower: worn, so bought
    with the usual sleeve of 12.7.
    """
    hardware = {"upper": old("8 x 22.225", sleeve_outer_mm=D("12.69")),
                "lower": old("8 x 30", worn=True, sleeve_outer_mm=D("12.4"))}  # fmt: skip
    return (
        PLAIN,
        {"new_shock": shock(eyelet()), "old_shock": shock(eyelet()), "old_hardware": hardware},
        """\
never_over 22.23
size: bolt 8, width 22.225, eyelet_bore 15
kit: bolt 8, width 22.225, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.69, length 12.7
kit parts sleeve: count 1, outer 12.69, inner 8, length 22.225
kit parts o_ring: count 2, inner 12.69
kit parts spacer: count 2, inner 12.69, length 4.7625
built: bolt 8, width 22.225, bushing_outer 15, bushing_inner 12.69, sleeve_outer 12.69, sleeve_length 22.225, \
spacer 4.7625, clearance 0 to 0.5
built eyelet: bore 15, width 12.7, outer 24
built tabs: gap 22.2
pressing tools: push_outer_range 12.69 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 12.7""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15
kit: bolt 8, width 30, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 30
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 8.65
built: bolt 8, width 30, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 30, spacer 8.65, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7, outer 24
built tabs: gap 30
pressing tools: push_outer_range 12.7 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 12.7""",
    )


def same_shock_after_a_service() -> Case:
    """Worn in the same shock: its bushing comes out as measured, 15.02 over 12.66; the new one is 15 over 12.7.

    Push from 12.66; catch from 15.02 + 0.2 = 15.22. The other end is kept, its sleeve as it was measured.
    """
    worn = old("8 x 22.2", worn=True, bushing_outer_mm=D("15.02"), bushing_inner_mm=D("12.66"))
    hardware = {"upper": worn, "lower": old("8 x 30", sleeve_outer_mm=D("12.68"))}
    return (
        PLAIN,
        {"old_shock": shock(eyelet()), "same_shock": True, "old_hardware": hardware},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 15
kit: bolt 8, width 22.2, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 22.2
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 4.75
built: bolt 8, width 22.2, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22.2, spacer 4.75, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7, outer 24
built tabs: gap 22.2
pressing tools: push_outer_range 12.66 to 14.8, catch_inner_range 15.22 to 22, catch_depth_min 12.7""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15
kit: bolt 8, width 30, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.68, length 12.7
kit parts sleeve: count 1, outer 12.68, inner 8, length 30
kit parts o_ring: count 2, inner 12.68
kit parts spacer: count 2, inner 12.68, length 8.65
built: bolt 8, width 30, bushing_outer 15, bushing_inner 12.68, sleeve_outer 12.68, sleeve_length 30, spacer 8.65, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7, outer 24
built tabs: gap 30
pressing tools: push_outer_range 12.68 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 12.7""",
    )


def trunnion_and_eyelet() -> Case:
    """(25 - 15) / 2 = 5 at the shaft's eyelet; the trunnion end has no number at all."""
    of = frame(end("upper", "10 x 25"), end("lower", "trunnion"), "205 x 60")
    new = shock(length="205 x 60", body=ShockEnd("trunnion"), shaft=eyelet(width="15"))
    return (
        of,
        {"new_shock": new, "shock_up": "shaft"},
        """\
never_over 25.03
size: bolt 10, width 25, eyelet_bore 15
kit: bolt 10, width 25, eyelet_bore 15, eyelet_width 15
kit parts bushing: count 1, outer 15, inner 12.7, length 15
kit parts sleeve: count 1, outer 12.7, inner 10, length 25
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 5
built: bolt 10, width 25, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 25, spacer 5, \
clearance 0 to 0.5
built eyelet: bore 15, width 15, outer 24
built tabs: gap 25
pressing tools: push_outer_range 12.7 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 15""",
        NOTHING,
    )


def open_eyelet_and_a_sleeve_as_wide_as_the_eyelet() -> Case:
    """The frame's own bolt of 10 goes through a bore of 10. In front 22.2 - 22.2 = 0: no spacers, no O-rings."""
    of = frame(end("front", "8 x 22.2"), end("rear", EndValue("open_eyelet", eyelet_bore_mm=D(10))))
    new = shock(body=eyelet(width="22.2"), shaft=ShockEnd("open_eyelet", D(10), D(20)))
    return (
        of,
        {"new_shock": new, "shock_up": "body"},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 15
kit: bolt 8, width 22.2, eyelet_bore 15, eyelet_width 22.2
kit parts bushing: count 1, outer 15, inner 12.7, length 22.2
kit parts sleeve: count 1, outer 12.7, inner 8, length 22.2
built: bolt 8, width 22.2, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22.2, spacer 0, \
clearance 0 to 0.5
built eyelet: bore 15, width 22.2, outer 24
built tabs: gap 22.2
pressing tools: push_outer_range 12.7 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 22.2""",
        """\
built eyelet: bore 10, width 20""",
    )


def size_down_from_the_shelf() -> Case:
    """22.2 is needed. 22.2 - 22 = 0.2; 22.2 - 21.8 = 0.4; 24 and 22.5 are over 22.4 + 0.086 = 22.486 as read.

    With 22: (22 - 12.7) / 2 = 4.65; 22.4 - 22 -/+ 0.086 = 0.314 to 0.486. Of lower sizes nothing is at hand.
    """
    stock = at_hand("8 x 21.8", "8 x 22", "8 x 22.5", "8 x 24", "8 x 21.5")
    own = {"upper": read("vernier_caliper", tab_gap="22.4", tabs="6")}
    of = frame(end("upper", "8 x 22.2"), end("lower", None, "withheld"))
    return (
        of,
        {"new_shock": shock(eyelet(outer=None)), "at_hand": stock, "readings": own},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 15
readings width: mean 22.4, uncertainty 0.086, chart 22.2
served substitutes size_down: undersize 0.2
served substitutes size_down size: bolt 8, width 22
served substitutes size_down: undersize 0.4
served substitutes size_down size: bolt 8, width 21.8
served never wider_than_read size: bolt 8, width 24
served never wider_than_read size: bolt 8, width 22.5
kit: bolt 8, width 22, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 22
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 4.65
built: bolt 8, width 22, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22, spacer 4.65, \
clearance 0.314 to 0.486
built eyelet: bore 15, width 12.7
built tabs: gap 22.4, thickness 6""",
        NOTHING,
    )


def nobody_makes_the_size() -> Case:
    """24.2: of what is made 24 is next below, 0.2 under, so the opening has 0.2 to 0.7 of room; (24 - 12.7) / 2 = 5.65.

    30 at the other end is made.
    """
    of = frame(end("upper", "8 x 24.2"), end("lower", "8 x 30"))
    return (
        of,
        {"new_shock": shock(eyelet(outer=None)), "made": made("8", "22.2", "24", "25.4", "30")},
        """\
never_over 24.23
size: bolt 8, width 24, eyelet_bore 15
kit: bolt 8, width 24, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 24
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 5.65
built: bolt 8, width 24, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 24, spacer 5.65, \
clearance 0.2 to 0.7
built eyelet: bore 15, width 12.7
built tabs: gap 24.2""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15
kit: bolt 8, width 30, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 30
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 8.65
built: bolt 8, width 30, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 30, spacer 8.65, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7
built tabs: gap 30""",
    )


def readings_against_the_chart() -> Case:
    """Upper: 21.9 is no opening of 22.2; of the trade's widths it is 21.8's (21.8 to 22.3), which is proven to go in.

    21.8 <= 21.9 - 0.047 = 21.853 (ISO 14253-1); 22 and 22.2 are over 21.947. (21.8 - 12.7) / 2 = 4.55; room 0.1 -/+
    0.047. Lower: 34.3 is over the 30.5 + 0.045 that 30 can give; nothing is told but that the smaller is the limit.
    """
    own = {"upper": read(tab_gap="21.9"), "lower": read(tab_gap="34.3")}
    stock = at_hand("8 x 21.8", "8 x 22", "8 x 22.2", "8 x 30", "8 x 34")
    return (
        PLAIN,
        {"new_shock": shock(eyelet(outer=None)), "at_hand": stock, "readings": own},
        """\
never_over 21.83
size: bolt 8, width 21.8, eyelet_bore 15
readings width: mean 21.9, uncertainty 0.047, choice 21.8, chart 22.2
served substitutes same_size: undersize 0
served substitutes same_size size: bolt 8, width 21.8
served never wider_than_read size: bolt 8, width 34
served never wider_than_read size: bolt 8, width 30
served never wider_than_read size: bolt 8, width 22.2
served never wider_than_read size: bolt 8, width 22
kit: bolt 8, width 21.8, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 21.8
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 4.55
built: bolt 8, width 21.8, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 21.8, spacer 4.55, \
clearance 0.053 to 0.147
built eyelet: bore 15, width 12.7
built tabs: gap 21.9""",
        """\
never_over 30.03
readings width: mean 34.3, uncertainty 0.047, choice 34, chart 30""",
    )


def readings_instead_of_a_chart() -> Case:
    """Upper: shank 7.95 is M8 (7.78 to 8); 22.225 <= 22.3 - 0.047 = 22.253 is the widest that is proven to go in.

    Nothing from 22.347 on. (22.225 - 12.7) / 2 = 4.7625; 22.3 - 22.225 -/+ 0.047 = 0.028 to 0.122.
    """
    own = {"upper": read(shank="7.95", tab_gap="22.3")}
    return (
        UNKNOWN,
        {"new_shock": shock(eyelet(outer=None)), "readings": own},
        """\
never_over 22.347
size: bolt 8, width 22.225, eyelet_bore 15
readings bolt: mean 7.95, uncertainty 0.024, choice 8
readings width: mean 22.3, uncertainty 0.047
kit: bolt 8, width 22.225, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve: count 1, outer 12.7, inner 8, length 22.225
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 4.7625
built: bolt 8, width 22.225, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22.225, \
spacer 4.7625, clearance 0.028 to 0.122
built eyelet: bore 15, width 12.7
built tabs: gap 22.3""",
        NOTHING,
    )


def bearings() -> Case:
    """Upper: (20 - 14) / 2 = 3, on the bolt of 8. Lower: the bearing gives way to a bushing, (30 - 14) / 2 = 8."""
    of = frame(end("upper", EndValue("bearing", D(8), D(20))), end("lower", "8 x 30"))
    kept, out = (eyelet(width="14", mount="bearing_eyelet", bearings=each) for each in ("fixed", "swappable"))
    return (
        of,
        {"new_shock": shock(body=kept, shaft=out), "shock_up": "body"},
        """\
never_over 20.03
size: bolt 8, width 20, eyelet_bore 15
kit: bolt 8, width 20, eyelet_bore 15, eyelet_width 14
kit parts spacer: count 2, inner 8, length 3
built: bolt 8, width 20, spacer 3, clearance 0 to 0.5
built eyelet: bore 15, width 14, outer 24
built tabs: gap 20""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15
kit: bolt 8, width 30, eyelet_bore 15, eyelet_width 14
kit parts bushing: count 1, outer 15, inner 12.7, length 14
kit parts sleeve: count 1, outer 12.7, inner 8, length 30
kit parts o_ring: count 2, inner 12.7
kit parts spacer: count 2, inner 12.7, length 8
built: bolt 8, width 30, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 30, spacer 8, \
clearance 0 to 0.5
built eyelet: bore 15, width 14, outer 24
built tabs: gap 30
pressing tools: push_outer_range 12.7 to 14.8, catch_inner_range 15.25 to 22, catch_depth_min 14""",
    )


def plastic_with_crush_washers_and_an_older_bore() -> Case:
    """No usual sleeve is known for plastic, nor whether it ends at the washers: neither size is told.

    (22.2 - 19.05) / 2 = 1.575 and (30 - 19.05) / 2 = 5.475 hold flange, spacer and washer together. Nothing is pressed.
    """
    style = KitStyle("polymer", sides="spacer_and_crush_washer")
    return (
        PLAIN,
        {"new_shock": shock(eyelet("12.7", "19.05", "22")), "kit_style": style},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 12.7
kit: bolt 8, width 22.2, eyelet_bore 12.7, eyelet_width 19.05
kit parts bushing: count 2, outer 12.7
kit parts sleeve: count 1, inner 8
kit parts o_ring: count 2
kit parts spacer: count 2, length 1.575
kit parts crush_washer: count 2
built: bolt 8, width 22.2, bushing_outer 12.7, spacer 1.575, clearance 0 to 0.5
built eyelet: bore 12.7, width 19.05, outer 22
built tabs: gap 22.2""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 12.7
kit: bolt 8, width 30, eyelet_bore 12.7, eyelet_width 19.05
kit parts bushing: count 2, outer 12.7
kit parts sleeve: count 1, inner 8
kit parts o_ring: count 2
kit parts spacer: count 2, length 5.475
kit parts crush_washer: count 2
built: bolt 8, width 30, bushing_outer 12.7, spacer 5.475, clearance 0 to 0.5
built eyelet: bore 12.7, width 19.05, outer 22
built tabs: gap 30""",
    )


def two_halves() -> Case:
    """Each half is half the width: 22.2 / 2 = 11.1 and 30 / 2 = 15; it is its own spacer."""
    return (
        PLAIN,
        {"new_shock": shock(eyelet(outer=None)), "kit_style": KitStyle(sleeve="two_piece")},
        """\
never_over 22.23
size: bolt 8, width 22.2, eyelet_bore 15
kit: bolt 8, width 22.2, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve_half: count 2, outer 12.7, inner 8, length 11.1
kit parts o_ring: count 2, inner 12.7
built: bolt 8, width 22.2, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 22.2, spacer 4.75, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7
built tabs: gap 22.2""",
        """\
never_over 30.03
size: bolt 8, width 30, eyelet_bore 15
kit: bolt 8, width 30, eyelet_bore 15, eyelet_width 12.7
kit parts bushing: count 1, outer 15, inner 12.7, length 12.7
kit parts sleeve_half: count 2, outer 12.7, inner 8, length 15
kit parts o_ring: count 2, inner 12.7
built: bolt 8, width 30, bushing_outer 15, bushing_inner 12.7, sleeve_outer 12.7, sleeve_length 30, spacer 8.65, \
clearance 0 to 0.5
built eyelet: bore 15, width 12.7
built tabs: gap 30""",
    )


def what_is_not_to_be_fitted() -> Case:
    """A stroke of 65 against 55, over a disputed end: no number but the limit of the end that is known."""
    of = frame(end("upper", None, "disputed"), end("lower", "8 x 30"))
    return of, {"new_shock": shock(eyelet(), "210 x 65"), "at_hand": at_hand("8 x 30")}, NOTHING, "never_over 30.03"


@pytest.mark.parametrize(
    "case",
    [
        bare_frame, second_shock, replacement, same_shock_after_a_service, trunnion_and_eyelet,
        open_eyelet_and_a_sleeve_as_wide_as_the_eyelet, size_down_from_the_shelf, nobody_makes_the_size,
        readings_against_the_chart, readings_instead_of_a_chart, bearings, plastic_with_crush_washers_and_an_older_bore,
        two_halves, what_is_not_to_be_fitted,
    ],
)  # fmt: skip
def test_every_number_is_as_worked_by_hand(case: Any) -> None:
    of, bench, first, second = case()
    one, two = ends(of, **bench)
    assert numbers(one) == first
    assert numbers(two) == second
