"""Every parameter of the bench that no published source gives, in one place, with its default.

Each is also a field of a request where an asker may know better. An answer that leans on one lists it under
``assumed`` by the name noted here. All are judgement unless a line says otherwise.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

# Reading a caliper (readings)
ACCEPT: Final = 0.9
"""accept: a candidate at least this probable is the choice."""
OTHER_PRIOR: Final = 0.02
"""other_prior: chance, before reading, that it is none of the candidates."""
OTHER_DENSITY_PER_MM: Final = 1 / 77
"""other_density_per_mm: where such a reading would lie, evenly over 77 mm."""
METRIC_BOLT_PRIOR: Final = 0.32
"""metric_bolt_prior: chance of each of M6, M8, M10 before reading."""
INCH_BOLT_PRIOR: Final = 0.02 / 3
"""inch_bolt_prior: chance of each of 1/4, 5/16, 3/8 in before reading."""
SLEEVE_BORE_OVER_MM: Final = Decimal("0.15")
"""sleeve_bore_over_mm: a sleeve's bore lies from the bolt's size to this much over it."""
TAB_GAP_OVER_MM: Final = Decimal("0.5")
"""tab_gap_over_mm: a frame's opening lies from the hardware's width to this much over it."""
HARDWARE_WIDTH_UNDER_MM: Final = Decimal("0.1")
"""hardware_width_under_mm: hardware measures from this much under its width to its width."""
CREST_UNDER_MM: Final = Decimal("0.4")
"""crest_under_mm: the crest of a thread that no table holds lies from this much under the bolt to the bolt; 6g of the
coarsest bolt between two tabs, M16 x 2, reaches 0.318 under (ISO 965-1, by the rule)."""
MISTAKE_TOLERANCE_MM: Final = Decimal("0.1")
"""mistake_tolerance_mm: how near a reading lies to the size that a usual mistake would give."""
MISTAKE_OVER: Final = 0.5
"""mistake_over: a mistake is named only when "none of the candidates" is more probable than this."""
ROOT_TOLERANCE_MM: Final = Decimal("0.15")
"""root_tolerance_mm: how near a reading lies to a thread's root to be one."""
EYELET_BORES_MM: Final = (Decimal("12.7"), Decimal("15.0"), Decimal("15.08"))
"""eyelet_bores_mm: bores of bushings and eyelets (common practice; 1/2 and 19/32 in are known inch bush sizes)."""
EYELET_BORE_GRADE: Final = 8
"""eyelet_bore_grade: an eyelet's bore has the limits H of this ISO 286 grade: from its size to 0.027 over it at 15."""
EYELET_WIDTH_WITHIN_MM: Final = Decimal("0.1")
"""eyelet_width_within_mm: an eyelet measures its width over the faces, give or take this much."""
EYELET_OUTER_WITHIN_MM: Final = Decimal("0.3")
"""eyelet_outer_within_mm: the same over its outside, which is no fit."""

COARSE_OVER_MM: Final = Decimal("0.5")
"""coarse_over_mm: a reading less sure than this (U, k = 2) chooses no width and overrules none: neighbouring widths lie
that near. A caliper's is 0.05 to 0.1, a steel rule's 0.6."""
READINGS_APART_MM: Final = (Decimal("0.5"), Decimal("2"))
"""readings_apart_mm: readings of one feature that lie further apart are not of one thing; with a caliper, and with a
rule or a tape."""

# Instruments without a standard of their own
STEEL_RULE_LIMIT_MM: Final = Decimal("0.5")
STEEL_RULE_STEP_MM: Final = Decimal("0.5")
TAPE_LIMIT_MM: Final = Decimal("1.0")
TAPE_STEP_MM: Final = Decimal("1.0")

# Choosing the next smaller size (sizes)
MAX_UNDERSIZE_MM: Final = Decimal("0.5")
"""max_undersize_mm: how much smaller than the need still serves; the trade's example is 0.2 (common practice)."""
SIDE_PLAY_OVER_MM: Final = Decimal("0.3")
"""side_play_over_mm: an undersize above this makes side play likely."""

# A bolt in a bore (bores)
WRONG_SIZE_OVER_UM: Final = Decimal(500)
"""wrong_size_over_um: a smallest clearance over this means the two sizes do not belong together."""

# Push and catch tools (presstools)
PRESS_MARGIN_MM: Final = Decimal("0.2")
"""margin_mm: room between tool and bore; a bushing maker's catalogue gives 0.20 to 0.30 for its own bushes."""
EYELET_RIM_MM: Final = Decimal("1.0")
"""rim_mm: how wide a rim of the eyelet the catch tool must rest on."""

# Another shock (swaps)
STROKE_TOLERANCE_MM: Final = Decimal("0.5")
"""stroke_tolerance_mm: metric and inch names of one stroke differ (57 and 57.15, 63 and 63.5, 70 and 69.85)."""
EYE_TO_EYE_TOLERANCE_MM: Final = Decimal("0.5")
"""eye_to_eye_tolerance_mm: the same for the length."""
EYELET_BORE_TOLERANCE_MM: Final = Decimal("0.05")
"""eyelet_bore_tolerance_mm: bores this near are one; 15.0 and 15.08 are two."""

# What a kit is made of (fitsheet)
BUSHING_INNER_MM: Final = ((Decimal("15.0"), Decimal("12.7")), (Decimal("15.08"), Decimal("12.7")))
"""bushing_inner_mm: bore of the eyelet and bore of the metal bushing in it, which is the sleeve's outside (common
practice, no source)."""
THIN_SIDE_MM: Final = Decimal(1)
"""thin_side_mm: with less than this between eyelet and tab a spacer is hardly made, and an O-ring has no room beside
it; usual O-rings of a pin's size are 1.78 thick (common practice)."""
BUSHING_OVER_MM: Final = Decimal("0.05")
"""bushing_over_mm: a metal bushing out of its eyelet is this much larger than the bore it sat in."""
