"""What the panels of a picture of evidence share: its width, a heading, the line of a row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from boltspan.domain.drawings.shapes import words
from boltspan.domain.drawings.svg import Coordinate, Node

WIDTH: Final = 340.0
LEFT: Final = 8.0
RIGHT: Final = 332.0
ROW: Final = 20.0
HEADING: Final = 14.0


@dataclass(frozen=True, slots=True)
class Panel:
    """One panel, drawn from 0 downwards, and how high it is."""

    drawn: Node
    height: Coordinate


def heading(text: str, down: Coordinate = 0) -> Node:
    """Return a panel's heading, in its first ``HEADING`` units, or ``down`` units below them."""
    return words(LEFT, HEADING - 2 + down, text, "start", font_weight="bold")
