"""The rules a dataset keeps: one a file, each with a code, a name and a reason. All that is wrong is told at once.

Rules about one file come first, the more particular before the schema: where both name one place, the particular one
speaks. Then the domain reads the records (code ``record``), then the rules about many records together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Protocol

from boltspan.dataset import reading
from boltspan.dataset.checks import (
    claim_years,
    dataset_file,
    decision_grounds,
    demo_marked,
    duplicate_claims,
    ends_pair,
    formatted,
    ids_unique,
    json_strict,
    make_known,
    names_sound,
    names_unique,
    parts_told_apart,
    path_equals_slugs,
    person_ids,
    reversals,
    schema,
    sold_with,
    subject_of_frame,
    successors,
    years_overlap,
)
from boltspan.dataset.documents import Document
from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem, pointer_order


class Rule(Protocol):
    """What every rule's module has: a stable code, a name, and the reason in its docstring."""

    @property
    def CODE(self) -> str: ...  # noqa: N802
    @property
    def NAME(self) -> str: ...  # noqa: N802
    @property
    def __doc__(self) -> str | None: ...  # type: ignore[override]


class DocumentRule(Rule, Protocol):
    """A rule about one file by itself."""

    def find(self, document: Document) -> Iterator[Problem]: ...


class RecordRule(Rule, Protocol):
    """A rule about all records together."""

    def find(self, records: Records) -> Iterator[Problem]: ...


DOCUMENT_RULES: Final[tuple[DocumentRule, ...]] = (
    json_strict,
    path_equals_slugs,
    names_sound,
    ends_pair,
    subject_of_frame,
    person_ids,
    schema,
    formatted,
)
RECORD_RULES: Final[tuple[RecordRule, ...]] = (
    dataset_file,
    make_known,
    ids_unique,
    names_unique,
    years_overlap,
    claim_years,
    decision_grounds,
    reversals,
    successors,
    parts_told_apart,
    sold_with,
    duplicate_claims,
    demo_marked,
)
RULES: Final[dict[str, str]] = {rule.CODE: rule.NAME for rule in (*DOCUMENT_RULES, *RECORD_RULES)} | {
    reading.CODE: "records make sense"
}
"""The name of every rule by its code."""


@dataclass(frozen=True, slots=True)
class Checked:
    """The records that could be read, and every problem, by file and place."""

    records: Records
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that are no mere warnings."""
        return tuple(p for p in self.problems if not p.warning)


def check(documents: Iterable[Document], *, layout: bool = True) -> Checked:
    """Return what the documents of one dataset say, and all that is wrong with them.

    Without ``layout`` it does not matter how their text is laid out, and the check takes half the time.
    """
    rules = [rule for rule in DOCUMENT_RULES if layout or rule is not formatted]
    found: list[Problem] = []
    reader = reading.Reader()
    for document in documents:
        told = [p for rule in rules for p in rule.find(document)]
        reader.read(document, frozenset(p.pointer for p in told if p.code == schema.CODE))
        found += told
    records = reader.records()
    return Checked(records, tuple(_told_once([*found, *reader.problems, *_record_problems(records)])))


def check_records(records: Records) -> list[Problem]:
    """Return what the rules about many records find wrong in ``records``."""
    return _told_once(_record_problems(records))


def _record_problems(records: Records) -> Iterable[Problem]:
    return (p for rule in RECORD_RULES for p in rule.find(records))


def _told_once(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems by file and place; where several rules name one place, those of the first rule."""
    first: dict[tuple[str, str], str] = {}
    kept = [p for p in problems if first.setdefault((p.path, p.pointer), p.code) == p.code]
    return sorted(kept, key=lambda p: (p.path, pointer_order(p.pointer), p.code, p.detail))
