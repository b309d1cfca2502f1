"""The values an end may have, as columns: which widths a frame adds to the catalogue's, and the prior of each state.

The columns of an array over states are: bearing; then hardware, all widths of the first bolt, all of the second, and so
on; then the other mounts without hardware; last, hardware of an unlisted size. Widths are those of the catalogue,
then the places for novel widths, which the two ends of a frame share.
"""

from dataclasses import dataclass
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from boltspan.evidence.catalogue import Catalogue
from boltspan.evidence.claims import RULER_CODE, Booleans, ClaimTable, Integers
from boltspan.evidence.normal import Floats
from boltspan.evidence.parameters import Parameters
from boltspan.evidence.vocabulary import BARE_MOUNTS

Column = TypeVar("Column", np.float64, np.intp)

# Stands in an unused place, far below any width; the state there has prior 0 and likelihood 0.
NO_WIDTH_MM: Final = -1000.0


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the states stand: B bolts, W catalogue widths, M places for novel widths."""

    bolts: int
    catalogue_widths: int
    novel_places: int

    @property
    def widths(self) -> int:
        """Width columns of one bolt, W + M."""
        return self.catalogue_widths + self.novel_places

    @property
    def cells(self) -> slice:
        """The columns of hardware with a size."""
        return slice(1, 1 + self.bolts * self.widths)

    @property
    def bare(self) -> list[int]:
        """The columns of the mounts without hardware, in the order of BARE_MOUNTS."""
        after = self.cells.stop
        return [0, *range(after, after + len(BARE_MOUNTS) - 1)]

    @property
    def states(self) -> int:
        """Number of columns."""
        return self.bolts * self.widths + len(BARE_MOUNTS) + 1

    @property
    def unlisted(self) -> int:
        """The column of hardware of an unlisted size."""
        return self.states - 1

    def as_cells(self, columns: NDArray[Column]) -> NDArray[Column]:
        """A view of the cells of an array over states, shape (rows, B, W + M)."""
        return columns[:, self.cells].reshape(len(columns), self.bolts, self.widths)


@dataclass(frozen=True, slots=True)
class FrameStates:
    """The states of F frames: their widths, and what novel widths change in the prior.

    `widths_mm` (F x (W + M)) are those of the catalogue, then the frame's novel ones, ascending, with NO_WIDTH_MM in
    unused places. `novel` (F x M) is the share s(w) of each novel width, 0 in unused places; `unlisted` (F) the share
    of hardware left to other sizes; `total` (F) what the shares of all states add up to before they are normalised.
    """

    widths_mm: Floats
    novel: Floats
    unlisted: Floats
    total: Floats


def find_novel_widths(
    table: ClaimTable, frame_of_claim: Integers, frame_count: int, catalogue: Catalogue, parameters: Parameters
) -> FrameStates:
    """The widths that claims name and the catalogue lacks, at most `prior.novel_places` for a frame.

    Each claim with a width that is not a ruler's counts for its width rounded to the written grid; the most claimed
    stay, ties to the smaller. Without the cap, reading noise would fill the states.
    """
    prior, per_millimetre = parameters.prior, round(1.0 / parameters.slip.grid_mm)
    lowest, highest = prior.width_range_mm
    with np.errstate(invalid="ignore"):
        counts = (
            (table.sources != RULER_CODE)
            & (table.width_mm >= lowest - prior.width_margin_mm)
            & (table.width_mm <= highest + prior.width_margin_mm)
        )
    places = np.flatnonzero(counts)
    width_mm = table.width_mm[places]
    steps = np.rint(width_mm * per_millimetre).astype(np.intp)
    lacking = (_distance(width_mm, catalogue) > parameters.sizes.width_tolerance_mm) & (
        _distance(steps / per_millimetre, catalogue) > parameters.sizes.same_width_mm + 1e-9
    )
    most = round((highest + prior.width_margin_mm) * per_millimetre) + 1
    keys, claimed = np.unique(frame_of_claim[places[lacking]] * most + steps[lacking], return_counts=True)
    frames, steps = np.divmod(keys, most)
    kept = _most_claimed(frames, claimed, prior.novel_places)
    return _frame_states(frames[kept], steps[kept], frame_count, catalogue, parameters)


def _distance(width_mm: Floats, catalogue: Catalogue) -> Floats:
    """How far each width is from the nearest of the catalogue; inf when the catalogue has none."""
    known = catalogue.widths_mm
    if not known.size:
        return np.full(len(width_mm), np.inf)
    above = np.searchsorted(known, width_mm).clip(0, known.size - 1)
    below = (above - 1).clip(0)
    distance: Floats = np.minimum(np.abs(known[above] - width_mm), np.abs(known[below] - width_mm))
    return distance


def _most_claimed(frames: Integers, claimed: Integers, places: int) -> Booleans:
    """Which of the entries, ordered by frame and width, are among the most claimed of their frame."""
    order = np.lexsort((-claimed, frames))
    first = np.searchsorted(frames, frames)
    kept = np.zeros(len(frames), dtype=np.bool_)
    kept[order] = np.arange(len(frames)) - first < places
    return kept


def _frame_states(
    frames: Integers, steps: Integers, frame_count: int, catalogue: Catalogue, parameters: Parameters
) -> FrameStates:
    prior = parameters.prior
    per_millimetre = round(1.0 / parameters.slip.grid_mm)
    lowest, highest = prior.width_range_mm
    column = np.arange(len(frames)) - np.searchsorted(frames, frames)
    multiplier = np.where(
        steps % per_millimetre == 0,
        prior.novel_whole,
        np.where(steps % per_millimetre == per_millimetre // 2, prior.novel_half, prior.novel_other),
    )
    novel = np.zeros((frame_count, prior.novel_places))
    novel[frames, column] = prior.novel_share * parameters.slip.grid_mm / (highest - lowest) * multiplier
    taken = novel.sum(axis=1)
    unlisted = np.maximum(prior.novel_share - taken, prior.unlisted_least * prior.novel_share)
    known = len(catalogue.widths_mm)
    widths_mm = np.full((frame_count, known + prior.novel_places), NO_WIDTH_MM)
    widths_mm[:, :known] = catalogue.widths_mm
    widths_mm[frames, known + column] = steps / per_millimetre
    hardware = (1.0 - prior.novel_share) * catalogue.cells.sum() + taken + unlisted
    total: Floats = catalogue.bare.sum() + catalogue.hardware * hardware
    return FrameStates(widths_mm, novel, unlisted, total)


def prior_of_states(
    frames: FrameStates, span: slice, catalogue: Catalogue, layout: Layout, parameters: Parameters
) -> Floats:
    """The prior of each state for the frames of a span; rows add up to 1."""
    novel = frames.novel[span]
    listed = 1.0 - parameters.prior.novel_share
    prior = np.empty((len(novel), layout.states))
    prior[:, layout.bare] = catalogue.bare
    cells = layout.as_cells(prior)
    cells[:, :, : layout.catalogue_widths] = catalogue.hardware * listed * catalogue.cells
    cells[:, :, layout.catalogue_widths :] = catalogue.hardware * catalogue.bolts[:, None] * novel[:, None, :]
    prior[:, layout.unlisted] = catalogue.hardware * frames.unlisted[span]
    prior /= frames.total[span, None]
    return prior
