"""What is true of an invented frame, and what is wrong with which claim about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from boltspan.domain.values import Value, value_json


@dataclass(frozen=True, slots=True)
class Truth:
    """The true value of each subject of a frame, and the marks (keys of rates.ERRORS) of each claim that has any.

    ``later`` holds the second true value of an end whose part was changed while the frame was made, where one record
    stands for both.
    """

    frame: str
    values: Mapping[str, Value]
    later: Mapping[str, Value] = field(default_factory=dict)
    marks: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        """Return the truth ready for JSON; what there is none of is left out."""
        found: dict[str, Any] = {
            "frame": self.frame,
            "values": {subject: value_json(value) for subject, value in self.values.items()},
        }
        if self.later:
            found["later"] = {subject: value_json(value) for subject, value in self.later.items()}
        if self.marks:
            found["marks"] = {claim: list(marks) for claim, marks in self.marks.items()}
        return found
