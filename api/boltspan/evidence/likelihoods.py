"""What one sound claim says: the probability of the report under each value an end may have.

S(state) = K S_bolt S_width. Only the factors are kept, a few numbers for each bolt and each width of a claim; their
product over the states is formed where it is used. S is the probability of the report as written on its own grid, so
only ratios between states of one claim mean anything.
"""

from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from boltspan.evidence.claims import FIRST_TOOL_CODE, FITTED_CODE, HARDWARE_CODE, Booleans, ClaimTable, Integers
from boltspan.evidence.model import Measurable, Model
from boltspan.evidence.normal import REACH, Floats, cumulative
from boltspan.evidence.states import NO_WIDTH_MM
from boltspan.evidence.vocabulary import BARE_MOUNTS

# Sizes are compared to a nanometre, so that 6.06 is .06 from 6 and not a little less.
NANOMETRES: Final = 6
BEARING: Final = BARE_MOUNTS.index("bearing")


@dataclass(frozen=True, slots=True)
class Reports:
    """What R claims say, beside the widths of each claim's frame (`columns_mm`, R x (W + M)); nan where not given.

    The zero error of a caliper is already taken off `width_mm`.
    """

    sources: Integers
    mounts: Integers
    unnamed: Booleans
    bolt_mm: Floats
    inch: Booleans
    width_mm: Floats
    readings: Floats
    features: Integers
    conditions: Integers
    columns_mm: Floats

    @classmethod
    def of(cls, table: ClaimTable, places: Integers, columns_mm: Floats, offsets_mm: Floats) -> Self:
        """The reports of the claims at `places`; `columns_mm` and `offsets_mm` have a row for each place."""
        return cls(
            sources=table.sources[places],
            mounts=table.mounts[places],
            unnamed=table.unnamed[places],
            bolt_mm=table.bolt_mm[places],
            inch=table.inch[places],
            width_mm=table.width_mm[places] - offsets_mm,
            readings=table.readings[places],
            features=table.features[places],
            conditions=table.conditions[places],
            columns_mm=columns_mm,
        )

    def only(self, chosen: Booleans) -> "Reports":
        """The reports that are chosen."""
        return Reports(*(getattr(self, name)[chosen] for name in self.__slots__))

    @property
    def measured(self) -> Booleans:
        """Which reports are readings of a tool (R)."""
        measured: Booleans = self.sources >= FIRST_TOOL_CODE
        return measured


@dataclass(frozen=True, slots=True)
class Factors:
    """The factors of S for C claims.

    `mounts` (C) is K, `bare` (C x 4) S under the mounts without hardware, `unlisted` (C) S under hardware of an
    unlisted size, `bolts` (C x B) and `widths` (C x (W + M)) the factors of the cells.
    """

    mounts: Floats
    bare: Floats
    unlisted: Floats
    bolts: Floats
    widths: Floats

    @classmethod
    def empty(cls, claim_count: int, model: Model) -> Self:
        """Factors of so many claims, to be filled in."""
        layout = model.layout
        return cls(
            mounts=np.empty(claim_count),
            bare=np.empty((claim_count, len(layout.bare))),
            unlisted=np.empty(claim_count),
            bolts=np.empty((claim_count, layout.bolts)),
            widths=np.empty((claim_count, layout.widths)),
        )

    def fill(self, places: Integers | slice, reports: Reports, model: Model) -> None:
        """Writes all factors of the claims at `places`, whose reports are given."""
        self.bolts[places] = bolt_factors(reports, model)
        self.fill_widths(places, reports, model)

    def fill_widths(self, places: Integers | slice, reports: Reports, model: Model) -> None:
        """Writes the factors that depend on the width again, the bolts' being there."""
        widths = width_factors(reports, model)
        self.widths[places] = widths
        self.mounts[places], self.bare[places], self.unlisted[places] = _sizeless_factors(
            reports, self.bolts[places], widths, model
        )


def _sizeless_factors(reports: Reports, bolts: Floats, widths: Floats, model: Model) -> tuple[Floats, Floats, Floats]:
    """K, S under the mounts without hardware, and S under the unlisted state.

    A hardware claim under such a state has its sizes averaged over the prior of catalogue bolts and widths. Under the
    unlisted state a given width has the density of its grid over the range of widths. A reading that states no mount
    may be of an end with bearings, which has sizes too; somebody who has a bearing in hand most often says so.
    """
    misnamed, mounts = model.parameters.mount.misnamed, len(model.layout.bare)
    elsewhere = misnamed / mounts
    hardware = reports.mounts == HARDWARE_CODE
    any_bolt = bolts @ model.catalogue.bolts
    without_width = np.isnan(reports.width_mm)
    any_width = np.where(without_width, 1.0, widths[:, : model.layout.catalogue_widths] @ model.width_shares)
    named = np.where(hardware, 1.0 - misnamed, elsewhere)
    bare = np.where(hardware, elsewhere * any_bolt * any_width, elsewhere)[:, None].repeat(mounts, axis=1)
    bare[reports.unnamed, BEARING] *= model.parameters.mount.bearing_unnamed / elsewhere
    others = np.flatnonzero(~hardware)
    bare[others, reports.mounts[others] - 1] = 1.0 - misnamed
    density = np.where(without_width, 1.0, model.grid_mm[reports.sources] / model.width_span_mm)
    unlisted = np.where(hardware, named * any_bolt * density, elsewhere)
    return named, bare, unlisted


def bolt_factors(reports: Reports, model: Model) -> Floats:
    """S_bolt of each report under each bolt (R x B); 1 where no bolt is given."""
    bolts = np.ones((len(reports.bolt_mm), model.layout.bolts))
    given, measured = ~np.isnan(reports.bolt_mm), reports.measured
    for chosen, chance in ((given & ~measured, _written_bolts), (given & measured, _measured_bolts)):
        if chosen.any():
            bolts[chosen] = chance(reports.only(chosen), model)
    return bolts


def width_factors(reports: Reports, model: Model) -> Floats:
    """S_width of each report under each width of its frame (R x (W + M)).

    1 where no width is given, 0 in unused places.
    """
    widths = np.ones(reports.columns_mm.shape)
    given, measured, fitted = ~np.isnan(reports.width_mm), reports.measured, reports.sources == FITTED_CODE
    for chosen, chance in (
        (given & ~measured & ~fitted, _written_widths),
        (given & fitted, _fitted_widths),
        (given & measured, _measured_widths),
    ):
        if chosen.any():
            widths[chosen] = chance(reports.only(chosen), model)
    widths[reports.columns_mm == NO_WIDTH_MM] = 0.0
    return widths


def _written_bolts(reports: Reports, model: Model) -> Floats:
    """1 - slip for the bolt that is written, an equal part of slip for each other; an inch bolt is none of them."""
    slip = model.slip[reports.sources, None]
    distance = np.abs(reports.bolt_mm[:, None] - model.bolts_mm).round(NANOMETRES)
    named = (distance < model.parameters.sizes.bolt_tolerance_mm) & ~reports.inch[:, None]
    return np.where(named, 1.0 - slip, slip / (model.layout.bolts - 1))


def _measured_bolts(reports: Reports, model: Model) -> Floats:
    """Crest, shank or sleeve bore of the bolt, with a share for a bushing or eyelet bore read as the bolt."""
    reading = model.parameters.reading
    right = _mixture(reports.bolt_mm[:, None] - model.bolts_mm, reports, model.features, reports.features, model)
    variance, resolution = model.precision(reports.sources, reports.readings)
    spread = np.sqrt(variance + reading.wrong_bore_sd_mm**2)[:, None]
    distance = reports.bolt_mm[:, None] - model.wrong_bores_mm
    half = 0.5 * resolution[:, None]
    bores = cumulative((distance + half) / spread) - cumulative((distance - half) / spread)
    elsewhere = (1.0 - model.wrong_bore_shares.sum()) * resolution / reading.wrong_bore_range_mm
    wrong = bores @ model.wrong_bore_shares + elsewhere
    chance: Floats = (1.0 - reading.wrong_bore_share) * right + reading.wrong_bore_share * wrong[:, None]
    return chance


def _named_widths(distance: Floats, model: Model) -> Floats:
    """1 for the width that a written one names: within the tolerance, and none nearer; else 0."""
    nearest = distance.min(axis=1, keepdims=True, initial=np.inf)
    named: Booleans = distance < model.parameters.sizes.width_tolerance_mm
    named &= distance <= nearest + 10.0**-NANOMETRES
    return named.astype(np.float64)


def _written_widths(reports: Reports, model: Model) -> Floats:
    distance = np.abs(reports.width_mm[:, None] - reports.columns_mm)
    slip: Floats = model.slip[reports.sources, None]
    chance: Floats = (1.0 - slip) * _named_widths(distance, model) + slip * model.slip_chance(distance)
    return chance


def _fitted_widths(reports: Reports, model: Model) -> Floats:
    """The width itself, or evenly one of the catalogue's a little smaller; where there is none, the width itself."""
    fitted, known_mm = model.parameters.fitted, model.catalogue.widths_mm
    under = reports.columns_mm[:, :, None] - known_mm
    nanometre = 10.0**-NANOMETRES
    smaller = under <= fitted.smaller_reach_mm + nanometre
    smaller &= under > model.parameters.sizes.same_width_mm + nanometre
    choices = smaller.sum(axis=2)
    distance = np.abs(reports.width_mm[:, None] - reports.columns_mm)
    named = _named_widths(distance, model)
    named_smaller = np.einsum("rsw,rw->rs", smaller, named[:, : len(known_mm)])
    exact = np.where(choices > 0, fitted.exact, fitted.exact + fitted.smaller)
    rest = 1.0 - fitted.exact - fitted.smaller
    chance: Floats = exact * named + fitted.smaller * named_smaller / np.maximum(choices, 1)
    chance += rest * model.slip_chance(distance)
    return chance


def _measured_widths(reports: Reports, model: Model) -> Floats:
    """Sound or worn hardware or the gap between the tabs, a slip of the pen, or something else altogether."""
    reading, per_millimetre = model.parameters.reading, model.per_millimetre
    width_mm, columns_mm = reports.width_mm[:, None], reports.columns_mm
    right = _mixture(width_mm - columns_mm, reports, model.conditions, reports.conditions, model)
    steps = np.abs(np.rint(width_mm * per_millimetre) - np.rint(columns_mm * per_millimetre))
    slip, resolution = model.slip[reports.sources, None], model.grid_mm[reports.sources, None]
    written = slip * resolution * per_millimetre * model.slip_chance(steps / per_millimetre)
    wrong = reading.wrong_width_share * resolution / reading.wrong_width_range_mm
    chance: Floats = (1.0 - reading.wrong_width_share - slip) * right + written + wrong
    return chance


def _mixture(distance: Floats, reports: Reports, things: Measurable, stated: Integers, model: Model) -> Floats:
    """The chance of R readings at a distance (R x K) from each of K sizes, whichever of the things was measured.

    Each thing has a normal cell as wide as the tool's resolution, and a share `tail_share` of cells `tail_factor` as
    spread. Only sizes near enough to matter are worked on: further away a cell is below a float's precision.
    """
    reading = model.parameters.reading
    variance, resolution = model.precision(reports.sources, reports.readings)
    furthest = REACH * reading.tail_factor * np.sqrt(variance + np.max(things.sds_mm) ** 2)
    furthest += np.max(np.abs(things.shifts_mm)) + resolution
    row, column = np.nonzero(np.abs(distance) < furthest[:, None])
    size = column if things.shifts_mm.shape[1] > 1 else np.zeros_like(column)
    near = distance[row, column] - things.shifts_mm[:, size]
    spread = np.sqrt(variance[row] + things.sds_mm[:, size] ** 2)
    spreads = np.stack((spread, reading.tail_factor * spread))
    half = 0.5 * resolution[row]
    narrow, wide = cumulative((near + half) / spreads) - cumulative((near - half) / spreads)
    cells = (1.0 - reading.tail_share) * narrow + reading.tail_share * wide
    chance = np.zeros(distance.shape)
    chance[row, column] = (things.shares[stated[row]].T * cells).sum(axis=0)
    return chance
