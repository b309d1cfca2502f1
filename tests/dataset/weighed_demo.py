"""The shipped dataset in a database, weighed, as a first start makes it: findings as they are answered."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

from boltspan.dataset.files import read_dataset
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.findings import Finding
from boltspan.services.clock import SystemClock
from boltspan.services.datasets import fill
from boltspan.services.publishing import findings_of
from boltspan.storage import SqlStorage, make_engine, migrate


@cache
def filled() -> SqlStorage:
    """Return a database that was filled from the shipped dataset; it goes with the process."""
    folder = Path(tempfile.mkdtemp(prefix="boltspan-demo-"))
    engine = make_engine(f"sqlite:///{folder / 'boltspan.sqlite'}")
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    with storage.writing() as uow:
        fill(uow, read_dataset(dataset_folder()), SystemClock())
    return storage


@cache
def findings() -> dict[str, dict[str, Finding]]:
    """Return the finding on each subject of every frame that answers."""
    with filled().reading() as uow:
        live = [s.frame for s in uow.catalogue.every_frame() if s.frame.live]
        return {frame: {f.subject: f for f in found} for frame, found in findings_of(uow, live).items()}
