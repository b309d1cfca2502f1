"""A file has the fields, kinds and ranges that its schema gives.

The schema is published and is what other programs check against, so nothing the schema refuses may get in here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset import schemas
from boltspan.dataset.documents import Document
from boltspan.dataset.problems import Problem

CODE: Final = schemas.CODE
NAME: Final = "schema"


def find(document: Document) -> Iterator[Problem]:
    """Yield every finding of the schema of the file's kind."""
    if document.unread is None and document.kind is not None:
        yield from schemas.schema_problems(schemas.FILES[document.kind], document.data, document.path)
