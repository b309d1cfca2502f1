"""How often what goes wrong goes wrong. All numbers are judgements; no public set of such claims is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

ERRORS: Final = {
    "wrong_end": "tells the frame's other end",
    "wrong_year": "tells another generation of the model",
    "wrong_model": "tells some other frame",
    "careless": "a careless contributor told anything",
    "wrong_mount": "misnames the mount",
    "digit_slip": "a digit was mistyped",
    "copied_chart": "a shop copied another shop's chart, right or wrong",
    "changed_part": "tells the part built in later, of a frame whose record is one",
    "bushing_bore": "the bore of a bushing or eyelet was read as the bolt",
    "worn": "the hardware measured was worn under its size",
    "zero_offset": "the contributor's caliper does not start at zero",
    "ruler": "read off a rule or tape, to half a millimetre at best",
    "smaller_fitted": "the next smaller width was fitted in place of the true one",
}
"""What a claim can be marked with in the truth, and what that means. An unmarked claim is right as far as it goes."""
UNSOUND: Final = ("wrong_end", "wrong_year", "wrong_model")
"""The marks of a source that speaks of something else."""


def _unsound() -> Mapping[str, float]:
    return {
        "spec_page": 0.03,
        "exploded_diagram": 0.02,
        "manual": 0.02,
        "maker_reply": 0.02,
        "retailer_chart": 0.10,
        "measured": 0.06,
        "fitted": 0.05,
    }


@dataclass(frozen=True, slots=True)
class Rates:
    """Probabilities. Each tells what it is a share of.

    ``unsound``: of the pages, charts, measurements and fittings of a kind, those about something else; a careful
    reader copies such a page faithfully. The other shares are of the claims that could have the error at all.
    """

    unsound: Mapping[str, float] = field(default_factory=_unsound, hash=False)
    wrong_end_of_unsound: float = 0.40
    wrong_year_of_unsound: float = 0.35
    wrong_mount: float = 0.015
    """Of claims that name a mount, by the reader's or measurer's fault."""
    digit_slip: float = 0.015
    """Of claims that write a size."""
    copied_chart: float = 0.40
    """Of charts of shops that follow another."""
    untagged_copy: float = 0.40
    """Of copied charts, those that pass for the shop's own."""
    running_change: float = 0.02
    """Of generations, those with two true values at one end."""
    change_recorded: float = 0.50
    """Of running changes, those whose record was divided."""
    bushing_bore: float = 0.06
    """Of measured bolts."""
    worn: float = 0.15
    """Of measured hardware widths."""
    zero_offset_people: float = 0.15
    """Of contributors with a caliper."""
    careless_people: float = 0.04
    """Of contributors."""
    careless_claim: float = 0.50
    """Of the claims of careless contributors."""
    ruler_people: float = 0.20
    """Of contributors, those who own a rule or tape only."""
    smaller_fitted: float = 0.13
    """Of sound fittings."""
    read_twice: float = 0.03
    """Of document claims, those whose document was read by somebody before."""
    partial: float = 0.08
    """Of documents, those that leave a size out."""
    off_catalogue: float = 0.02
    """Of hardware ends, those with a width outside the trade's usual ones."""
    carried_over: float = 0.55
    """Of ends, those a new generation takes over unchanged."""
    alike_ends: float = 0.30
    """Of frames with hardware at the first end, those with the same at the other."""
