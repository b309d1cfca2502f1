"""Simpler ways to resolve claims, for comparison in the calibration report; nothing in the service rests on them.

All of them look at snapped values: a bolt is moved to the nearest of the model's (a measured one after adding the play
of a sleeve on its bolt), a measured width to the nearest of the catalogue. A claim that lacks a size of hardware has no
value of its own.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from boltspan.evidence.batch import Batch
from boltspan.evidence.claims import HARDWARE_CODE, Booleans, Integers
from boltspan.evidence.normal import Floats
from boltspan.evidence.one_coin import one_coin

UNSAID_CLAIMS: Final = 0.35
"""A value's share is n / (all + this): so much is left to values that nobody stated (judgement)."""
LEAST_SPREAD_MM: Final = 0.03
"""Standard error of a median width, at the least: widths this close are one size."""
ROUNDS: Final = 50
LISTED: Final = 1e-6
_HUNDREDTHS: Final = 100


@dataclass(frozen=True, slots=True)
class Predicted:
    """N candidates: the number of the end, the value (nan sizes for a bare mount) and its probability."""

    ends: Integers
    mounts: Integers
    bolt_mm: Floats
    width_mm: Floats
    p: Floats


@dataclass(frozen=True, slots=True)
class Snapped:
    """The V claims that state a whole value, as numbers of K different values.

    `claims` are their places in the batch, `values` (V) what each states; the columns (K) say what the values are.
    """

    claims: Integers
    values: Integers
    mounts: Integers
    bolt_mm: Floats
    width_mm: Floats


def snap(batch: Batch) -> Snapped:
    """The claims of the batch as snapped values."""
    table, model = batch.table, batch.model
    bolt = _snapped_bolts(batch)
    known_mm = model.catalogue.widths_mm
    width_mm = table.width_mm.copy()
    if known_mm.size:
        near = known_mm[np.abs(np.nan_to_num(width_mm)[:, None] - known_mm).argmin(axis=1)]
        with np.errstate(invalid="ignore"):
            moved = table.measured | (np.abs(width_mm - near) < model.parameters.sizes.width_tolerance_mm)
        width_mm = np.where(moved & ~np.isnan(width_mm), near, width_mm)
    stated = ~table.hardware | ((bolt >= 0) & ~np.isnan(width_mm))
    claims = np.flatnonzero(stated)
    hundredths = np.where(table.hardware, np.rint(np.nan_to_num(width_mm) * _HUNDREDTHS), 0.0).astype(np.intp)[claims]
    bolts = np.where(table.hardware, bolt, 0)[claims]
    rows, values = np.unique(np.stack((table.mounts[claims], bolts, hundredths), axis=1), axis=0, return_inverse=True)
    hardware = rows[:, 0] == HARDWARE_CODE
    return Snapped(
        claims,
        values.reshape(-1),
        rows[:, 0],
        np.where(hardware, model.bolts_mm[rows[:, 1]], np.nan),
        np.where(hardware, rows[:, 2] / _HUNDREDTHS, np.nan),
    )


def _snapped_bolts(batch: Batch) -> Integers:
    """The number of each claim's bolt, -1 where none is stated (C)."""
    table, model = batch.table, batch.model
    play_mm = np.where(table.measured, model.parameters.bolt.sleeve_bore_shift_mm, 0.0)
    given = ~np.isnan(table.bolt_mm)
    nearest = np.abs(np.nan_to_num(table.bolt_mm + play_mm)[:, None] - model.bolts_mm).argmin(axis=1)
    return np.where(given, nearest, -1)


def majority(batch: Batch, snapped: Snapped) -> Predicted:
    """Each value's share of the claims of its end; ties stay ties, an end without whole values has no candidate."""
    ends, kinds = batch.table.ends[snapped.claims], max(len(snapped.mounts), 1)
    keys, counts = np.unique(ends * kinds + snapped.values, return_counts=True)
    of_end, value = np.divmod(keys, kinds)
    p = counts / (np.bincount(ends, minlength=len(batch.ends))[of_end] + UNSAID_CLAIMS)
    return Predicted(of_end, snapped.mounts[value], snapped.bolt_mm[value], snapped.width_mm[value], p)


def agreement(batch: Batch, snapped: Snapped) -> Predicted:
    """One-coin Dawid-Skene over the values; of several claims by one contributor on an end the last counts."""
    persons = batch.table.persons[snapped.claims]
    _, last = np.unique(persons[::-1], return_index=True)
    kept = np.sort(len(persons) - 1 - last)
    ends, tasks = np.unique(batch.table.ends[snapped.claims][kept], return_inverse=True)
    _, people = np.unique(batch.table.contributors[snapped.claims][kept], return_inverse=True)
    kinds, labels = np.unique(snapped.values[kept], return_inverse=True)
    found = one_coin(tasks, people, labels, rounds=ROUNDS)
    value = kinds[found.labels]
    return Predicted(
        ends[found.tasks],
        snapped.mounts[value],
        snapped.bolt_mm[value],
        snapped.width_mm[value],
        found.probabilities,
    )


def median(batch: Batch) -> Predicted:
    """The median width, spread by its standard error over the catalogue, times the shares of mount and bolt."""
    table, model, count = batch.table, batch.model, len(batch.ends)
    mounts, every = _votes(table.ends, table.mounts, np.ones(len(table.ends), dtype=np.bool_), count)
    bare_ends, bare = np.nonzero(mounts[:, HARDWARE_CODE + 1 :])
    bare_p = mounts[bare_ends, bare + HARDWARE_CODE + 1] / (every[bare_ends] + UNSAID_CLAIMS)
    bolt = _snapped_bolts(batch)
    bolts, bolted = _votes(table.ends, bolt, table.hardware & (bolt >= 0), count)
    widths = _spread_medians(batch)
    rows, number = np.nonzero(bolts)
    chance = bolts[rows, number] / bolted[rows]
    chance *= mounts[rows, HARDWARE_CODE] / (every[rows] + UNSAID_CLAIMS)
    cells = chance[:, None] * widths[rows]
    cell, column = np.nonzero(cells >= LISTED)
    nowhere = np.full(len(bare), np.nan)
    return Predicted(
        np.concatenate((rows[cell], bare_ends)),
        np.concatenate((np.full(len(cell), HARDWARE_CODE), bare + HARDWARE_CODE + 1)),
        np.concatenate((model.bolts_mm[number[cell]], nowhere)),
        np.concatenate((model.catalogue.widths_mm[column], nowhere)),
        np.concatenate((cells[cell, column], bare_p)),
    )


def _votes(ends: Integers, codes: Integers, counted: Booleans, end_count: int) -> tuple[Integers, Integers]:
    """How many of the counted claims of each end have each code (E x codes), and how many there are (E)."""
    kinds = int(codes.max(initial=0)) + 1
    votes = np.bincount(ends[counted] * kinds + codes[counted], minlength=end_count * kinds)
    table = votes.reshape(end_count, kinds)
    return table, table.sum(axis=1)


def _spread_medians(batch: Batch) -> Floats:
    """The chance of each catalogue width (E x W): normal about the median; zeros for an end without a width."""
    table, known_mm, count = batch.table, batch.model.catalogue.widths_mm, len(batch.ends)
    claims = np.flatnonzero(table.hardware & ~np.isnan(table.width_mm))
    order = claims[np.lexsort((table.width_mm[claims], table.ends[claims]))]
    ends, width_mm = table.ends[order], table.width_mm[order]
    number = np.bincount(ends, minlength=count)
    chance = np.zeros((count, len(known_mm)))
    told = np.flatnonzero(number)
    if not known_mm.size or not told.size:
        return chance
    first = np.searchsorted(ends, told)
    n = number[told]
    middle = 0.5 * (width_mm[first + (n - 1) // 2] + width_mm[first + n // 2])
    mean = np.bincount(ends, width_mm, count)[told] / n
    squares = np.bincount(ends, (width_mm - np.repeat(mean, n)) ** 2, count)[told]
    error = np.maximum(np.sqrt(squares / np.maximum(n - 1, 1) / n), LEAST_SPREAD_MM)
    logs = -0.5 * ((known_mm - middle[:, None]) / error[:, None]) ** 2
    logs -= logs.max(axis=1, keepdims=True)
    spread = np.exp(logs)
    chance[told] = spread / spread.sum(axis=1, keepdims=True)
    return chance
