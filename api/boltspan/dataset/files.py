"""Reading and writing a dataset's folder."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from boltspan.dataset.checks import Checked, check
from boltspan.dataset.contents import Dataset
from boltspan.dataset.documents import Document, documents_in, frames_in
from boltspan.dataset.formatting import file_text
from boltspan.dataset.formatting import formatted as formatted_bytes
from boltspan.dataset.layout import HEADER, documents_of, kind_of
from boltspan.dataset.problems import DatasetBroken
from boltspan.domain.errors import Clash
from boltspan.domain.fields import text_from

LICENCE: Final = "CC0-1.0"
_UNFINISHED: Final = ".part"


def check_folder(root: Path) -> Checked:
    """Return what the files in ``root`` say and every problem with them. A missing folder has no dataset.json."""
    return check(documents_in(root))


def read_dataset(root: Path) -> Dataset:
    """Return the dataset in the folder ``root``.

    Raises DatasetBroken with every problem found. Files that are only laid out otherwise are read; mere warnings do
    not stand in the way either.
    """
    checked = check(documents_in(root), layout=False)
    if checked.errors:
        raise DatasetBroken(root, list(checked.errors))
    return checked.records.whole()


def write_dataset(dataset: Dataset, root: Path) -> list[str]:
    """Write ``dataset`` to the folder ``root`` and return the paths that changed, in the order written.

    Each file is replaced whole or not at all, dataset.json last; a file that is right already is left alone. A file
    whose frames now all stand in others is removed. Nothing else in the folder is touched. Raises OSError when the
    folder cannot be written; what was written by then stays, and the same call again completes it.
    """
    documents = documents_of(dataset)
    changed = [path for path, data in documents.items() if path != HEADER and _put(root, path, data)]
    changed += _remove_moved(root, dataset, set(documents))
    if _put(root, HEADER, documents[HEADER]):
        changed.append(HEADER)
    return changed


def format_folder(root: Path) -> list[str]:
    """Lay every file in ``root`` out in the one form and return the paths that changed.

    A file that is no strict JSON, holds a null or belongs elsewhere is left as it is; ``check_folder`` tells about it.
    """
    changed = []
    for document in documents_in(root):
        wanted = formatted_bytes(document)
        if wanted is not None and wanted != document.raw:
            _replace(root / document.path, wanted)
            changed.append(document.path)
    return changed


def new_dataset(root: Path, title: str) -> None:
    """Start a real, empty dataset in ``root``, which is made when missing.

    Raises Clash when there is one already, InvalidInput for a title that is no plain text, OSError as
    ``write_dataset``.
    """
    if (root / HEADER).exists():
        raise Clash(f"{root / HEADER} is there already")
    write_dataset(Dataset(text_from(title, "/title", 200), LICENCE, demo=False, head=0), root)


def _put(root: Path, path: str, data: object) -> bool:
    """Write the file at ``path`` unless it says just this already; return whether it was written."""
    kind = kind_of(path)
    assert kind is not None, "documents_of gives only paths of record files"
    wanted, file = file_text(data, kind), root / path
    if file.is_file() and file.read_bytes() == wanted:
        return False
    _replace(file, wanted)
    return True


def _replace(file: Path, content: bytes) -> None:
    """Put ``content`` in the place of ``file``: written beside it, on the disk, then renamed over it."""
    file.parent.mkdir(parents=True, exist_ok=True)
    beside = file.with_name(f".{file.name}{_UNFINISHED}")
    try:
        with beside.open("wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        beside.replace(file)
    except OSError:
        beside.unlink(missing_ok=True)
        raise
    _sync_folder(file.parent)


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove_moved(root: Path, dataset: Dataset, written: set[str]) -> list[str]:
    """Remove files of records that now stand under another path; a file with any other record, or none, stays."""
    known = {entry.about.id for entry in dataset.made}
    removed = []
    for document in documents_in(root):
        if document.path not in written and _all_frames_in(document, known):
            (root / document.path).unlink()
            removed.append(document.path)
    return removed


def _all_frames_in(document: Document, known: set[str]) -> bool:
    ids = [frame.get("id") for _, frame in frames_in(document.data)]
    return document.kind in ("frames", "shocks") and bool(ids) and all(i in known for i in ids)
