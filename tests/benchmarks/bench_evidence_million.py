"""Prints how fast a million ends are resolved portion by portion on one thread, and how much memory that takes.

    python tests/benchmarks/bench_evidence_million.py [ends] [ends a portion]

The world is made up (see tests/evidence/made_up.py), a portion at a time; making it is not counted. The rates are
learnt from the first portion, and the whole frames of every portion are resolved with them. Nothing is judged. Reach:
8,000 ends a second, and memory that does not grow with the number of portions.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")
ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

SEED = 20260401
TOLD_EVERY = 10


def peak_mb() -> float:
    """Most memory that this process held so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def portion(number: int, ends: int) -> dict[str, Any]:
    """A made-up world whose frames are its own and whose people are those of every portion."""
    from tests.evidence.made_up import World

    document = World(ends, seed=SEED + number).document
    for row in (*document["ends"], *document["claims"]):
        for key in ("end_id", "frame_id", "other_end", "claim_id", "document_id"):
            if key in row:
                row[key] = f"{number}-{row[key]}"
    return document


def main(end_count: int, size: int) -> None:
    """Measure and print."""
    from boltspan.evidence import prepare_model, resolve_batch, resolve_frame

    first = portion(0, size)
    start = time.process_time()
    snapshot, model = resolve_batch(first).snapshot("benchmark"), prepare_model(first["catalogue"])
    print(f"rates learnt from {size:,} ends: {size / (time.process_time() - start):,.0f} ends a CPU second")
    portions, spent, claims, outcomes = max(1, end_count // size), 0.0, 0, Counter[str]()
    for number in range(portions):
        some = portion(number, size)
        start = time.process_time()
        answer = resolve_frame(some["ends"], some["claims"], model, snapshot)
        spent += time.process_time() - start
        claims += len(some["claims"])
        outcomes.update(result["outcome"] for result in answer["results"])
        if number % TOLD_EVERY == TOLD_EVERY - 1 or number == portions - 1:
            done = (number + 1) * size
            print(f"{done:>9,} ends, {claims:>9,} claims: {done / spent:7,.0f} ends a CPU second, {peak_mb():,.0f} MB")
    print("outcomes: " + ", ".join(f"{outcome} {count:,}" for outcome, count in sorted(outcomes.items())))


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["1000000", "20000"][len(sys.argv) - 1 :])))
