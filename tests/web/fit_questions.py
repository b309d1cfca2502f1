"""Questions as people write them into the form of a fit sheet."""

from __future__ import annotations

from urllib.parse import urlencode

EYELETS = {"body_mount": "eyelet", "body_bore": "15", "body_width": "22", "body_outer": "26"}
BARE = {
    "first_size": "M8 x 30",
    "second_size": "22,2 x 8",
    "frame_eye_to_eye": "210",
    "frame_stroke": "55",
    "eye_to_eye": "210 mm",
    "stroke": "55",
    **EYELETS,
}
"""A frame in no chart, 30 and 22.2 wide, for a shock whose eyelets are 22 wide, bore 15."""
FULL = {
    **BARE,
    "shaft_mount": "eyelet", "shaft_bore": "15,08", "shaft_width": "19", "shaft_outer": "25", "shock_up": "body",
    "first_old": "M8 x 30", "first_worn": "yes", "first_old_bore": "15",
    "second_old": "M8 x 22.2", "second_old_bore": "15", "second_stays": "yes",
    "old_eye_to_eye": "210", "old_stroke": "55", "old_body_mount": "eyelet", "old_body_bore": "15",
    "old_body_width": "22",
    "second_bolt_feature": "shank", "second_bolt": "7.94 7.95",
    "second_width_feature": "tab_gap", "second_width": "22.31; 22,33", "second_tab": "6",
    "at_hand": "M8 x 21.8\nH-0300 = M8 x 30\nM8 x 35",
    "tools": "16 mm socket; 22; 18; 24\n10 mm socket; 14,7; 10.9; 12",
    "bushing": "metal", "sleeve": "one_piece", "o_rings": "loose", "sides": "spacer",
}  # fmt: skip
"""Every field of the form but the frame's name, so that both ends have all that a sheet can say."""


def address(fields: dict[str, str], **more: str) -> str:
    """Return the page's address for ``fields``."""
    return f"/fit?{urlencode({**fields, **more})}"
