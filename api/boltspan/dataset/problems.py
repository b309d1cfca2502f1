"""What a check finds wrong: where, what, what would be right, and the command that helps."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from boltspan.domain.errors import BoltspanError


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding of a check. ``code`` is the rule's; ``pointer`` a JSON Pointer (RFC 6901) into the file ``path``.

    ``nearest`` is the allowed value that comes nearest to what was got, ``fix`` a command line where one helps
    (DIR stands for the dataset's folder). A ``warning`` asks for a look and fails nothing.
    """

    path: str
    pointer: str
    code: str
    detail: str
    got: str | None = None
    accepted: str | None = None
    nearest: str | None = None
    fix: str | None = None
    warning: bool = False

    def text(self) -> str:
        """Return the problem for people, on one line or two."""
        parts = [f"{self.path}{'#' + self.pointer if self.pointer else ''}: {self.detail}"]
        parts += [
            f"{label} {value}"
            for label, value in (("got", self.got), ("accepted:", self.accepted), ("nearest:", self.nearest))
            if value is not None
        ]
        line = "; ".join(parts) + f" [{self.code}{', warning' if self.warning else ''}]"
        return line if self.fix is None else f"{line}\n  fix: {self.fix}"


class DatasetBroken(BoltspanError):
    """The files in the folder ``root`` break one rule or more; ``problems`` holds every one found."""

    code = "dataset_broken"

    def __init__(self, root: Path, problems: Iterable[Problem]) -> None:
        self.root = root
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(p.text() for p in self.problems))


def nearest(got: object, allowed: Sequence[str]) -> str | None:
    """Return the allowed word most like ``got``, or None when none is alike."""
    found = difflib.get_close_matches(str(got), allowed, n=1)
    return found[0] if found else None


def shown(value: object) -> str:
    """Return a value as a problem shows it: at most 80 characters."""
    return str(value)[:80]


def pointer_order(pointer: str) -> list[tuple[int, int, str]]:
    """Return a sorting key that puts /frames/2 before /frames/10."""
    return [(0, int(part), "") if part.isdigit() else (1, 0, part) for part in pointer.split("/")[1:]]


def escaped(key: str) -> str:
    """Return ``key`` as a part of a JSON Pointer (RFC 6901, section 3)."""
    return key.replace("~", "~0").replace("/", "~1")
