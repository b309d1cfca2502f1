"""A bar of a known length on paper: whoever measures it knows whether the printer kept the size."""

from __future__ import annotations

from typing import Final

from boltspan.domain.drawings.shapes import box
from boltspan.domain.drawings.svg import drawing

LONG_MM: Final = 50
HIGH_MM: Final = 4
TITLE: Final = "Bar of 50 mm"
ADVICE: Final = "On paper this bar is 50 mm long. If it is not, the printer has changed the size: print at 100 %."


def check_bar() -> str:
    """Return a bar (SVG text) that is 50 mm long on paper printed at its own size, in fields of 10 mm."""
    fields = [box(start, 0, 10, HIGH_MM, fill="currentColor", stroke="none") for start in range(0, LONG_MM, 20)]
    frame = box(0.1, 0.1, LONG_MM - 0.2, HIGH_MM - 0.2, stroke_width=0.2)
    size = (f"{LONG_MM}mm", f"{HIGH_MM}mm")
    return drawing(LONG_MM, HIGH_MM, TITLE, ADVICE, *fields, frame, size=size)
