"""The cautions that every answer carries, with their texts. Common practice, no source."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = {
    "release_pressure_and_spring": "The shock holds pressure or spring force. Release the air as its maker says, never "
    "open a shock, and back off the preload of a coil shock before removing it.",
    "makers_instructions_rule": "Follow the instructions of the frame's and the shock's maker. Where they differ from "
    "this answer, they rule. If unsure, have a qualified mechanic do it.",
    "torque_from_frame_maker": "Torque and thread-lock: the frame maker's values only.",
    "never_force_or_spread": "Never force hardware between the tabs or spread the frame. Never use a larger width.",
    "no_damaged_eyelet": "Do not press into a cracked, oval or burred eyelet. Support the eyelet and press; do not "
    "hammer.",
    "check_full_travel": "With the spring out or the air released, move the rear through its full travel and turn the "
    "bars: nothing may touch.",
    "recheck_after_first_ride": "Check the bolts again after the first ride.",
}

SIZE_CAUTIONS: Final = tuple(CAUTIONS)
"""Every answer that names a size carries all of them."""
