"""A file's path says the same as the slugs inside.

People and programs find a record by its path; two answers to "where is it" would drift apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.documents import Document, part
from boltspan.dataset.problems import Problem, shown

CODE: Final = "path"
NAME: Final = "path equals slugs"


def find(document: Document) -> Iterator[Problem]:
    """Yield a problem for each slug that differs from its part of the path, or when no record file belongs there."""
    parts = document.path.removesuffix(".json").split("/")
    if document.kind is None:
        accepted = "makes/<make>.json, frames/<make>/<model>.json, shocks/<make>/<model>.json or hardware/sizes.json"
        yield Problem(document.path, "", CODE, "no record file belongs here", document.path, accepted)
    elif document.kind == "make":
        yield from _compare(document, "/slug", part(document.data, "slug"), parts[1])
    elif document.kind in ("frames", "shocks"):
        yield from _compare(document, "/make", part(document.data, "make"), parts[1])
        yield from _compare(document, "/model/slug", part(part(document.data, "model"), "slug"), parts[2])


def _compare(document: Document, pointer: str, slug: object, wanted: str) -> Iterator[Problem]:
    if isinstance(slug, str) and slug != wanted:
        detail = "the path says another slug; rename the file or change the slug"
        yield Problem(document.path, pointer, CODE, detail, shown(slug), wanted)
