"""Prints how well and how fast models are found among many names by mistyped queries, in process on one core.

    PYTHONPATH=api:. python tests/benchmarks/bench_names.py [names] [queries] [seed]

The names are invented, and the queries are made of them: one or two errors of typing in each, a third without the make,
words turned, run together and cut off, years attached, other words about (see tests/worlds/mangle.py). Printed are the
share whose model is among the first ten (and first), the time of a query by the clock and by the processor, the time
and memory the index takes, and the names missed. Nothing is judged. Reach: 98 % in the first ten, p99 at most 15 ms.
The index was never tuned on the default seed.
"""

from __future__ import annotations

import os
import sys
import time
import tracemalloc

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
from tests.worlds import World
from tests.worlds.mangle import queries

from boltspan.services.names import NameIndex, year_in

MISSES_SHOWN = 10


def main(names: int, count: int, seed: int) -> None:
    """Measure and print."""
    named = list(World(seed, 1).names(names))
    makes, models = list({make.slug: make for make, _ in named}.values()), [model for _, model in named]
    built = [_seconds(lambda: NameIndex(makes, models)) for _ in range(3)]
    tracemalloc.start()
    index = NameIndex(makes, models)
    kept, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"{len(models):,} models of {len(makes):,} makes, invented; seed {seed}")
    print(f"index: built in {min(built):.2f} s (fastest of 3), {kept / 1e6:.0f} MB kept, {most / 1e6:.0f} MB at most")
    clock, processor, missed, first = [], [], [], 0
    for query in queries(named, seed, count):
        started, busy = time.perf_counter(), time.thread_time()
        text, _ = year_in(query.text)
        hits = [(hit.make, hit.model) for hit in index.find(text, 10)]
        clock.append(time.perf_counter() - started)
        processor.append(time.thread_time() - busy)
        first += hits[:1] == [(query.make, query.model)]
        if (query.make, query.model) not in hits:
            missed.append(query)
    print(f"{count:,} queries: {1 - len(missed) / count:.4f} in the first ten, {first / count:.4f} first")
    for name, times in (("by the clock", clock), ("processor time", processor)):
        median, p99 = np.quantile(np.array(times) * 1e3, [0.5, 0.99])
        print(f"a query, {name}: median {median:.2f} ms, p99 {p99:.2f} ms, longest {max(times) * 1e3:.2f} ms")
    for query in missed[:MISSES_SHOWN]:
        print(f"missed: {query.text!r} for {query.make}/{query.model}")


def _seconds(work: object) -> float:
    started = time.perf_counter()
    assert callable(work)
    work()
    return time.perf_counter() - started


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(*(given + [100_000, 2_000, 20260601][len(given) :]))
