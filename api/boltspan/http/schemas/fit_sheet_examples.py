"""Questions for fit sheets, for the document, and the answer to the first; a test asks it and compares."""

from __future__ import annotations

from typing import Any, Final

QUESTIONS: Final[dict[str, Any]] = {
    "written_out": {
        "ends": {"upper": {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2}, "lower": {"mount": "trunnion"}},
        "shock_size": {"eye_to_eye_mm": 205, "stroke_mm": 60},
        "new_shock": {
            "eye_to_eye_mm": 205,
            "stroke_mm": 60,
            "body": {"mount": "trunnion"},
            "shaft": {"mount": "eyelet", "eyelet_bore_mm": 15, "eyelet_width_mm": 12.7, "eyelet_outer_mm": 24},
        },
        "shock_up": "shaft",
        "at_hand": [{"article": "H-0218", "label": "M8 x 21.8"}, {"article": "H-0240", "label": "M8 x 24"}],
        "tools": [
            {"name": "10 mm socket", "outer_mm": 14.7, "inner_mm": 10.9, "depth_mm": 12},
            {"name": "16 mm socket", "outer_mm": 22, "inner_mm": 18, "depth_mm": 24},
        ],
    },
    "by_id": {
        "frame": "f-7k3m9q2dxw",
        "new_shock": {
            "eye_to_eye_mm": 210,
            "stroke_mm": 55,
            "both": {"mount": "eyelet", "eyelet_bore_mm": 15, "eyelet_width_mm": 12.7},
        },
        "old_hardware": {"upper": {"bolt_mm": 8, "width_mm": 22.2, "eyelet_bore_mm": 15, "worn": False}},
    },
    "by_name": {
        "make": "tarnvale",
        "model": "Skerry",
        "year": 2022,
        "variant": {"kind": "frame_size", "value": "S"},
        "new_shock": {"eye_to_eye_mm": 210, "stroke_mm": 55, "both": {"mount": "eyelet", "eyelet_bore_mm": 15}},
        "readings": {
            "upper": {
                "instrument": {"kind": "digital_caliper"},
                "features": {"bolt": "shank", "width": "tab_gap"},
                "readings_mm": {"bolt": [7.94], "width": [22.31, 22.33]},
                "tab_thickness_mm": 6,
            }
        },
    },
}
ANSWER: Final[dict[str, Any]] = {
    "outcome": "one",
    "sheets": [
        {
            "frame": {
                "ends": {
                    "upper": {
                        "standing": "unknown",
                        "advice": "ask_first",
                        "stated": {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2, "label": "M8 x 22.2"},
                    },
                    "lower": {
                        "standing": "unknown",
                        "advice": "ask_first",
                        "stated": {"mount": "trunnion", "label": "trunnion"},
                    },
                }
            },
            "shock_size": {
                "outcome": "goes",
                "standing": "unknown",
                "reasons": [],
                "frame": {"eye_to_eye_mm": 205, "stroke_mm": 60, "label": "205 x 60"},
                "shock": {"eye_to_eye_mm": 205, "stroke_mm": 60, "label": "205 x 60"},
                "compared_with": "frame",
            },
            "ways": [
                {
                    "shock_up": "shaft",
                    "goes_in": True,
                    "ends": {
                        "upper": {
                            "verdict": "buy",
                            "standing": "unknown",
                            "advice": "ask_first",
                            "shock_end": "shaft",
                            "reasons": ["size_stated_by_asker"],
                            "size": {"bolt_mm": 8, "label": "M8 x 22.2", "width_mm": 22.2, "eyelet_bore_mm": 15},
                            "never_over_mm": 22.23,
                            "kit": {
                                "style": {
                                    "bushing": "metal",
                                    "sleeve": "one_piece",
                                    "o_rings": "loose",
                                    "sides": "spacer",
                                },
                                "bolt_mm": 8,
                                "width_mm": 21.8,
                                "parts": [
                                    {
                                        "part": "bushing",
                                        "count": 1,
                                        "outer_mm": 15,
                                        "inner_mm": 12.7,
                                        "length_mm": 12.7,
                                        "notes": ["pressed_in"],
                                    },
                                    {
                                        "part": "sleeve",
                                        "count": 1,
                                        "outer_mm": 12.7,
                                        "inner_mm": 8,
                                        "length_mm": 21.8,
                                        "notes": [],
                                    },
                                    {"part": "o_ring", "count": 2, "inner_mm": 12.7, "notes": []},
                                    {"part": "spacer", "count": 2, "inner_mm": 12.7, "length_mm": 4.55, "notes": []},
                                ],
                                "eyelet_bore_mm": 15,
                                "eyelet_width_mm": 12.7,
                            },
                            "built": {
                                "end": "upper",
                                "mount": "hardware",
                                "shock_end": "shaft",
                                "bolt_mm": 8,
                                "width_mm": 21.8,
                                "eyelet": {"bore_mm": 15, "width_mm": 12.7, "outer_mm": 24},
                                "bushing_outer_mm": 15,
                                "bushing_inner_mm": 12.7,
                                "sleeve_outer_mm": 12.7,
                                "sleeve_length_mm": 21.8,
                                "spacer_mm": 4.55,
                                "tabs": {"gap_mm": 22.2, "gap_is": "nominal"},
                                "clearance_mm": [0.4, 0.9],
                                "clearance_is": "assumed",
                            },
                            "taking_out": [],
                            "fitting": [
                                "bushing_in_eyelet_first",
                                "press_metal_bushing_out",
                                "clean_and_inspect_eyelet",
                                "press_metal_bushing_in",
                                "slide_sleeve_in",
                                "lay_o_rings_on",
                                "push_spacers_on",
                                "put_shock_in",
                                "try_between_tabs",
                                "bolt_by_makers_values",
                                "full_travel",
                                "set_pressure_again",
                            ],
                            "not_in_kit": ["frame_bolts", "thread_lock_and_grease"],
                            "cautions": ["side_play_likely", "kit_style_assumed"],
                            "readings": [],
                            "substitutes": [
                                {
                                    "label": "M8 x 21.8",
                                    "bolt_mm": 8,
                                    "width_mm": 21.8,
                                    "article": "H-0218",
                                    "how": "size_down",
                                    "undersize_mm": 0.4,
                                    "side_play_likely": True,
                                    "choice": True,
                                }
                            ],
                            "never": [
                                {
                                    "label": "M8 x 24",
                                    "bolt_mm": 8,
                                    "width_mm": 24,
                                    "article": "H-0240",
                                    "why": "wider_than_needed",
                                }
                            ],
                            "why": "22.2 is not in stock; 21.8 is the next smaller size. It is "
                            "0.4 under. Side play is likely.",
                            "press_tools": {
                                "push_outer_range_mm": [12.7, 14.8],
                                "catch_inner_range_mm": [15.25, 22],
                                "catch_depth_min_mm": 12.7,
                                "missing": [],
                                "push": "10 mm socket",
                                "catch": "16 mm socket",
                                "cautions": [
                                    "no_damaged_eyelet",
                                    "release_pressure_and_spring",
                                    "makers_instructions_rule",
                                ],
                                "questions": [],
                            },
                        },
                        "lower": {
                            "verdict": "none_needed",
                            "standing": "unknown",
                            "advice": "ask_first",
                            "shock_end": "body",
                            "reasons": ["size_stated_by_asker"],
                            "built": {"end": "lower", "mount": "trunnion", "shock_end": "body", "eyelet": {}},
                            "taking_out": [],
                            "fitting": [
                                "put_shock_in",
                                "trunnion_bolts_by_makers_values",
                                "full_travel",
                                "set_pressure_again",
                            ],
                            "not_in_kit": ["trunnion_bolts_and_washers", "thread_lock_and_grease"],
                            "cautions": [],
                            "readings": [],
                            "substitutes": [],
                            "never": [],
                        },
                    },
                }
            ],
            "questions": [],
            "not_read": [],
            "cautions": [
                "release_pressure_and_spring",
                "makers_instructions_rule",
                "torque_from_frame_maker",
                "never_force_or_spread",
                "no_damaged_eyelet",
                "check_full_travel",
                "recheck_after_first_ride",
                "side_play_likely",
                "kit_style_assumed",
            ],
            "assumed": [
                {"name": "stroke_tolerance_mm", "value": 0.5},
                {"name": "eye_to_eye_tolerance_mm", "value": 0.5},
                {"name": "max_undersize_mm", "value": 0.5},
                {"name": "side_play_over_mm", "value": 0.3},
                {"name": "margin_mm", "value": 0.2},
                {"name": "rim_mm", "value": 1},
                {"name": "bushing_over_mm", "value": 0.05},
                {"name": "tab_gap_over_mm", "value": 0.5},
                {"name": "bushing_inner_mm", "value": 12.7},
            ],
        }
    ],
    "texts": {
        "fit_cautions": {
            "release_pressure_and_spring": "The shock holds pressure or spring force. "
            "Release the air as its maker says, never open a "
            "shock, and back off the preload of a coil shock "
            "before removing it.",
            "makers_instructions_rule": "Follow the instructions of the frame's and the "
            "shock's maker. Where they differ from this answer, "
            "they rule. If unsure, have a qualified mechanic do "
            "it.",
            "torque_from_frame_maker": "Torque and thread-lock: the frame maker's values only.",
            "never_force_or_spread": "Never force hardware between the tabs or spread the "
            "frame. Never use a larger width.",
            "no_damaged_eyelet": "Do not press into a cracked, oval or burred eyelet. "
            "Support the eyelet and press; do not hammer.",
            "check_full_travel": "With the spring out or the air released, move the rear "
            "through its full travel and turn the bars: nothing may "
            "touch.",
            "recheck_after_first_ride": "Check the bolts again after the first ride.",
            "side_play_likely": "The size is so much smaller that the shock is likely to "
            "move sideways between the tabs.",
            "kit_style_assumed": "Nothing was said about how the kit is made; the usual "
            "style is shown. Count what lies in the box.",
        },
        "fit_verdicts": {
            "buy": "Buy a kit of the size given, for this shock's eyelet.",
            "none_needed": "No mounting hardware is needed at this end.",
        },
        "fit_reasons": {"size_stated_by_asker": "The size is as stated in the question; no record stands behind it."},
        "fit_steps": {
            "bushing_in_eyelet_first": "See whether a bushing sits in the shock's eyelet "
            "already. One that is not of this kit comes out first, "
            "by the next step; without one, go on.",
            "press_metal_bushing_out": "Put the catch tool against the eyelet's rim and the "
            "push tool on the bushing, in one line, and press the "
            "bushing out slowly.",
            "clean_and_inspect_eyelet": "Clean the eyelet and look at it in good light: no crack, no burr, round.",
            "press_metal_bushing_in": "Start the new bushing square with the fingers, then "
            "press it in one go until it is flush; dry, unless its "
            "maker says otherwise.",
            "slide_sleeve_in": "Slide the sleeve in; it turns by hand without play.",
            "lay_o_rings_on": "Lay an O-ring on each side against the eyelet.",
            "push_spacers_on": "Push a spacer on at each side, the same length left and right.",
            "put_shock_in": "With both ends ready, put the shock between the tabs as on the photo or as "
            "the frame's maker shows, hoses clear.",
            "try_between_tabs": "Try the width between the tabs by hand. It slips in; nothing "
            "is pushed, nothing spread.",
            "bolt_by_makers_values": "Put the frame's bolt in and tighten it by the frame "
            "maker's value, with thread-lock as it says.",
            "full_travel": "With both ends bolted, the spring out or the air released, "
            "move the rear through its full travel and turn the bars.",
            "set_pressure_again": "Set the pressure or the preload again.",
            "trunnion_bolts_by_makers_values": "Put the trunnion bolts with their washers in "
            "and tighten them by the frame maker's value.",
        },
        "not_in_kit": {
            "frame_bolts": "The frame's bolts and their nuts: the frame's maker has them.",
            "thread_lock_and_grease": "Thread-lock and grease, as the makers name them.",
            "trunnion_bolts_and_washers": "Trunnion bolts and their washers: the frame's maker has them.",
        },
        "at_hand": {"size_down": "Slightly smaller; it serves, with some side play."},
        "never_use": {"wider_than_needed": "Wider than this end's size: it would have to be forced between the tabs."},
        "kit_parts": {
            "bushing": "Pressed into the eyelet.",
            "sleeve": "Slides in the bushing; the frame's bolt goes through.",
            "o_ring": "Keeps dirt out between eyelet and spacer.",
            "spacer": "Fills the room between eyelet and tab.",
        },
        "kit_part_notes": {"pressed_in": "Its outside is the eyelet's bore; the press is its maker's affair."},
    },
    "dataset": {"event": 322},
    "demo": True,
}
