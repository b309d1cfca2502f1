"""Where the folders that come with the package are: one resolver for installed and checked-out copies."""

from __future__ import annotations

from pathlib import Path
from typing import Final

_PACKAGE: Final = Path(__file__).resolve().parent.parent


def dataset_folder() -> Path:
    """Return the folder of the shipped dataset."""
    return _shipped("dataset")


def schema_folder() -> Path:
    """Return the folder of the schemas."""
    return _shipped("schema")


def _shipped(name: str) -> Path:
    """Return the folder ``name`` that came with the package.

    It is ``_data`` beside the package's own files when installed from a wheel, else the checkout's top level, two
    folders above the package. The search starts from this file and never from the import path, where a stale copy may
    lie. Raises FileNotFoundError naming both places when neither is there.
    """
    places = (_PACKAGE / "_data" / name, _PACKAGE.parent.parent / name)
    for place in places:
        if place.is_dir():
            return place
    raise FileNotFoundError(f"the folder {name!r} is neither at {places[0]} nor at {places[1]}")
