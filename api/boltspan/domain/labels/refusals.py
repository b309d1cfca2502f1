"""Why a label is refused and what to know about one that was read: every code with its text in plain words."""

from __future__ import annotations

from typing import Final

REASONS: Final[dict[str, str]] = {
    "not_a_string": "A label is a piece of text. Send it as text, for example M8 x 30.",
    "too_long": "The text is over 200 characters. Send the size label alone, for example M8 x 30.",
    "empty": "There is nothing to read. Write the bolt and the width, for example M8 x 30.",
    "digit_script": "The text holds digits of another script. Write the numbers with 0 to 9.",
    "bad_character": (
        "The text holds a character that no size label has, or a raised, lowered or circled digit. "
        "Write letters, the digits 0 to 9 and the usual signs, for example M8 x 22.2."
    ),
    "bad_number": (
        "A number cannot be read: it has two points, letters stuck to it, a sign or unit not known here, or two "
        "numbers stand side by side with nothing between them. Write plain digits, for example M8 x 22.2."
    ),
    "number_not_positive": "A size is more than zero. Check for a stray minus sign or a zero.",
    "no_number": (
        "A number is missing where one is needed, or an end is named without its size. "
        "Write the bolt and the width in digits, with each word such as bolt, wide or front beside its own size."
    ),
    "comma_unclear": (
        "The comma can be a decimal sign or stand between two numbers. "
        "Write a point for decimals and x between bolt and width: M8 x 30."
    ),
    "range_not_single": (
        "The text gives a range, a limit or a choice and not one size. "
        "Find out which one it is (measure the old hardware or the opening) and write that: M8 x 30."
    ),
    "unit_missing_inch": (
        "Some number may be in inches or in millimetres. Write the unit beside each number, for example 5/16 in x "
        "7/8 in."
    ),
    "two_bolts": (
        "Two of the numbers are bolt sizes. Measure the frame's bolt (6, 8 or 10 mm) and the width between the "
        "tabs, and mark the bolt with an M: M8 x 30."
    ),
    "bolt_is_eyelet_bore": (
        "12.7 or 15 is the bore of the shock's eyelet or of its bushing, not the frame's bolt. "
        "Measure the bolt that goes through the frame: 6, 8 or 10 mm."
    ),
    "bolt_missing": (
        "The label gives a width but no bolt. Measure the bolt that goes through the frame (6, 8 or 10 mm) and "
        "write both: M8 x 30."
    ),
    "bolt_not_in_series": (
        "No number, or not the one marked as the bolt, is a bolt size of this hardware: 6, 8 or 10 mm, or 1/4, 5/16 "
        "or 3/8 in. Put the mark at the bolt (M8 x 30), and measure the plain part of the bolt, never the root of its "
        "thread."
    ),
    "width_missing": (
        "The label gives a bolt but no width (12.7 beside a bolt is a bushing's bore). Measure the opening between "
        "the tabs, or the old hardware over both spacers, and write both: M8 x 30."
    ),
    "width_out_of_range": (
        "The width between the tabs is over 12 and at most 80 mm. Measure it again, over both spacers, and check "
        "the unit."
    ),
    "width_or_bore_unclear": (
        "It is not clear whether a number is the width or the eyelet's bore (15 can be either). Measure the "
        "opening between the tabs; for an open eyelet write ID before the bore and wide after the width."
    ),
    "screw_designation": (
        "This is the designation of a screw: thread, pitch, length or strength. A screw's length is not the width "
        "of the hardware. Measure the opening between the tabs."
    ),
    "two_widths_unclear": (
        "One bolt with two widths: these may be the two ends, or a choice. Write each end with its own size, for "
        "example front: M8 x 20; rear: M8 x 30."
    ),
    "third_number_unclear": (
        "There are more numbers, or more sizes, than one end has, and it is not clear what each one is. Write bolt "
        "and width, and the eyelet's bore (12.7 or 15) only as a third number: M8 x 30 x 15."
    ),
    "shock_size": (
        "This is the size of a shock, eye-to-eye length by stroke, not of its mounting hardware. "
        "Measure the frame's bolt and the width between the tabs."
    ),
    "axle_spacing": (
        "This is a wheel axle's size, not the shock's mounting hardware. "
        "Measure the shock's bolt and the width between its tabs."
    ),
    "end_named_twice": (
        "One end is named twice, or more ends are named than a shock has. Write each end once, for example "
        "upper: M8 x 22.2; lower: M8 x 30."
    ),
    "mount_with_size": (
        "A trunnion or proprietary end has no hardware size, and one end has one kind of mount. If the size is of "
        "the other end, name both: front: trunnion; rear: M8 x 30."
    ),
    "none_without_reason": (
        "The text says that something is not there, but not what the end has instead. Write the kind of mount, "
        "for example trunnion or open eyelet, or the size."
    ),
}
"""Reason of a refusal to the advice that goes with it."""

WARNINGS: Final[dict[str, str]] = {
    "separator_unusual": "The numbers or sizes are set apart by a slash, a dash or a comma instead of an x.",
    "separator_missing": "Nothing but a blank stands between bolt and width; their units or marks tell them apart.",
    "unusual_unit": "A number is in centimetres; it was turned into millimetres.",
    "inch_bolt": "The bolt is an inch size. A metric bolt of nearly the same size does not fit its thread or bore.",
    "width_unusual": "The width is outside the usual 15 to 70 mm. Measure it again.",
    "ends_not_named": "Two sizes without the names of their ends, as written. Find out which end is which.",
    "bearing_compatible": "The frame also takes a bearing eyelet of this size.",
    "offset": "Offset hardware: the bolt sits off the eyelet's centre. Check clearance at full travel.",
    "tolerance_given": "The tolerance in the text was left out.",
}
"""Warning to its text, in the order in which an answer lists them."""


class LabelRefusalError(Exception):
    """A label that is not read; ``reason`` is a key of REASONS. Stays inside this package."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(reason)
