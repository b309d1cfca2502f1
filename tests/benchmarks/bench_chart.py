"""Prints how long a shop's chart of 100,000 rows takes to import, and the most memory the process used meanwhile.

    python tests/benchmarks/bench_chart.py [rows] [frames]

An invented catalogue goes into a new SQLite database in a temporary folder, an invented chart into a file beside it;
most rows are good, some are refused or unknown. A preview is timed, then the import, then the same import again, on the
clock and in the time of the processor. The peak is what the operating system says of the process at that point; it is
printed before as well, since the database's own caches count too. Nothing is judged.
"""

from __future__ import annotations

import random
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from boltspan.domain.charts.rows import ChartRow
from boltspan.domain.frames import Frame, Make, Model, Years
from boltspan.domain.ids import mint
from boltspan.services.charts import Chart, Outcome, import_chart
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import StoredFrame
from boltspan.services.publishing import republish
from boltspan.storage import SqlStorage, make_engine, migrate

SIZES = ("8 x 22,2", "M8x30", "30 x 8", "10x25,4", "trunnion", "brg 8x30", "8 x 15", "open", "8x30 brass")


def plant(storage: SqlStorage, frames: int) -> list[tuple[str, str, int]]:
    """Store frames of invented makes, three years each, and return make, model and first year of each."""
    found = []
    with storage.writing() as uow:
        sequence = uow.events.record(None, "make_added", payload={})
        ids = []
        for number in range(frames):
            make, model = f"make-{number % 97}", f"model-{number}"
            if number < 97:
                uow.catalogue.put_make(Make(make, make.title()))
            uow.catalogue.put_model(Model(make, model, model.title()))
            first = 2014 + number % 10
            frame = Frame(mint("frame"), make, model, "frame", Years(first, first + 2), ("upper", "lower"))
            uow.catalogue.put_frame(StoredFrame(frame, sequence=sequence))
            ids.append(frame.id)
            found.append((make, model, first))
        republish(uow, ids)
    return found


def write_chart(path: Path, rows: int, known: list[tuple[str, str, int]]) -> None:
    """Write a chart that goes through the frames again and again, year by year; the same for the same seed."""
    chance = random.Random(20260611)
    truth = {key: (chance.choice(SIZES), chance.choice(SIZES)) for key in known}
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write("make;model;year;upper;lower;remarks\r\n")
        for number in range(rows):
            key = known[number % len(known)]
            make, model, first = key
            if number % 50 == 7:
                model += "x"
            year = first + number // len(known) % 3
            file.write(
                f"{make};{model};{year};{truth[key][0]};{truth[key][1]};seen on the old chart, page {number}\r\n"
            )


def peak_mb() -> float:
    """Return the most memory the process has used so far, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    """Plant, write, import and print."""
    rows, frames = (int(a) for a in (*sys.argv[1:3], *("100000", "20000")[len(sys.argv) - 1 :]))
    with tempfile.TemporaryDirectory() as folder:
        engine = make_engine(f"sqlite:///{folder}/bench.db")
        migrate(engine)
        storage = SqlStorage(engine, SystemClock())
        path = Path(folder) / "chart.csv"
        write_chart(path, rows, plant(storage, frames))
        print(f"{rows} rows ({path.stat().st_size / 1e6:.1f} MB), {frames} frames; peak before {peak_mb():.0f} MB")

        def chunks() -> Iterator[bytes]:
            with path.open("rb") as file:
                while chunk := file.read(1 << 16):
                    yield chunk

        def tell(row: ChartRow, outcome: Outcome) -> None:
            """Look at neither: printing is not what is timed."""

        for name, preview in (("preview", True), ("import", False), ("again", False)):
            start, used = time.perf_counter(), time.process_time()
            with storage.reading() if preview else storage.writing() as uow:
                chart = Chart(chunks, "bench chart", "p-000000000a")
                report = import_chart(COMMAND_LINE, uow, SystemClock(), chart, tell, preview=preview)
            spent, used = time.perf_counter() - start, time.process_time() - used
            counts = ", ".join(f"{number} {outcome}" for outcome, number in sorted(report.counts.items()))
            print(f"{name:<8} {spent:6.1f} s ({used:.1f} s of processor), peak {peak_mb():.0f} MB: {counts}")
        engine.dispose()


if __name__ == "__main__":
    main()
