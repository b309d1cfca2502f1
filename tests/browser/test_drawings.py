"""Drawings as a browser shows them, measured: what is to scale is so on paper too."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np
import pytest

from boltspan.domain.drawings.cross_section import cross_section
from boltspan.domain.fitsheet.built import Eyelet, Tabs
from tests.browser.paper import Pixels, sheets
from tests.domain.drawings.ends import built

if TYPE_CHECKING:
    from playwright.sync_api import Page

ACROSS = 340
"""User units from side to side of a cross-section."""


def upright_lines(pixels: Pixels) -> list[float]:
    """Return where long upright lines stand, in user units of a drawing that fills the page's width.

    Only those with a twin on the other side: a leader may stand upright by chance.
    """
    unit = pixels.shape[1] / ACROSS
    dark = pixels < 140
    run = np.zeros(pixels.shape[1], dtype=int)
    longest = run.copy()
    for row in dark:
        run = np.where(row, run + 1, 0)
        longest = np.maximum(longest, run)
    columns = np.flatnonzero(longest > 13 * unit)
    groups = np.split(columns, np.flatnonzero(np.diff(columns) > 1) + 1)
    places = [float(group.mean()) / unit for group in groups]
    return [x for x in places if any(abs(ACROSS - x - twin) < 0.5 for twin in places)]


@pytest.mark.parametrize(
    ("width", "eyelet", "gap", "tab"), [("30", "22", "31", "6"), ("54", "20", "55.5", "8"), ("24", "18.5", "24.6", "5")]
)
def test_widths_stand_in_their_ratio(page: Page, width: str, eyelet: str, gap: str, tab: str) -> None:
    """Outside of the tabs, opening, hardware and eyelet, from left to right, as given."""
    ring = Eyelet(Decimal(15), Decimal(eyelet), Decimal(26))
    drawing = cross_section(built(width=width, eyelet=ring, tabs=Tabs(Decimal(gap), "read", Decimal(tab))))
    page.set_content(f"<style>body {{ margin: 0 }} svg {{ display: block; width: 100% }}</style>{drawing}")
    [pixels] = sheets(page.pdf(width="170mm", height="250mm"))
    found = upright_lines(pixels)
    halves = [float(gap) / 2 + float(tab), float(gap) / 2, float(width) / 2, float(eyelet) / 2]
    meant = [-h for h in halves] + halves[::-1]
    assert len(found) == len(meant), found
    whole = found[-1] - found[0]
    shares = [(x - found[0]) / whole for x in found]
    assert shares == pytest.approx([(x - meant[0]) / (meant[-1] - meant[0]) for x in meant], abs=0.003)
