"""What a change of records does to the answers built from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from boltspan.dataset.contents import Dataset, Entry
from boltspan.domain.findings import Finding, find
from boltspan.domain.subjects import Record, kind_of


@dataclass(frozen=True, slots=True)
class AnswerChange:
    """The answer on one subject of a frame or shock before and after; None where the frame answers for nothing.

    ``name`` is how people call the frame: make, model, years.
    """

    frame: str
    name: str
    subject: str
    before: Finding | None
    after: Finding | None

    def text(self) -> str:
        """Return the change for people: "Tarnvale Skerry 2021 to 2023 (f-...), upper: M8 x 22.2 (...) -> ..."."""
        return f"{self.name} ({self.frame}), {self.subject}: {_answer(self.before)} -> {_answer(self.after)}"


def answer_changes(before: Dataset, after: Dataset) -> list[AnswerChange]:
    """Return every answer that differs between two datasets, by frame in the order of ``after``; [] when none does.

    An answer differs when value, standing, advice or being contested does, or when a frame begins or ends to answer.
    Frames that stand only in ``before`` come last.
    """
    old: dict[str, Entry] = {e.about.id: e for e in before.made}
    new: dict[str, Entry] = {e.about.id: e for e in after.made}
    names = _names(before) | _names(after)
    return [
        change
        for frame in (*new, *(f for f in old if f not in new))
        if old.get(frame) != new.get(frame)
        for change in _of_frame(old.get(frame), new.get(frame), names)
    ]


def _of_frame(before: Entry | None, after: Entry | None, names: Mapping[tuple[str, ...], str]) -> list[AnswerChange]:
    some = after or before
    assert some is not None, "a frame stands in one of the two"
    old, new = _findings(before), _findings(after)
    title = _title(some.about, names)
    return [
        AnswerChange(some.about.id, title, subject, old.get(subject), new.get(subject))
        for subject in dict.fromkeys((*new, *old))
        if _said(old.get(subject)) != _said(new.get(subject))
    ]


def _findings(entry: Entry | None) -> dict[str, Finding]:
    if entry is None or not entry.about.live:
        return {}
    return {s: find(entry.about, s, entry.claims_on(s), entry.decisions_on(s)) for s in entry.about.subjects}


def _said(finding: Finding | None) -> tuple[object, ...] | None:
    return None if finding is None else (finding.value, finding.standing, finding.advice, finding.contested)


def _answer(finding: Finding | None) -> str:
    if finding is None:
        return "no answer"
    value = "no value" if finding.value is None else finding.value.label
    return f"{value} ({finding.standing}{', contested' if finding.contested else ''}, {finding.advice})"


def _names(dataset: Dataset) -> dict[tuple[str, ...], str]:
    found: dict[tuple[str, ...], str] = {(m.slug,): m.name for m in dataset.makes}
    found |= {(m.make, m.slug): m.name for m in dataset.models}
    return found | {("shock", m.make, m.slug): m.name for m in dataset.shock_models}


def _title(frame: Record, names: Mapping[tuple[str, ...], str]) -> str:
    key = (frame.make, frame.model) if kind_of(frame.id) == "frame" else ("shock", frame.make, frame.model)
    make, model = names.get((frame.make,), frame.make), names.get(key, frame.model)
    years = frame.years
    return f"{make} {model} {years.start} {'on' if years.end is None else f'to {years.end}'}"
