"""Whoever said, measured or ruled stands in the files as an opaque id, never by name.

The files are public and copied for good; a name in them could not be taken back.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.documents import Document, frames_in, sources_in, statements_in
from boltspan.dataset.problems import Problem, shown
from boltspan.domain.ids import RULE_AUTHOR, is_id

CODE: Final = "person"
NAME: Final = "people by opaque ids"


def find(document: Document) -> Iterator[Problem]:
    """Yield a problem for each author of a source or decision that is no person's id."""
    if document.kind not in ("frames", "shocks", "hardware"):
        return
    for pointer, source in sources_in(document.data):
        yield from _check(document.path, pointer, source.get("by"), rule_too=False)
    for at, frame in frames_in(document.data):
        for _, pointer, decision in statements_in(at, frame, "decisions"):
            yield from _check(document.path, pointer, decision.get("by"), rule_too=True)


def _check(path: str, pointer: str, by: object, *, rule_too: bool) -> Iterator[Problem]:
    if not isinstance(by, str) or is_id("person", by) or (rule_too and by == RULE_AUTHOR):
        return
    accepted = "p- and ten of 0-9 and a-z without i, l and o" + (f", or {RULE_AUTHOR}" if rule_too else "")
    detail = "a person stands here by an opaque id, never by name"
    yield Problem(path, f"{pointer}/by", CODE, detail, shown(by), accepted, fix="boltspan id person")
