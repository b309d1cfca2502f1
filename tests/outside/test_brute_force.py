"""The continuous part of the model against brute-force integration (scipy's adaptive quadrature)."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate, stats

from boltspan.evidence import load_parameters, prepare_model, resolve_frame
from boltspan.evidence.batch import Batch
from boltspan.evidence.intake import read_claims, read_ends
from boltspan.evidence.reliability import zero_offsets
from boltspan.evidence.snapshot import Snapshot

PARAMETERS = load_parameters()
CATALOGUE = [
    {"mount": "hardware", "bolt_mm": 8, "width_mm": 21.8, "count": 9},
    {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2, "count": 20},
    {"mount": "hardware", "bolt_mm": 10, "width_mm": 22.2, "count": 4},
    {"mount": "hardware", "bolt_mm": 8, "width_mm": 30, "count": 15},
    {"mount": "trunnion", "count": 8},
]
MODEL = prepare_model(CATALOGUE)
ENDS = [{"end_id": "e", "frame_id": "f"}]


def reading(tool: str, width_mm: float, readings: int = 1) -> dict[str, object]:
    shared = {"claim_id": "c", "end_id": "e", "contributor": "p", "sequence": 1, "mount": "hardware", "source": tool}
    return shared | {"width_mm": [width_mm] * readings}


def integrated_width(tool: str, read_mm: float, readings: int, nominal_mm: float) -> float:
    """The chance of a reading: over what may have been measured, its true size, and where in the last digit it falls.

    Each thing's true size is spread normally about its own mean, and a reading about the true size; in a share of
    cases both are wider. A slip of the pen and a reading of something else are added as in the text.
    """
    instrument, width, sources = PARAMETERS.instruments[tool], PARAMETERS.width, PARAMETERS.sources[tool]
    numbers, half = PARAMETERS.reading, instrument.resolution_mm / 2
    error = math.sqrt(instrument.systematic_sd_mm**2 + instrument.repeat_sd_mm**2 / readings)
    total = 0.0
    for share, shift, sd in zip(width.condition_unstated, width.shift_mm, width.sd_mm, strict=True):
        for part, wider in ((1 - numbers.tail_share, 1.0), (numbers.tail_share, numbers.tail_factor)):
            true, shown = stats.norm(nominal_mm + shift, wider * sd), stats.norm(0.0, wider * error)

            def density(size_mm: float, true=true, shown=shown) -> float:  # type: ignore[no-untyped-def]
                cell = shown.cdf(read_mm + half - size_mm) - shown.cdf(read_mm - half - size_mm)
                return float(true.pdf(size_mm) * cell)

            reach = np.linspace(-9, 9, 19) * wider * sd + nominal_mm + shift
            total += share * part * sum(integrate.quad(density, a, b, epsabs=1e-15)[0] for a, b in pairwise(reach))
    slip = sources.slip
    steps = abs(round(np.round(read_mm * 10)) - round(np.round(nominal_mm * 10))) / 10
    written = MODEL.slip_chance(np.array([steps]))[0] * slip * instrument.resolution_mm / 0.1
    elsewhere = numbers.wrong_width_share * instrument.resolution_mm / numbers.wrong_width_range_mm
    return (1 - numbers.wrong_width_share - slip) * total + written + elsewhere


@pytest.mark.parametrize(
    ("tool", "read_mm", "readings"),
    [("caliper", 22.17, 1), ("caliper", 22.02, 3), ("caliper", 29.6, 1), ("ruler", 22.5, 1), ("ruler", 30.0, 2)],
)
def test_the_chance_of_a_reading_and_the_posterior(tool: str, read_mm: float, readings: int) -> None:
    """The posterior over widths of one reading: prior times integral, normalised, against what is answered."""
    row = reading(tool, read_mm, readings)
    ends = read_ends(ENDS)
    batch = Batch.of(ends, read_claims([row], ends, PARAMETERS), MODEL)
    widths_mm = MODEL.catalogue.widths_mm.tolist()
    integrals = np.array([integrated_width(tool, read_mm, readings, width_mm) for width_mm in widths_mm])
    assert batch.factors.widths[0, : len(widths_mm)] == pytest.approx(integrals, rel=1e-9, abs=1e-15)

    unsound = PARAMETERS.sources[tool].unsound
    answer = resolve_frame(ENDS, [row], MODEL, Snapshot("held", PARAMETERS.model_version, {}))["results"][0]
    said = {(c["bolt_mm"], c["width_mm"]): c["p"] for c in answer["candidates"] if "width_mm" in c}
    named = 1 - PARAMETERS.mount.misnamed
    prior = MODEL.catalogue.cells
    likelihood = (1 - unsound) * named * integrals + unsound * batch.background[0]
    posterior = prior * likelihood
    bolts = MODEL.bolts_mm.tolist()
    first = said[bolts[1], widths_mm[1]] / posterior[1, 1]
    for bolt, bolt_mm in enumerate(bolts):
        for width, width_mm in enumerate(widths_mm):
            if (bolt_mm, width_mm) in said:
                assert said[bolt_mm, width_mm] == pytest.approx(first * posterior[bolt, width], rel=1e-9)


def test_the_zero_error_is_the_mean_of_its_posterior() -> None:
    """Prior times the density of all residuals, integrated over the zero error."""
    residuals_mm = [0.08, 0.02, 0.11, 0.05]
    ends = read_ends([{"end_id": f"e{n}", "frame_id": f"f{n}"} for n in range(4)])
    rows = [
        reading("caliper", 22.2 + off_mm) | {"claim_id": f"c{n}", "end_id": f"e{n}", "sequence": n}
        for n, off_mm in enumerate(residuals_mm)
    ]
    batch = Batch.of(ends, read_claims(rows, ends, PARAMETERS), MODEL)
    (found,) = zero_offsets(batch.table, np.full(4, 22.2), np.ones(4), MODEL)
    offset = PARAMETERS.offset
    spread = math.hypot(offset.reading_sd_mm, offset.part_sd_mm)

    def weight(zero_mm: float) -> float:
        return float(
            stats.norm.pdf(zero_mm, 0, offset.prior_sd_mm) * stats.norm.pdf(residuals_mm, zero_mm, spread).prod()
        )

    total = integrate.quad(weight, -1, 1, points=[0, 0.1], epsabs=0, limit=200)[0]
    mean = integrate.quad(lambda zero_mm: zero_mm * weight(zero_mm), -1, 1, points=[0, 0.1], epsabs=0, limit=200)[0]
    assert found == pytest.approx(mean / total, rel=1e-9)
