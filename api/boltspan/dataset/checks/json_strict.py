"""A record file is strict JSON: UTF-8, no key twice, no NaN, no number out of range, no NUL.

Readers differ in what they make of anything looser: most keep the last of two equal keys, so that a claim can vanish
without a word.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.documents import Document
from boltspan.dataset.problems import Problem

CODE: Final = "json"
NAME: Final = "strict JSON"


def find(document: Document) -> Iterator[Problem]:
    """Yield a problem when the file cannot be read."""
    if document.unread is not None:
        yield Problem(document.path, "", CODE, f"not strict JSON: {document.unread}")
