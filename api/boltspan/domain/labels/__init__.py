"""Reads a size label: the dozen ways in which a workshop writes bolt and width of one end, or says what is unclear.

Nothing is guessed: a label that can be read in two ways is refused with the reason. Rules by module: ``characters``
(which text), ``figures`` and ``words``, ``tokens`` (cutting), ``parts`` (ends), ``gathered`` and ``sizes`` (bolt,
width, bore, mount), ``lookalikes``, ``canonical``, ``refusals`` (codes and advice). Common practice where no source is
named.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from boltspan.domain.labels.canonical import canonical_label
from boltspan.domain.labels.characters import clean
from boltspan.domain.labels.parts import label_parts
from boltspan.domain.labels.reading import LabelPart, LabelReading, ReadLabel, RefusedLabel
from boltspan.domain.labels.refusals import REASONS, WARNINGS, LabelRefusalError
from boltspan.domain.labels.tokens import Scan

__all__ = [
    "read_label", "label_answer", "canonical_label",
    "LabelPart", "LabelReading", "ReadLabel", "RefusedLabel",
    "REASONS", "WARNINGS",
]  # fmt: skip


def read_label(text: object) -> LabelReading:
    """Return what the label says: its parts, warnings and canonical text; or the reason why it is not read.

    Anything is taken and nothing raises: no text is refused as not_a_string, blanks as empty. Lengths are exact
    (an inch is 25.4 mm). Parts stand in written order, warnings in the order of WARNINGS.

    >>> read_label("7/8 in x M8").canonical
    'M8 x 22.225'
    >>> read_label("8 x 15").reason
    'width_or_bore_unclear'
    """
    try:
        return _read(text)
    except LabelRefusalError as refusal:
        return RefusedLabel(refusal.reason, REASONS[refusal.reason])


def _read(text: object) -> ReadLabel:
    if not isinstance(text, str):
        raise LabelRefusalError("not_a_string")
    scan = Scan(clean(text))
    parts = label_parts(scan)
    if scan.doubt:
        raise LabelRefusalError(scan.doubt)
    warnings = tuple([code for code in WARNINGS if code in scan.warnings]) if scan.warnings else ()
    return ReadLabel(parts, warnings, canonical_label(parts))


def label_answer(text: object) -> dict[str, Any]:
    """Return the reading as the JSON object of the bench: ``status`` ok or refused; lengths in mm as Decimal.

    What the label does not state is left out. Nothing raises.
    """
    reading = read_label(text)
    if isinstance(reading, RefusedLabel):
        return {"status": "refused", "reason": reading.reason, "advice": reading.advice}
    return {
        "status": "ok",
        "parts": [_part_answer(part) for part in reading.parts],
        "warnings": list(reading.warnings),
        "canonical": reading.canonical,
    }


def _part_answer(part: LabelPart) -> dict[str, Any]:
    lengths: dict[str, Decimal | None] = {
        "bolt_mm": part.bolt_mm,
        "width_mm": part.width_mm,
        "eyelet_bore_mm": part.eyelet_bore_mm,
    }
    answer: dict[str, Any] = {"end": part.end, "mount": part.mount}
    answer |= {name: length for name, length in lengths.items() if length is not None}
    if part.bearing_compatible:
        answer["bearing_compatible"] = True
    return answer
