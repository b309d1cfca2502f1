"""What becomes of what a chart's rows say, and why something is not taken: every code with its text."""

from __future__ import annotations

from typing import Final

OUTCOMES: Final = {
    "added": "is a new claim",
    "proposed": "is a new claim on a frame that is proposed with it and waits for a maintainer",
    "said_already": "the same chart has said it before",
    "held": "a person has to answer a question first",
    "unknown": "names a make, model or year that is not known",
    "refused": "cannot be read",
    "says_nothing": "states no size",
}
"""What becomes of what a row says."""

TAKEN: Final = ("added", "proposed", "said_already")
"""The outcomes of what the dataset holds afterwards."""

REASONS: Final = {
    "which_end": "The cell does not say which of the frame's ends it is about, or names an end of another pair. "
    "Front is never read as upper.",
    "which_ends": "No row says what the ends of the frame that would be proposed are called, or rows name ends of two "
    "pairs.",
    "which_make": "Two makes have this name.",
    "which_model": "Two models have this name.",
    "which_years": "The row names no model years.",
    "which_frame": "Frames of these years are told apart by more than years, and the row does not say by what.",
    "contradicts_itself": "Another row of the chart says something else of the same end and year. Both are held.",
    "unknown_make": "No make of this name is known. The nearest names are offered, never taken.",
    "unknown_model": "No model of this name is known. The nearest names are offered, never taken.",
    "near_known": "The name is so like a known one that it may be a typing error, so it is not proposed.",
    "name_unfit": "The name cannot be a make's or model's name in the dataset.",
    "make_and_model_together": "Make and model stand in one cell, so that nobody can tell where the make ends.",
    "turned_down": "It was proposed before, and a maintainer has answered the proposal otherwise.",
    "no_frame_in_years": "The model is known, but no frame of these years.",
    "no_frame_in_some_years": "No frame is known for some of the row's years. What it says of the others is taken.",
    "make_missing": "The row names no make.",
    "model_missing": "The row names no model.",
    "years_unclear": "No model years can be read. Write 2019, 2019-2021, or 2019+ for one still made.",
    "unknown_end": "No end is called this.",
    "word_not_known": "A word is neither a size nor a mount known here. The mapping says what it stands for.",
    "line_too_long": "The line is too long to be a row of a chart.",
    "quote_unsound": "A quote mark opens a cell and does not close it. Double the marks inside a quoted cell.",
    "not_decoded": "The row holds bytes that are no text in the chart's encoding.",
    "hidden_character": "The row holds characters that cannot be seen.",
    "cell_without_heading": "There are more cells than headings, so that cells may stand under wrong ones.",
}
"""Why something that a row says is held, unknown or refused; a size label's own reasons come beside these."""
