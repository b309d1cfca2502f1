"""From a label's text to the value of one end, as claims state it."""

from __future__ import annotations

from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Frame, subject_named
from boltspan.domain.labels import LabelPart, RefusedLabel, read_label
from boltspan.domain.values import SHOCK_SIZE, EndValue, value_from


def part_value(part: LabelPart) -> EndValue:
    """Return the value of a label's part; the bore of a third number says nothing of the frame and is left out.

    Raises InvalidInput for a size that no end can have.
    """
    stated: dict[str, object] = {
        "mount": part.mount,
        "bolt_mm": part.bolt_mm,
        "width_mm": part.width_mm,
        "eyelet_bore_mm": part.eyelet_bore_mm if part.mount == "open_eyelet" else None,
        "bearing_compatible": part.bearing_compatible or None,
    }
    value = value_from(part.end, {name: item for name, item in stated.items() if item is not None})
    assert isinstance(value, EndValue), "a part of a label is an end"
    return value


def value_of_label(frame: Frame, subject: str, text: str, pointer: str) -> EndValue:
    """Return what ``text`` says of ``subject`` of ``frame``: one end, which the label need not name.

    Raises InvalidInput naming ``pointer``: the reason and advice of a label that is refused, ``several_ends`` for
    one that is about more than one, ``other_end`` for one that names another end, ``not_an_end`` for a shock's size.
    """
    if subject == SHOCK_SIZE:
        raise InvalidInput.one(pointer, "not_an_end", "a label is of an end; a shock's size goes into the value",
                               got=text, accepted="value with eye_to_eye_mm and stroke_mm")  # fmt: skip
    reading = read_label(text)
    if isinstance(reading, RefusedLabel):
        raise InvalidInput.one(pointer, reading.reason, reading.advice, got=text, accepted="a label such as M8 x 30")
    (part, *others) = reading.parts
    if others or part.end == "both":
        raise InvalidInput.one(pointer, "several_ends", "the label is about more than one end; send a claim for each",
                               got=text, accepted=f"the label of the {subject} end alone")  # fmt: skip
    if not part.end.startswith("unnamed") and subject_named(frame, part.end, pointer) != subject:
        raise InvalidInput.one(pointer, "other_end", f"the label names another end than the {subject}", got=text,
                               accepted=f"the label of the {subject} end")  # fmt: skip
    return part_value(part)
