"""The words the bench answers with, each with its text. Common practice in our own words, no source."""

from __future__ import annotations

from typing import Final

FITS: Final = {
    "proven": "Even with every tolerance at its worst there is room between the tabs.",
    "not_proven": "With tolerances at their worst it may not go in. Try it by hand; never force it.",
    "never": "Even with every tolerance at its best it is too wide. Do not fit it.",
}
CHOSEN_BY: Final = {
    "same_size": "The size needed is there.",
    "size_down": "The next smaller size serves; how much smaller it is stands beside it.",
    "proven": "It goes in even if the opening is as small as the reading allows.",
    "none": "Nothing there serves. A larger one must not be used.",
}
BORE_VERDICTS: Final = {
    "clearance": "The bolt goes in whatever the two measure within their limits.",
    "transition": "Within their limits the two may go together or not.",
    "does_not_pass": "The bolt does not go in, whatever the two measure within their limits.",
    "wrong_size": "The two do not belong together: the bolt is much too small for the bore.",
}
SWAP_ACTIONS: Final = {
    "move": "Move the old hardware over to the new shock.",
    "buy": "Buy hardware of the frame's bolt and width for the new eyelet's bore.",
    "keep": "Keep the hardware that is in the shock.",
    "none_needed": "No mounting hardware is needed at this end.",
    "incompatible": "This shock does not go into this end. Do not fit it.",
    "ask_frame_maker": "Ask the frame's maker before buying or fitting anything.",
}
