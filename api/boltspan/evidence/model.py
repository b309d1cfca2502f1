"""The model prepared for use: parameters as arrays beside the prior of one catalogue."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

import numpy as np

from boltspan.evidence.catalogue import Catalogue, prepare_catalogue
from boltspan.evidence.claims import FIRST_TOOL_CODE, Integers
from boltspan.evidence.intake import CatalogueRow
from boltspan.evidence.normal import Floats
from boltspan.evidence.parameters import Parameters
from boltspan.evidence.states import Layout
from boltspan.evidence.vocabulary import BOLT_FEATURES, DOCUMENTS, FITTED, SOURCES, TOOLS, WIDTH_FEATURES

# The slip table is looked up by hundredths of a millimetre.
HUNDREDTHS = 100


@dataclass(frozen=True, slots=True)
class Measurable:
    """H things that may have been measured in place of a size, for each of K sizes or alike for all (K = 1).

    `shares` has a row for what a claim states (first: nothing) and a column for what is true; `shifts_mm` and `sds_mm`
    (H x K) say how far each thing lies from the nominal size, and how it spreads.
    """

    shares: Floats
    shifts_mm: Floats
    sds_mm: Floats


@dataclass(frozen=True, slots=True)
class Model:
    """Parameters as arrays, one catalogue's prior, and the columns of its states; made once, then only read.

    `unsound` and `slip` are by source code, `grid_mm` is the grid a source writes widths on; the variances are by tool.
    """

    parameters: Parameters
    catalogue: Catalogue
    layout: Layout
    bolts_mm: Floats
    width_shares: Floats
    unsound: Floats
    slip: Floats
    grid_mm: Floats
    width_span_mm: float
    per_millimetre: int
    repeat_variance: Floats
    systematic_variance: Floats
    features: Measurable
    conditions: Measurable
    wrong_bores_mm: Floats
    wrong_bore_shares: Floats
    slip_table: Floats

    @classmethod
    def prepare(cls, catalogue: Iterable[CatalogueRow], parameters: Parameters) -> Self:
        """The model for one catalogue; without rows the prior is that of the pseudo-counts."""
        prepared = prepare_catalogue(catalogue, parameters)
        width, reading = parameters.width, parameters.reading
        sources = [parameters.sources[source] for source in SOURCES]
        tools = [parameters.instruments[tool] for tool in TOOLS]
        written = [parameters.slip.grid_mm] * len((*DOCUMENTS, FITTED))
        lowest, highest = parameters.prior.width_range_mm
        return cls(
            parameters=parameters,
            catalogue=prepared,
            layout=Layout(len(parameters.bolt.nominal_mm), len(prepared.widths_mm), parameters.prior.novel_places),
            bolts_mm=np.array(parameters.bolt.nominal_mm),
            width_shares=prepared.widths,
            unsound=np.array([source.unsound for source in sources]),
            slip=np.array([source.slip for source in sources]),
            grid_mm=np.array(written + [tool.resolution_mm for tool in tools]),
            width_span_mm=highest - lowest,
            per_millimetre=round(1.0 / parameters.slip.grid_mm),
            repeat_variance=np.array([tool.repeat_sd_mm**2 for tool in tools]),
            systematic_variance=np.array([tool.systematic_sd_mm**2 for tool in tools]),
            features=_bolt_features(parameters),
            conditions=Measurable(
                shares=np.array([getattr(width, f"condition_{name}") for name in ("unstated", *WIDTH_FEATURES)]),
                shifts_mm=np.array(width.shift_mm)[:, None],
                sds_mm=np.array(width.sd_mm)[:, None],
            ),
            wrong_bores_mm=np.array([bore_mm for bore_mm, _ in reading.wrong_bores]),
            wrong_bore_shares=np.array([share for _, share in reading.wrong_bores]),
            slip_table=_slip_table(parameters),
        )

    def slip_chance(self, difference_mm: Floats) -> Floats:
        """The chance that a slip of the pen changes a width by each difference, which is not negative."""
        hundredths = np.minimum(np.rint(difference_mm * HUNDREDTHS), len(self.slip_table) - 1)
        return self.slip_table[hundredths.astype(np.intp)]

    def precision(self, sources: Integers, readings: Floats) -> tuple[Floats, Floats]:
        """For the mean of so many readings by each tool: its variance, mm^2, and the tool's resolution, mm."""
        tools = sources - FIRST_TOOL_CODE
        return self.systematic_variance[tools] + self.repeat_variance[tools] / readings, self.grid_mm[sources]


def _bolt_features(parameters: Parameters) -> Measurable:
    """Crest, shank and sleeve bore of each bolt.

    A thread crest is taken as even between its limits, so its standard deviation is the range over the root of 12.
    """
    bolt = parameters.bolt
    nominal_mm = np.array(bolt.nominal_mm)
    low_mm, high_mm = np.array(bolt.crest_limits_mm).T
    each = np.ones_like(nominal_mm)
    return Measurable(
        shares=np.array([getattr(bolt, f"feature_{name}") for name in ("unstated", *BOLT_FEATURES)]),
        shifts_mm=np.stack(
            ((low_mm + high_mm) / 2.0 - nominal_mm, bolt.shank_shift_mm * each, bolt.sleeve_bore_shift_mm * each)
        ),
        sds_mm=np.stack(((high_mm - low_mm) / math.sqrt(12.0), bolt.shank_sd_mm * each, bolt.sleeve_bore_sd_mm * each)),
    )


def _slip_table(parameters: Parameters) -> Floats:
    """The chance of a slip by 0, 0.01, 0.02 ... mm; the last entry stands for everything beyond the table."""
    slip = parameters.slip
    reach = round((max(step_mm for step_mm, _ in slip.steps) + slip.step_tolerance_mm) * HUNDREDTHS) + 2
    differences_mm = np.arange(reach) / HUNDREDTHS
    chance = np.full(reach, slip.anywhere_share / slip.anywhere_places)
    for step_mm, weight in slip.steps:
        chance[np.abs(differences_mm - step_mm) <= slip.step_tolerance_mm] += slip.step_share * weight
    return chance
