"""An explanation as a picture: what each source says on a number line, how likely each size is, and what speaks for it.

Three panels, one below the other, so that it reads on a phone: claims with error bars against the candidate sizes; a
bar of probability for each candidate; a bar for each claim, for and against. Filled means for, hatched against.
"""

from __future__ import annotations

from boltspan.domain.drawings import evidence_words
from boltspan.domain.drawings.claim_rows import claim_panels
from boltspan.domain.drawings.evidence_rows import heaviest
from boltspan.domain.drawings.likelihood_bars import likelihood_panel
from boltspan.domain.drawings.panels import WIDTH, Panel
from boltspan.domain.drawings.svg import drawing, group
from boltspan.domain.drawings.weight_bars import weight_panel
from boltspan.domain.explanation import Explanation

GAP = 22.0


def number_line(explanation: Explanation) -> str:
    """Return the picture (SVG text) of ``explanation``.

    Claims carry numbers, the same in all panels and in the text equivalent; of more than ``evidence_rows.MOST`` claims
    the heaviest are shown and the others stand together in one row. A panel with nothing in it is left out: no number
    line where no claim has a number, no bars for and against where there is no claim.
    """
    rows = heaviest(explanation.weights)
    panels: list[Panel] = [
        *claim_panels(explanation, rows),
        likelihood_panel(explanation),
        weight_panel(explanation, rows),
    ]
    drawn, at = [], 4.0
    for panel in panels:
        drawn.append(group(panel.drawn, transform=f"translate(0 {at:g})"))
        at += panel.height + GAP
    return drawing(
        WIDTH,
        at - GAP + 6,
        evidence_words.title(explanation),
        evidence_words.description(explanation, rows),
        *drawn,
    )
