"""How likely each candidate is: a bar from 0 to 1 for each, its figure beside it."""

from __future__ import annotations

from typing import Final

from boltspan.domain.drawings.evidence_words import percent
from boltspan.domain.drawings.panels import HEADING, LEFT, ROW, Panel, heading
from boltspan.domain.drawings.shapes import THIN, box, words
from boltspan.domain.drawings.svg import Coordinate, Node, group
from boltspan.domain.explanation import Explanation

BAR_LEFT: Final = 118.0
BAR_LONG: Final = 124.0
LETTERS: Final = 16
"""A name longer than this has a line of its own above its bar."""
OTHER_FROM: Final = 0.001


def likelihood_panel(explanation: Explanation) -> Panel:
    """Return the panel of probabilities; what the candidates lack to 1 is "another size", where it is worth a line."""
    rows = [(candidate.value.label, candidate.p) for candidate in explanation.candidates]
    other = 1 - sum(p for _, p in rows)
    if other >= OTHER_FROM:
        rows.append(("Another size", other))
    drawn, at = [], HEADING + 6
    for label, p in rows:
        line_of_its_own = ROW - 4 if len(label) > LETTERS else 0
        drawn += [words(LEFT, at + 14, label, "start", font_size=12), _bar(p, at + line_of_its_own)]
        at += ROW + line_of_its_own
    return Panel(group(heading("How likely each is"), *drawn), at)


def _bar(p: float, y: Coordinate) -> Node:
    return group(
        box(BAR_LEFT, y + 4, BAR_LONG, 12, stroke_width=THIN),
        box(BAR_LEFT, y + 4, BAR_LONG * p, 12, fill="currentColor", stroke="none"),
        words(BAR_LEFT + BAR_LONG + 8, y + 14, percent(p), "start", font_size=12),
    )
