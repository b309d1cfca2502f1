"""A file is laid out in the one way: key order, sorting, indent, final newline.

Files that differ only in layout would hide a change among moved lines, and an untouched export could not come out
byte for byte the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.documents import Document
from boltspan.dataset.formatting import formatted
from boltspan.dataset.problems import Problem, shown

CODE: Final = "format"
NAME: Final = "layout of the text"


def find(document: Document) -> Iterator[Problem]:
    """Yield one problem, naming the first line that is laid out otherwise."""
    wanted = formatted(document)
    if wanted is None or wanted == document.raw:
        return
    number, got, accepted = _first_difference(document.raw.decode(), wanted.decode())
    detail = f"line {number} is laid out otherwise"
    yield Problem(document.path, "", CODE, detail, shown(got), shown(accepted), fix="boltspan dataset format DIR")


def _first_difference(got: str, wanted: str) -> tuple[int, str, str]:
    ours, theirs = [*_lines(got), "(end of file)"], [*_lines(wanted), "(end of file)"]
    place = next(i for i, (a, b) in enumerate(zip(ours, theirs, strict=False)) if a != b)
    return place + 1, ours[place] or "(blank)", theirs[place] or "(blank)"


def _lines(text: str) -> list[str]:
    """Return the lines as a problem shows them; what stands after the last line end is marked."""
    *lines, last = text.split("\n")
    return [*lines, f"{last} (no line end)"] if last else lines
