"""A world as files: a dataset's folder, and the truth beside it, written as it is made."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from boltspan.dataset.contents import Dataset
from boltspan.dataset.files import LICENCE
from boltspan.dataset.formatting import file_text
from boltspan.dataset.layout import HEADER, documents_of, kind_of, make_path
from boltspan.domain.jsontext import dumps
from tests.worlds.progress import shown
from tests.worlds.world import InventedModel, World

TRUTH: Final = "truth.jsonl"
PEOPLE: Final = "people.jsonl"


def write_world(world: World, folder: Path) -> None:
    """Write ``world`` into ``folder``, which is made when missing and must hold no dataset yet.

    It becomes a dataset's folder; ``truth.jsonl`` (a line a frame) and ``people.jsonl`` (a line a contributor) stand
    beside dataset.json, which comes last. One model is held in memory at a time. Raises FileExistsError when a dataset
    stands there.
    """
    if (folder / HEADER).exists():
        raise FileExistsError(f"{folder / HEADER} is there already")
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / PEOPLE).open("w", encoding="utf-8", newline="\n") as out:
        for person in world.people():
            out.write(dumps(person.as_json()) + "\n")
    records, make = 0, ""
    with (folder / TRUTH).open("w", encoding="utf-8", newline="\n") as out:
        for model in shown(world.models(), world.frames, "frames", size=lambda m: len(m.frames)):
            for _, truth in model.frames:
                out.write(dumps(truth.as_json()) + "\n")
            _put(folder, documents(model), but=make_path(make))
            records += 1 + len(model.frames) + (model.make.slug != make)
            make = model.make.slug
    _put(folder, {HEADER: documents_of(dataset_of(world, records))[HEADER]})


def dataset_of(world: World, head: int = 0) -> Dataset:
    """Return the dataset's title and marks without its records; ``head`` is the event it was exported at."""
    return Dataset(f"Invented frames of world {world.seed}: no such bikes exist", LICENCE, demo=True, head=head)


def documents(model: InventedModel) -> Mapping[str, Any]:
    """Return the files of one model and its make, by path."""
    entries = tuple(entry for entry, _ in model.frames)
    whole = documents_of(Dataset("", LICENCE, True, 0, (model.make,), (model.model,), entries))
    return {path: data for path, data in whole.items() if path != HEADER}


def _put(folder: Path, files: Mapping[str, Any], but: str = "") -> None:
    for path, data in files.items():
        if path == but:
            continue
        kind = kind_of(path)
        assert kind is not None
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(file_text(data, kind))
