"""A dataset has a dataset.json: title, licence, whether it is invented, and up to which event it goes.

Without the event number nobody can tell an old copy from a new one, and an import could not be merged.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.layout import HEADER
from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem

CODE: Final = "dataset_file"
NAME: Final = "dataset.json is there"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem when there is no dataset.json."""
    if HEADER not in records.paths:
        yield Problem(
            HEADER, "", CODE, "there is no dataset.json, so this is no dataset", fix="boltspan dataset new DIR"
        )
