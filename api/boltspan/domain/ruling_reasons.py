"""Reasons of refusals and of flags: closed lists of codes with their texts.

"Wrong" and "cannot tell from this" are different rulings: the first says that the claim is false, the second that
nobody can know from what was sent. Neither looks like a claim that nobody has looked at yet.
"""

from __future__ import annotations

from typing import Final

REFUSAL_REASONS: Final = {
    "wrong_size": "The size is wrong: it contradicts what is known for sure.",
    "wrong_frame_or_year": "It speaks of another frame, or of years in which this frame was not made.",
    "wrong_end": "It speaks of the other end.",
    "wrong_unit": "Inches and millimetres were exchanged.",
    "wrong_feature": "Something else was measured, such as a bushing's bore or an eyelet without its spacers.",
    "not_in_source": "The named source does not say this.",
    "cannot_tell": "It may be right; it cannot be told from what was sent. This is no ruling against the size.",
    "copied": "It repeats another statement and is no evidence of its own. This is no ruling against the size.",
    "source_not_allowed": "The source may not be used here, such as another collection that is not open.",
    "account_undone": "Everything of its account was taken out.",
}
WRONG: Final = frozenset(
    {"wrong_size", "wrong_frame_or_year", "wrong_end", "wrong_unit", "wrong_feature", "not_in_source"}
)
"""Reasons that call the claim false; the others leave open whether it is."""
FLAG_REASONS: Final = {
    "did_not_fit": "A part of this size did not go in, or had play.",
    "wrong_size": "The size is wrong.",
    "wrong_frame_or_year": "The size is that of another frame, shock or year.",
    "wrong_end": "The two ends are exchanged.",
    "running_change": "It was made with more than one size.",
    "doubled": "The same frame or shock stands here twice.",
    "unsafe": "Somebody could come to harm by this answer.",
    "other": "Something else is wrong; the words say what.",
}
UNSAFE: Final = "unsafe"
