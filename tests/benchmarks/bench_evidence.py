"""Prints how fast claims are resolved on one thread: a world in bulk, the command, and one frame at a time.

    python tests/benchmarks/bench_evidence.py [ends] [runs]

The world is made up (see tests/evidence/made_up.py). The fastest and the median of the runs are printed; nothing is
judged. Reach: 8,000 ends a second in bulk, one frame of two ends with stored rates in 2 ms median, and 6,000 ends
with start and JSON in 15 s.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")
ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

COMMAND = "import sys; from boltspan.cli.resolve import run; sys.exit(run(sys.stdin, sys.stdout, sys.stderr))"
FRAMES = 400


def timed(runs: int, work: Callable[[], Any], clock: Callable[[], float] = time.perf_counter) -> tuple[float, float]:
    """Fastest and median time of the work, in seconds of the clock."""
    taken = []
    for _ in range(runs):
        start = clock()
        work()
        taken.append(clock() - start)
    return min(taken), statistics.median(taken)


def frames_of(document: dict[str, Any]) -> list[tuple[list[dict[str, Any]], list[dict[str, Any]]]]:
    """The ends and the claims of each frame."""
    ends, claims = defaultdict(list), defaultdict(list)
    frame_of = {end["end_id"]: end["frame_id"] for end in document["ends"]}
    for end in document["ends"]:
        ends[end["frame_id"]].append(end)
    for claim in document["claims"]:
        claims[frame_of[claim["end_id"]]].append(claim)
    return [(ends[frame], claims[frame]) for frame in ends]


def main(end_count: int, runs: int) -> None:
    """Measure and print."""
    from tests.evidence.made_up import World

    from boltspan.evidence import prepare_model, resolve, resolve_batch, resolve_frame

    document = World(end_count, seed=20260401).document
    print(f"{end_count} ends, {len(document['claims'])} claims, invented; fastest and median of {runs} runs")
    for name, clock in (("wall", time.perf_counter), ("CPU", time.process_time)):
        fast, median = timed(runs, lambda: resolve(document), clock)
        print(
            f"bulk, rows in and results out: {end_count / fast:8,.0f} {end_count / median:8,.0f} ends a second ({name})"
        )

    text = json.dumps(document)
    command = [sys.executable, "-c", COMMAND]
    environment = os.environ | {"PYTHONPATH": str(ROOT / "api")}
    fast, median = timed(
        runs,
        lambda: subprocess.run(command, input=text, text=True, stdout=subprocess.DEVNULL, env=environment, check=True),
    )
    print(f"the command, start and JSON: {fast:8.2f} {median:8.2f} s")

    snapshot, model = resolve_batch(document).snapshot("benchmark"), prepare_model(document["catalogue"])
    taken = [timed(3, partial(resolve_frame, *frame, model, snapshot))[1] for frame in frames_of(document)[:FRAMES]]
    worst = sorted(taken)[int(0.99 * len(taken))]
    print(f"one frame, stored rates:     {1e3 * statistics.median(taken):8.2f} ms median, {1e3 * worst:.2f} ms p99")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["6000", "7"][len(sys.argv) - 1 :])))
