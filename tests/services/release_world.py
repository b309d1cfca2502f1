"""A storage filled with the sample of the release tests, as a dataset would fill it, and a builder to be killed."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from boltspan.domain.frames import Frame
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.services import publish
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import Storage, StoredFrame, StoredRelease, UnitOfWork
from boltspan.services.publishing import republish
from tests.dataset import release_sample as sample
from tests.domain.builders import SIZE, page


def fill(storage: Storage) -> None:
    """Store the sample: each record with one event."""
    with storage.writing() as uow:
        for name, value in (("title", "Demo: invented frames"), ("licence", "CC0-1.0"), ("demo", "true")):
            uow.settings.put(name, value)
        for make in sample.MAKES:
            uow.events.record(None, "make_added", payload={"make": make_json(make)})
            uow.catalogue.put_make(make)
        for model in sample.MODELS:
            payload = {"make_slug": model.make, "model": model_json(model)}
            uow.events.record(None, "model_added", payload=payload)
            uow.catalogue.put_model(model)
        for entry in reversed(sample.entries()):  # in another order than a release has them
            sequence = add_frame(uow, entry.frame)
            uow.statements.add_claims(replace(c, sequence=sequence) for c in reversed(entry.claims))
            uow.statements.add_decisions(replace(d, sequence=sequence) for d in entry.decisions)
        republish(uow, [e.frame.id for e in sample.entries()])


def add_frame(uow: UnitOfWork, frame: Frame) -> int:
    """Store a frame and return the number of its event."""
    sequence = uow.events.record(None, "frame_added", frame=frame.id, payload={"frame": frame_json(frame)})
    uow.catalogue.put_frame(StoredFrame(frame, sequence=sequence))
    return sequence


def add_frames(storage: Storage, first: int, count: int) -> None:
    """Store ``count`` frames of the sample's model, numbered from ``first``, each with a claim."""
    template = sample.frames()[0]
    frames = [replace(template, id=f"f-{n:010d}") for n in range(first, first + count)]
    with storage.writing() as uow:
        for number, frame in enumerate(frames, first):
            sequence = add_frame(uow, frame)
            claim = page(number, SIZE, of=frame, document=f"example.org/{number}")
            uow.statements.add_claims([replace(claim, sequence=sequence)])
        republish(uow, [f.id for f in frames])


def built(storage: Storage, data: Path) -> StoredRelease:
    """Build a release as the command line does."""
    return publish.build_release(COMMAND_LINE, storage, data)


def files(folder: Path) -> dict[str, bytes]:
    """Return the bytes of every file in a folder, by name."""
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def shown(data: Path) -> set[str]:
    """Return the names in the folder of releases, but for the lock."""
    return {p.name for p in (data / "releases").iterdir()} - {".lock"}


def change(storage: Storage) -> None:
    """Let something happen: one more frame."""
    with storage.reading() as uow:
        number = 100 + uow.events.last()
    add_frames(storage, number, 1)


def path_in(data: Path, release: StoredRelease, name: str) -> Path:
    """Return the path of a release's file."""
    return data / "releases" / release.version / name


def build(url: str, data: Path, hook: str) -> None:
    """Build a release in this process; with a ``hook`` kill it there: before or after the release appears."""
    import os
    import signal

    from boltspan.dataset.releasing.folder import ReleaseFolder
    from boltspan.services.clock import SystemClock
    from boltspan.storage import SqlStorage, make_engine

    real = ReleaseFolder.place

    def place(self: ReleaseFolder, stage: Path, version: str) -> None:
        if hook == "before":
            os.kill(os.getpid(), signal.SIGKILL)
        real(self, stage, version)
        if hook == "after":
            os.kill(os.getpid(), signal.SIGKILL)

    ReleaseFolder.place = place  # type: ignore[method-assign]
    storage = SqlStorage(make_engine(url), SystemClock())
    print("ready", flush=True)
    print(built(storage, data).version, flush=True)


if __name__ == "__main__":
    build(sys.argv[1], Path(sys.argv[2]), sys.argv[3])
