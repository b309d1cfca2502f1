"""Prints how long a release of many frames takes to build and to verify, and how much memory that needs.

    PYTHONPATH=api:. python tests/benchmarks/bench_release.py [frames] [folder]

The frames are invented: fifty a model, two claims each. They are stored in a SQLite file in ``folder`` (a temporary one
by default; a file that is there already is used again), and the release is built by a process of its own, whose
largest resident size is printed. Nothing is judged.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from tests.dataset import release_sample as sample
from tests.domain.builders import SIZE, page

from boltspan.domain.frames import Frame, Model
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import StoredFrame, UnitOfWork
from boltspan.services.publish import build_release, verify_release
from boltspan.services.publishing import republish
from boltspan.storage import SqlStorage, make_engine, migrate

PER_MODEL = 50
MODELS_AT_ONCE = 40


def add_model(uow: UnitOfWork, number: int) -> list[Frame]:
    """Store a model with its frames and claims, and return the frames."""
    model = Model("tarnvale", f"skerry-{number:05d}", f"Skerry {number}")
    uow.events.record(None, "model_added", payload={"make_slug": model.make, "model": model_json(model)})
    uow.catalogue.put_model(model)
    first = number * PER_MODEL
    frames = [replace(sample.frames()[0], id=f"f-{n:010d}", model=model.slug) for n in range(first, first + PER_MODEL)]
    for place, frame in enumerate(frames, first):
        sequence = uow.events.record(None, "frame_added", frame=frame.id, payload={"frame": frame_json(frame)})
        uow.catalogue.put_frame(StoredFrame(frame, sequence=sequence))
        claims = [page(place * 2 + i, SIZE, of=frame, document=f"example.org/{place}/{i}") for i in (0, 1)]
        uow.statements.add_claims(replace(c, sequence=sequence) for c in claims)
    return frames


def fill(storage: SqlStorage, count: int) -> None:
    """Store ``count`` frames, rounded up to whole models."""
    with storage.writing() as uow:
        make = sample.MAKES[0]
        uow.events.record(None, "make_added", payload={"make": make_json(make)})
        uow.catalogue.put_make(make)
    models = -(-count // PER_MODEL)
    for start in range(0, models, MODELS_AT_ONCE):
        with storage.writing() as uow:
            numbers = range(start, min(models, start + MODELS_AT_ONCE))
            frames = [f for number in numbers for f in add_model(uow, number)]
            republish(uow, [f.id for f in frames])


def opened(folder: Path) -> SqlStorage:
    return SqlStorage(make_engine(f"sqlite:///{folder / 'bench.db'}"), SystemClock())


def build(folder: Path) -> None:
    """Build and verify in this process, and print what it took."""
    start = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    began = time.perf_counter()
    release = build_release(COMMAND_LINE, opened(folder), folder)
    built = time.perf_counter()
    problems = verify_release(folder / "releases" / release.version)
    verified = time.perf_counter()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    size = sum(f["bytes"] for f in release.manifest["files"])
    print(f"build   {built - began:8.1f} s   {size / 1e6:.0f} MB written")
    print(f"verify  {verified - built:8.1f} s   {len(problems)} problems")
    print(f"memory  {start / 1024:8.0f} MB before, {peak / 1024:.0f} MB at most")


def main(count: int, folder: Path) -> None:
    """Fill a database when there is none, then build in a process of its own."""
    if not (folder / "bench.db").exists():
        storage = opened(folder)
        migrate(storage.engine)
        fill(storage, count)
        storage.engine.dispose()
    print(f"{count} frames", flush=True)
    subprocess.run([sys.executable, __file__, "--build", str(folder)], check=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--build"]:
        build(Path(sys.argv[2]))
    elif len(sys.argv) > 2:
        main(int(sys.argv[1]), Path(sys.argv[2]))
    else:
        with tempfile.TemporaryDirectory() as temporary:
            main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000, Path(temporary))
