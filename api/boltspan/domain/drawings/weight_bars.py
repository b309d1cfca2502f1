"""What speaks for the likeliest value and what against it: a bar for each claim, from a line in the middle."""

from __future__ import annotations

from typing import Final

from boltspan.domain.drawings.evidence_rows import EvidenceRows, short_name
from boltspan.domain.drawings.evidence_words import WORD_FROM, short_odds
from boltspan.domain.drawings.panels import HEADING, LEFT, RIGHT, ROW, Panel, heading
from boltspan.domain.drawings.shapes import THIN, box, hatched, line, words
from boltspan.domain.drawings.svg import Coordinate, Node, group
from boltspan.domain.explanation import Explanation

MIDDLE: Final = 198.0
HALF: Final = 50.0
FIGURE: Final = MIDDLE + HALF + 6
LINE: Final = 16.0
LETTERS: Final = 38
STRONGEST: Final = 6.0
"""A bar ends at a million to one; heavier claims look the same."""


def weight_panel(explanation: Explanation, rows: EvidenceRows) -> Panel:
    """Return the panel of weights: before any claim, the other end, each claim, the rest together, and the sum."""
    named = [("Before any claim", explanation.prior_log10_odds)]
    if abs(explanation.other_end_log10_odds) >= WORD_FROM:
        named.append(("From the other end", explanation.other_end_log10_odds))
    named += [(f"{n} {short_name(weight)}", weight.log10_odds) for n, weight in enumerate(rows.shown, 1)]
    if rows.others:
        named.append((f"{rows.others} others", rows.others_log10_odds))
    parts = (
        explanation.prior_log10_odds,
        explanation.other_end_log10_odds,
        *(w.log10_odds for w in explanation.weights),
    )
    total = sum(parts)
    longest = min(max([1.0, abs(total), *(abs(weight) for _, weight in named)]), STRONGEST)
    headings = _headings(explanation.first.value.label, explanation.second.value.label)
    under = HEADING + LINE * (len(headings) - 1)
    top = under + 26
    bars = [_bar(name, weight, longest, top + ROW * n) for n, (name, weight) in enumerate(named)]
    bottom = top + ROW * len(named) + 4
    return Panel(
        group(
            *(heading(text, LINE * n) for n, text in enumerate(headings)),
            words(MIDDLE - 5, under + 18, "against", "end", font_size=12),
            words(MIDDLE + 5, under + 18, "for", "start", font_size=12),
            *bars,
            line(MIDDLE, under + 8, MIDDLE, bottom + ROW + 2, stroke_width=THIN),
            line(LEFT, bottom, RIGHT, bottom, stroke_width=THIN),
            _bar("All together", total, longest, bottom + 2),
        ),
        bottom + ROW + 4,
    )


def _headings(first: str, second: str) -> list[str]:
    """Return the heading, in two lines where one is too short."""
    whole = f"For {first}, against {second}"
    return [whole] if len(whole) <= LETTERS else [f"For {first},", f"against {second}"]


def _bar(name: str, weight: float, longest: float, y: Coordinate) -> Node:
    long = min(abs(weight), longest) / longest * HALF
    bar = (
        box(MIDDLE, y + 4, long, 12, fill="currentColor", stroke_width=THIN)
        if weight >= 0
        else hatched(MIDDLE - long, y + 4, long, 12, spacing=3, stroke_width=THIN)
    )
    return group(
        words(LEFT, y + 14, name, "start", font_size=12),
        bar,
        words(FIGURE, y + 14, short_odds(weight), "start", font_size=12),
    )
