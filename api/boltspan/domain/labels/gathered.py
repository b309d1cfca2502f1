"""What stands in the text of one end: its numbers, what joins and marks them, its mounts and flags."""

from __future__ import annotations

from collections.abc import Sequence

from boltspan.domain.labels.refusals import LabelRefusalError
from boltspan.domain.labels.words import FLAG, MOUNT, NONE, ROLE, SEPARATOR, Number, Token


class Gathered:
    """The tokens of one end in order of their meaning.

    ``joins[i]`` is the separator before number i, "" for a blank; ``roles[i]`` is bolt, width or "" as a word beside
    it says. ``half_open`` says that an x has no number on one side, ``loose_role`` that a marking word has no number.
    """

    __slots__ = (
        "_opened_by", "_segment", "bearing_compatible", "half_open", "joins", "loose_role", "mounts", "none", "numbers",
        "roles",
    )  # fmt: skip

    def __init__(self) -> None:
        self.numbers: list[Number] = []
        self.joins: list[str] = []
        self.roles: list[str] = []
        self.mounts: set[str] = set()
        self.none = False
        self.bearing_compatible = False
        self.half_open = False
        self.loose_role = False
        self._segment: list[int | str] = []  # places of numbers and marking words since the last separator
        self._opened_by = ""

    def add_number(self, number: Number) -> None:
        """Take the next number."""
        self.joins.append("" if any(isinstance(item, int) for item in self._segment) else self._opened_by)
        self._segment.append(len(self.numbers))
        self.numbers.append(number)
        self.roles.append("")

    def add_role(self, role: str) -> None:
        """Take a word that marks a number as bolt or width."""
        self._segment.append(role)

    def close_segment(self, separator: str) -> None:
        """End a run of numbers and words at a separator ("" at the end of the text); give each word its number."""
        segment = self._segment
        places = [item for item in segment if isinstance(item, int)]
        if not places:
            self.half_open = self.half_open or "x" in (separator, self._opened_by)
            self.loose_role = self.loose_role or bool(segment)
        elif len(segment) > len(places):
            self._give_roles(segment, places)
        self._segment = []
        self._opened_by = separator

    def _give_roles(self, segment: list[int | str], places: list[int]) -> None:
        """A word marks the only number of its run; of several, the next one if a word stands first, else the last."""
        if len(places) == 1:
            for item in segment:
                if isinstance(item, str):
                    self._mark(places[0], item)
            return
        before = isinstance(segment[0], str)
        near: int | None = None
        for item in reversed(segment) if before else segment:
            if isinstance(item, int):
                near = item
            elif near is None:
                raise LabelRefusalError("no_number")
            else:
                self._mark(near, item)

    def _mark(self, place: int, role: str) -> None:
        if self.roles[place] not in ("", role) or (role == "width" and self.numbers[place].mark):
            raise LabelRefusalError("no_number")
        self.roles[place] = role


def gather(tokens: Sequence[Token]) -> Gathered:
    """Return what the tokens of one end hold. Raises LabelRefusalError (no_number) for words that mark no number."""
    found = Gathered()
    for token in tokens:
        if isinstance(token, Number):
            found.add_number(token)
        elif token.kind == SEPARATOR:
            found.close_segment(token.value)
        elif token.kind == ROLE:
            found.add_role(token.value)
        elif token.kind == MOUNT:
            found.mounts.add(token.value)
        elif token.kind == FLAG:
            found.bearing_compatible = True
        elif token.kind == NONE:
            found.none = True
    found.close_segment("")
    return found
