"""Prints how many size labels a second are read in one process on one core, over a realistic mix.

    python tests/benchmarks/bench_labels.py [seconds]

The mix is invented: what a shop's article list and a chart hold in the main (plain bolt x width), then inch sizes,
named ends, mounts, odd spellings, and some that are refused. Every label differs from the one before, and nothing is
remembered between two of them. The fastest and the median of the runs are printed; nothing is judged.
"""

from __future__ import annotations

import random
import statistics
import sys
import time

from boltspan.domain.labels import ReadLabel, read_label

BATCH = 20_000
PLAIN = ("M{b} x {w}", "{w} x M{b}", "{b}x{w}", "{w}x{b}", "{b} x {w} mm", "{b}mm x {w}mm", "M{b}x{w}", "{w} x {b}")
OTHERS = (
    "{b} × {w}", "Ø{b} x {w}", "{b} x {w},2", "{w}mm wide, {b}mm bolt", "width {w} mm bolt {b} mm", "{b}/{w}",
    "{b}mm {w}mm", "8 x 7/8", "5/16 x 7/8", "M8 x 1-1/8 in", "{b} x {w} x 15", "bearing eyelet {b} x {w}",
    "{b} x {w} bearing compatible", "trunnion", "open eyelet", "shock hardware kit {w} x {b}", "{b} x {w} ± 0.1",
)  # fmt: skip
ENDS = (
    "front {w}x{b} / rear {v}x{b}", "Upper: M{b} x {w}; Lower: M{b} x {v}", "{w}x{b} / {v}x{b}",
    "front trunnion / rear {w}x{b}", "frame end M{b} x {w}, link end M{b} x {v}", "{b} x {w} both ends",
)  # fmt: skip
REFUSED = ("210 x 55", "M8", "{w}", "n/a", "same as front", "{b} x {w}-{v}", "12x148", "8 x 15", "{b} x {w} x {v}", "")
WEIGHTS = ((PLAIN, 60), (OTHERS, 20), (ENDS, 12), (REFUSED, 8))


def labels(count: int, seed: int = 20260401) -> list[str]:
    """Return ``count`` invented labels in the mix above, the same for the same seed."""
    chance = random.Random(seed)
    kinds = chance.choices([kind for kind, _ in WEIGHTS], [weight for _, weight in WEIGHTS], k=count)
    return [
        chance.choice(kind).format(
            b=chance.choice((6, 8, 8, 8, 10)), w=chance.randint(16, 60), v=chance.randint(16, 60)
        )
        for kind in kinds
    ]


def main(seconds: float) -> None:
    """Read batches for about ``seconds`` and print labels a second."""
    batch = labels(BATCH)
    read = sum(isinstance(read_label(label), ReadLabel) for label in batch)
    rates: list[float] = []
    until = time.perf_counter() + seconds
    while time.perf_counter() < until or len(rates) < 3:
        start = time.process_time()
        for label in batch:
            read_label(label)
        rates.append(BATCH / (time.process_time() - start))
    print(f"{BATCH} labels, {read} read, {BATCH - read} refused, {len(rates)} runs")
    print(f"labels a second of processor time: median {statistics.median(rates):,.0f}, fastest {max(rates):,.0f}")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 5.0)
