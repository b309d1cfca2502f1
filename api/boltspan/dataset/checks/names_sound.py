"""Names of makes and models are written as they are read: visible letters of one script, single blanks.

A look-alike letter or a hidden mark makes a second maker out of one, and a search finds neither.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.documents import Document, part
from boltspan.dataset.problems import Problem, shown
from boltspan.domain.errors import InvalidInput
from boltspan.domain.names import name

CODE: Final = "name"
NAME: Final = "sound names"


def find(document: Document) -> Iterator[Problem]:
    """Yield a problem for each name or alias that is no sound name, or is not written in its plain form."""
    if document.kind == "make":
        yield from _names(document, "", document.data)
    elif document.kind in ("frames", "shocks"):
        yield from _names(document, "/model", part(document.data, "model"))


def _names(document: Document, pointer: str, owner: object) -> Iterator[Problem]:
    aliases = part(owner, "aliases")
    given = [(f"{pointer}/name", part(owner, "name"))]
    given += [(f"{pointer}/aliases/{i}", a) for i, a in enumerate(aliases if isinstance(aliases, list) else [])]
    for at, written in given:
        if not isinstance(written, str):
            continue
        try:
            read = name(written, at)
        except InvalidInput as e:
            for p in e.problems:
                yield Problem(document.path, at, CODE, p.detail, p.got, p.accepted)
        else:
            if read != written:
                yield Problem(document.path, at, CODE, "the name is not written as it is read", shown(written), read)
