"""The folder of the releases: a new one is built out of sight and appears whole, under one builder at a time."""

from __future__ import annotations

import errno
import fcntl
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from boltspan.dataset.releasing.files import CHECKSUMS_FILE
from boltspan.dataset.releasing.verifying import verify_files
from boltspan.domain.errors import Clash, StorageFull

BUILDING: Final = ".building-"
"""Start of the name of a folder that is not a release yet. One left by a builder that was killed goes at the next
build."""
_LOCK: Final = ".lock"
_FILE_MODE: Final = 0o444
_FOLDER_MODE: Final = 0o755
_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})


class ReleaseFolder:
    """``releases`` in the data folder, one folder a version."""

    def __init__(self, data: Path) -> None:
        self.root = data / "releases"

    def of(self, version: str) -> Path:
        """Return the folder of a release, whether it is there or not. ``version`` comes from the database."""
        return self.root / version

    @contextmanager
    def building(self) -> Iterator[Path]:
        """Give an empty folder to build in, and remove it in the end unless it was placed.

        Leftovers of killed builders are removed first. Raises Clash while somebody else builds, StorageFull when
        there is no room.
        """
        with _room():
            self.root.mkdir(parents=True, exist_ok=True)
            with (self.root / _LOCK).open("w") as lock:
                try:
                    fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)  # the kernel lets go when the builder dies
                except BlockingIOError:
                    raise Clash("a release is being built; try again when it is there") from None
                self._sweep()
                stage = Path(tempfile.mkdtemp(prefix=BUILDING, dir=self.root))
                try:
                    yield stage
                finally:
                    shutil.rmtree(stage, ignore_errors=True)

    def _sweep(self) -> None:
        for left in self.root.glob(f"{BUILDING}*"):
            shutil.rmtree(left)

    def holds_alike(self, stage: Path, version: str) -> bool:
        """Return whether the release is there already, whole and with the same files as ``stage``."""
        there = self.of(version)
        if not (there / CHECKSUMS_FILE).is_file():
            return False
        same = (there / CHECKSUMS_FILE).read_bytes() == (stage / CHECKSUMS_FILE).read_bytes()
        return same and not verify_files(there)

    def place(self, stage: Path, version: str) -> None:
        """Let the release appear: all its bytes are on the disk before its name is.

        Files become read-only. ``version`` must not be there yet.
        """
        for file in sorted(stage.iterdir()):
            file.chmod(_FILE_MODE)
            _sync(file)
        stage.chmod(_FOLDER_MODE)
        _sync(stage)
        stage.rename(self.of(version))
        _sync(self.root)


def empty(folder: Path) -> None:
    """Remove the files in ``folder``."""
    for file in folder.iterdir():
        file.unlink()


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _room() -> Iterator[None]:
    try:
        yield
    except OSError as e:
        if e.errno in _FULL:
            raise StorageFull("there is no room for the release; nothing of it was kept") from e
        raise
