"""Forms that lose nothing: what was typed comes back with what is wrong beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from boltspan.domain.errors import FieldProblem, InvalidInput


@dataclass
class Filled:
    """A form as it was filled in: texts by field, what is wrong by field, and what is wrong with the whole."""

    texts: Mapping[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    whole: list[str] = field(default_factory=list)

    def text(self, name: str, otherwise: str = "") -> str:
        """Return what was typed into a field."""
        return self.texts.get(name, otherwise)

    @property
    def failed(self) -> bool:
        """Whether anything is wrong."""
        return bool(self.wrong or self.whole)

    def tell(self, error: InvalidInput, field_of: Callable[[str], str | None]) -> None:
        """Take up an error's problems, each at the field that ``field_of`` names for its pointer."""
        for problem in error.problems:
            name = field_of(problem.pointer)
            if name is None:
                self.whole.append(in_words(problem))
            else:
                self.wrong.setdefault(name, in_words(problem))


def in_words(problem: FieldProblem) -> str:
    """Return a problem as a sentence or two: what is wrong, and what is wanted."""
    detail = problem.detail[:1].upper() + problem.detail[1:].rstrip(".") + "."
    return f"{detail} Wanted: {problem.accepted}." if problem.accepted else detail
