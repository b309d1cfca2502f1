"""Prints how long reading and finding take among 20 thousand frames (or as many as given), on either database.

    python tests/benchmarks/bench_storage.py [frames] [database URL]

Without a URL a SQLite file in a temporary folder is used; a database that is given must be new. The records are
invented. The fastest of five runs is printed; nothing is judged.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from decimal import Decimal

from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding
from boltspan.domain.frames import Frame, Make, Model, Years
from boltspan.domain.sources import Source
from boltspan.domain.values import EndValue
from boltspan.services.clock import SystemClock
from boltspan.services.protocols import Encoded, FrameQuery, StoredFrame, UnitOfWork
from boltspan.storage import SqlStorage, make_engine, migrate

MAKES, MODELS = 12, 100
SOURCE = Source("spec_page", "p-4f7h2j9s1d", "2026-03-04", document="example.org/page")
BODY = b"x" * 1000


def frame_id(number: int) -> str:
    """Return the id of the frame of this number."""
    return f"f-{number:010d}"


def fill(unit: UnitOfWork, frames: int) -> None:
    """Store ``frames`` frames with two claims an end, their findings and answers."""
    for make in range(MAKES):
        unit.catalogue.put_make(Make(f"make-{make}", f"Make {make}"))
        for model in range(MODELS):
            unit.catalogue.put_model(Model(f"make-{make}", f"model-{model}", f"Model {model}"))
    for n in range(frames):
        name, value = frame_id(n), EndValue("hardware", Decimal(8), Decimal(20) + Decimal(n % 100) / 10)
        sequence = unit.events.record(None, "frame_added", frame=name, payload={"frame": {"id": name}})
        place = (f"make-{n % MAKES}", f"model-{n // MAKES % MODELS}")
        years = Years(2013 + n % 10, 2014 + n % 10)
        unit.catalogue.put_frame(
            StoredFrame(Frame(name, *place, "frame", years, ("upper", "lower")), sequence=sequence)
        )
        unit.statements.add_claims(
            Claim(f"c-{n:09d}{k}", name, ("upper", "lower")[k % 2], SOURCE, value, sequence=sequence) for k in range(4)
        )
        unit.findings.put(name, [Finding(end, "settled", "sell", value) for end in ("upper", "lower")])
    unit.published.put(Encoded(f"/v1/frames/{frame_id(n)}", BODY, '"x"', n) for n in range(frames))


def readings(frames: int) -> dict[str, Callable[[UnitOfWork], object]]:
    """Return what is measured, by name."""
    ids = [frame_id(n) for n in range(frames)]
    size = FrameQuery(bolt_mm=Decimal(8), width_mm=Decimal("22.2"))
    return {
        "all published answers": lambda u: sum(1 for _ in u.published.newest(frames)),
        "nothing newer published": lambda u: list(u.published.since(frames)),
        "every frame": lambda u: sum(1 for _ in u.catalogue.every_frame()),
        "claims of all frames": lambda u: u.statements.claims_of_frames(ids),
        "50 frames by size": lambda u: u.catalogue.find(size),
        "50 frames by standing": lambda u: u.catalogue.find(FrameQuery(standing="settled")),
        "frames of a model and year": lambda u: u.catalogue.find(FrameQuery("make-1", "model-1", year=2016)),
        "one frame": lambda u: u.catalogue.frame(ids[frames // 2]),
    }


def fastest(storage: SqlStorage, read: Callable[[UnitOfWork], object]) -> float:
    """Return the seconds that the fastest of five units of work took."""
    runs = []
    for _ in range(5):
        start = time.perf_counter()
        with storage.reading() as unit:
            read(unit)
        runs.append(time.perf_counter() - start)
    return min(runs)


def main(arguments: list[str]) -> None:
    """Fill a new database and print what reading it takes."""
    frames = int(arguments[0]) if arguments else 20_000
    with tempfile.TemporaryDirectory() as folder:
        engine = make_engine(arguments[1] if len(arguments) > 1 else f"sqlite:///{folder}/boltspan.db")
        storage = SqlStorage(engine, SystemClock())
        migrate(engine)
        start = time.perf_counter()
        with storage.writing() as unit:
            fill(unit, frames)
        print(f"{'filling ' + str(frames) + ' frames':30} {time.perf_counter() - start:10.2f} s")
        for name, read in readings(frames).items():
            print(f"{name:30} {fastest(storage, read) * 1000:10.2f} ms")
        engine.dispose()


if __name__ == "__main__":
    main(sys.argv[1:])
