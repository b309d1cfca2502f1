"""Cautions that only the bench gives, beside those of ``vocabulary``, and which bench answer carries which.

All common practice, no source.
"""

from __future__ import annotations

from typing import Final

BENCH_CAUTIONS: Final = {
    "fit_new_bushing_advised": "Bushings wear. When old hardware moves to another shock, fit a new bushing in its "
    "eyelet.",
    "side_play_likely": "The size is so much smaller that the shock is likely to move sideways between the tabs.",
    "offset_lowers_everything": "At full compression everything sits lower by the axle rise: check tyre, link and "
    "shock body. The frame's or the shock's maker may forbid offset sleeves.",
    "offset_sleeve_may_turn": "A sleeve that turns in its eyelet changes the length, anywhere between the shortest and "
    "the longest given.",
}

IN_THE_FRAME: Final = ("never_force_or_spread", "makers_instructions_rule")
AT_THE_PRESS: Final = ("no_damaged_eyelet", "release_pressure_and_spring", "makers_instructions_rule")
WITH_OFFSET: Final = (
    "check_full_travel", "offset_lowers_everything", "offset_sleeve_may_turn", "makers_instructions_rule",
)  # fmt: skip
ON_PAPER: Final = ("makers_instructions_rule",)
