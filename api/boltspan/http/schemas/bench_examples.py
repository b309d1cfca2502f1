"""Questions to the bench with their answers, for the document; a test asks each and compares."""

from __future__ import annotations

from typing import Any, Final

LABEL: Final[dict[str, Any]] = {
    "status": "ok",
    "parts": [{"end": "unnamed", "mount": "hardware", "bolt_mm": 8, "width_mm": 30}],
    "warnings": [],
    "canonical": "M8 x 30",
}
EXAMPLES: Final[dict[str, tuple[dict[str, Any], dict[str, Any]]]] = {
    "readings": (
        {
            "readings_mm": [8.06],
            "feature": "sleeve_bore",
            "instrument": {
                "kind": "digital_caliper",
                "resolution_mm": 0.01,
                "limit_outside_mm": 0.02,
                "limit_inside_mm": 0.04,
            },
        },
        {
            "probabilities": [
                {"nominal_mm": 8, "p": 0.98639784779},
                {"nominal_mm": 7.9375, "p": 0.013498791169},
                {"nominal_mm": 9.525, "p": 0},
                {"nominal_mm": 6.35, "p": 0},
                {"nominal_mm": 6, "p": 0},
                {"nominal_mm": 10, "p": 0},
            ],
            "other_p": 0.000103361041,
            "assumed": [
                {"name": "accept", "value": 0.9},
                {"name": "other_prior", "value": 0.02},
                {"name": "other_density_per_mm", "value": 0.012987012987},
                {"name": "metric_bolt_prior", "value": 0.32},
                {"name": "inch_bolt_prior", "value": 0.006666666667},
                {"name": "sleeve_bore_over_mm", "value": 0.15},
            ],
            "choice_mm": 8,
        },
    ),
    "stacks": (
        {
            "build": "two_spacers",
            "width_mm": 22.2,
            "eyelet_width_mm": 12.7,
            "eyelet_tolerance_mm": 0.05,
            "spacer_tolerance_mm": 0.05,
            "gap_mm": 22.4,
            "gap_tolerance_mm": 0.05,
        },
        {
            "total_mm": 22.2,
            "cautions": ["never_force_or_spread", "makers_instructions_rule"],
            "spacer_each_mm": 4.75,
            "total_tolerance_worst_mm": 0.15,
            "total_tolerance_rss_mm": 0.086603,
            "clearance_nominal_mm": 0.2,
            "clearance_worst_mm": [0, 0.4],
            "clearance_rss_mm": [0.1, 0.3],
            "fits": "proven",
        },
    ),
    "size-choices": (
        {"need_mm": 22, "need_is": "nominal", "stock_mm": [21.8, 22.2, 24]},
        {
            "how": "size_down",
            "never_mm": [22.2, 24],
            "why": "22 is not in stock; 21.8 is the next smaller size. It is 0.2 under.",
            "assumed": [{"name": "max_undersize_mm", "value": 0.5}, {"name": "side_play_over_mm", "value": 0.3}],
            "cautions": ["never_force_or_spread", "makers_instructions_rule"],
            "choice_mm": 21.8,
            "undersize_mm": 0.2,
        },
    ),
    "bore-fits": (
        {"bore": "8 H9", "bolt": "M8x1.25-6g"},
        {
            "clearance_um": [28, 276],
            "verdict": "clearance",
            "assumed": [{"name": "wrong_size_over_um", "value": 500}],
            "cautions": ["makers_instructions_rule"],
        },
    ),
    "press-tools": (
        {
            "eyelet_bore_mm": 15,
            "eyelet_outer_mm": 24,
            "part_inner_mm": 12.7,
            "part_outer_mm": 15.05,
            "part_length_mm": 12.7,
            "tools": [{"name": "10 mm hex", "outer_mm": 14.7, "inner_mm": 10.9, "depth_mm": 12}],
        },
        {
            "push_outer_range_mm": [12.7, 14.8],
            "catch_inner_range_mm": [15.25, 22],
            "catch_depth_min_mm": 12.7,
            "missing": ["No catch tool: inside diameter from 15.25 to 22 mm and at least 12.7 mm of depth are wanted."],
            "assumed": [{"name": "margin_mm", "value": 0.2}, {"name": "rim_mm", "value": 1}],
            "push": "10 mm hex",
            "cautions": ["no_damaged_eyelet", "release_pressure_and_spring", "makers_instructions_rule"],
        },
    ),
    "shock-swaps": (
        {
            "frame": {"mount": "hardware", "bolt_mm": 8, "width_mm": 30, "eye_to_eye_mm": 210, "stroke_mm": 55},
            "old_hardware": {"bolt_mm": 8, "width_mm": 30, "eyelet_bore_mm": 15, "worn": False},
            "new_shock": {"mount": "eyelet", "eyelet_bore_mm": 15, "eye_to_eye_mm": 210, "stroke_mm": 55},
        },
        {
            "action": "move",
            "reasons": [],
            "cautions": [
                "fit_new_bushing_advised",
                "release_pressure_and_spring",
                "makers_instructions_rule",
                "torque_from_frame_maker",
                "never_force_or_spread",
                "no_damaged_eyelet",
                "check_full_travel",
                "recheck_after_first_ride",
            ],
            "assumed": [
                {"name": "stroke_tolerance_mm", "value": 0.5},
                {"name": "eye_to_eye_tolerance_mm", "value": 0.5},
                {"name": "eyelet_bore_tolerance_mm", "value": 0.05},
            ],
        },
    ),
    "offset-sleeves": (
        {
            "eye_to_eye_mm": 200,
            "ends": [{"offset_mm": 2, "angle_deg": 0}],
            "leverage": 2.6,
            "wheelbase_mm": 1200,
            "front_centre_mm": 760,
        },
        {
            "effective_eye_to_eye_mm": 198,
            "eye_to_eye_range_mm": [198, 202],
            "axle_rise_mm": 5.2,
            "head_angle_change_deg": 0.24828,
            "bottom_bracket_drop_mm": 3.293333,
            "cautions": [
                "check_full_travel",
                "offset_lowers_everything",
                "offset_sleeve_may_turn",
                "makers_instructions_rule",
            ],
        },
    ),
}
