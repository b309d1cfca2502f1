"""How many fit sheets a second one thread works out: from facts alone, and from stored frames to the bytes sent.

Run: .venv-test/bin/python -m tests.benchmarks.bench_fit_sheets
Every sheet is of a shock whose ends differ, answered both ways, with 20 sizes and 12 tools at hand, own readings of
one end and old hardware in it. The stored frames are those shipped, each asked for in turn on SQLite.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from boltspan.bootstrap import open_storage, prepare
from boltspan.config import Config
from boltspan.domain.fitsheet.facts import FrameEndFacts, FrameFacts
from boltspan.domain.fitsheet.question import FitQuestion
from boltspan.domain.fitsheet.sheet import fit_sheet
from boltspan.domain.questions import question_from
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.values import EndValue
from boltspan.services.answers import encode
from boltspan.services.fitsheets import fit_sheets
from boltspan.services.lookup import name_index
from boltspan.services.protocols import FrameQuery
from boltspan.services.shocks import hardware_sizes

SECONDS = 5.0
AIM = 200
EYELET = {"mount": "eyelet", "eyelet_bore_mm": 15, "eyelet_width_mm": Decimal("12.7"), "eyelet_outer_mm": 24}
OTHER = {**EYELET, "eyelet_bore_mm": Decimal("12.7")}


def question(frame: str, end: str) -> FitQuestion:
    """Return the question for one stored frame; ``end`` is the one with old hardware and readings."""
    width = [Decimal(18) + Decimal(place) * Decimal("0.8") for place in range(20)]
    return question_from(FitQuestion, {
        "frame": frame,
        "new_shock": {"eye_to_eye_mm": 210, "stroke_mm": 55, "shaft": EYELET, "body": OTHER},
        "old_hardware": {end: {"bolt_mm": 8, "width_mm": Decimal("22.2"), "worn": False, "eyelet_bore_mm": 15}},
        "readings": {end: {"instrument": {"kind": "digital_caliper"}, "features": {"bolt": "shank", "width": "tab_gap"},
                           "readings_mm": {"bolt": [Decimal("7.95")], "width": [Decimal("22.3"), Decimal("22.32")]}}},
        "at_hand": [{"article": f"A{place}", "label": f"M8 x {each}"} for place, each in enumerate(width)],
        "tools": [{"name": f"socket {n}", "outer_mm": n + 5, "inner_mm": n, "depth_mm": 20 + n} for n in range(8, 20)],
    })  # fmt: skip


def rate(work: Callable[[int], object]) -> tuple[float, float]:
    """Return how many a second, by the clock and by the processor's time; ``work`` gets the number of the turn."""
    work(0)
    done, started, busy = 0, time.perf_counter(), time.process_time()
    while (spent := time.perf_counter() - started) < SECONDS:
        work(done)
        done += 1
    return done / spent, done / (time.process_time() - busy)


def main() -> None:
    """Measure and print both."""
    sized = EndValue("hardware", Decimal(8), Decimal("22.2"))
    ends = FrameEndFacts("upper", "settled", "sell", sized), FrameEndFacts("lower", "settled", "sell", sized)
    facts = FrameFacts(ends, "settled", ShockSize(Decimal(210), Decimal(55)))
    bench = question("f-0000000000", "upper").bench
    show("from facts", *rate(lambda _: fit_sheet(facts, bench)))
    with tempfile.TemporaryDirectory() as folder:
        config = Config(data=Path(folder))
        storage = open_storage(config)
        prepare(config, storage)
        with storage.reading() as uow:
            index, made = name_index(uow), hardware_sizes(uow)  # as a worker keeps them
            asked = [question(s.frame.id, s.frame.ends[0]) for s in uow.catalogue.find(FrameQuery(limit=200))]
            show("stored frame to bytes",
                 *rate(lambda turn: encode(fit_sheets(uow, index, asked[turn % len(asked)], made))))  # fmt: skip


def show(what: str, by_clock: float, by_processor: float) -> None:
    """Print one result."""
    print(f"{what}: {by_clock:,.0f} sheets a second, {by_processor:,.0f} a CPU second (aim: {AIM})")


if __name__ == "__main__":
    main()
