"""What is expected of an end before any claim: prior shares from the catalogue."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from boltspan.evidence.intake import CatalogueRow
from boltspan.evidence.normal import Floats
from boltspan.evidence.parameters import Parameters
from boltspan.evidence.vocabulary import BARE_MOUNTS, HARDWARE, MOUNTS

WIDTH_DECIMALS = 2


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Prior shares: B bolts, W widths in ascending order.

    `hardware` and `bare` (one for each bare mount) add up to 1; `bolts` (B) and `cells` (B x W) each to 1, given
    hardware of a size that the catalogue has.
    """

    widths_mm: Floats
    hardware: float
    bare: Floats
    bolts: Floats
    cells: Floats

    @property
    def widths(self) -> Floats:
        """Share of each width, whatever the bolt (W)."""
        shares: Floats = self.cells.sum(axis=0)
        return shares


def prepare_catalogue(rows: Iterable[CatalogueRow], parameters: Parameters) -> Catalogue:
    """The prior shares that the catalogue's rows lead to; without rows, those of the pseudo-counts alone.

    A bolt is moved to the nearest of the model's (ties: the smaller), a width rounded to 0.01; widths closer than
    `sizes.same_width_mm` are one. Bolt times width weighs as `prior.independence_pseudo` entries against the cells'
    own counts.
    """
    prior, bolt_mm = parameters.prior, parameters.bolt.nominal_mm
    mounts = dict.fromkeys(MOUNTS, 0.0)
    counts: defaultdict[float, Floats] = defaultdict(lambda: np.zeros(len(bolt_mm)))
    for row in rows:
        mounts[row.mount] += row.entries
        if row.mount == HARDWARE:
            nearest = min(range(len(bolt_mm)), key=lambda place: abs(bolt_mm[place] - row.bolt_mm))
            counts[round(row.width_mm, WIDTH_DECIMALS)][nearest] += row.entries
    merged = _merge_widths(counts, parameters.sizes.same_width_mm)
    entries = np.array(list(merged.values())).reshape(len(merged), len(bolt_mm)).T
    total = entries.sum()
    bolts = entries.sum(axis=1) + np.array(prior.bolt_pseudo)
    bolts /= bolts.sum()
    widths = entries.sum(axis=0) + prior.width_pseudo
    independent = np.outer(bolts, widths / widths.sum())
    shares = np.array([mounts[mount] + prior.mount_pseudo * getattr(prior, f"mount_{mount}") for mount in MOUNTS])
    shares /= shares.sum()
    return Catalogue(
        widths_mm=np.array(list(merged)),
        hardware=float(shares[0]),
        bare=shares[1 : 1 + len(BARE_MOUNTS)],
        bolts=bolts,
        cells=(entries + prior.independence_pseudo * independent) / (total + prior.independence_pseudo),
    )


def _merge_widths(counts: dict[float, Floats], same_width_mm: float) -> dict[float, Floats]:
    """Counts by width, ascending; widths that are one size stand under the most written one (ties: the smaller)."""
    clusters: list[list[float]] = []
    for width_mm in sorted(counts):
        if clusters and width_mm - clusters[-1][0] <= same_width_mm + 1e-9:
            clusters[-1].append(width_mm)
        else:
            clusters.append([width_mm])
    return {_usual(cluster, counts): np.sum([counts[width_mm] for width_mm in cluster], axis=0) for cluster in clusters}


def _usual(cluster: Sequence[float], counts: dict[float, Floats]) -> float:
    return max(cluster, key=lambda width_mm: (counts[width_mm].sum(), -width_mm))
