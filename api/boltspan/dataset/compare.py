"""What a change of records does to the answers built from them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from boltspan.dataset.contents import Dataset, Entry, FrameEntry
from boltspan.domain.findings import Finding, find
from boltspan.domain.subjects import Record, kind_of
from boltspan.domain.weighed import Weighed


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


Weigher = Callable[[Sequence[FrameEntry]], Mapping[str, Mapping[str, Weighed]]]
"""Says what the evidence makes of frames, by frame and end; a frame or end that is missing was not weighed."""
_BATCH: Final = 500


def _unweighed(_: Sequence[FrameEntry]) -> Mapping[str, Mapping[str, Weighed]]:
    return {}


def answer_changes(
    before: Dataset, after: Dataset, weighed_before: Weigher = _unweighed, weighed_after: Weigher = _unweighed
) -> list[AnswerChange]:
    """Return every answer that differs between two datasets, by frame in the order of ``after``; [] when none does.

    An answer differs when value, standing, advice or being contested does, or when a frame begins or ends to answer.
    Frames that stand only in ``before`` come last. The weighers are asked for what changed alone, a batch at a time.
    """
    old: dict[str, Entry] = {e.about.id: e for e in before.made}
    new: dict[str, Entry] = {e.about.id: e for e in after.made}
    names = _names(before) | _names(after)
    changed = [f for f in (*new, *(f for f in old if f not in new)) if old.get(f) != new.get(f)]
    found: list[AnswerChange] = []
    for start in range(0, len(changed), _BATCH):
        some = changed[start : start + _BATCH]
        findings = [
            _findings([w[f] for f in some if f in w], weigh)
            for w, weigh in ((old, weighed_before), (new, weighed_after))
        ]
        for frame in some:
            entry = new.get(frame) or old[frame]
            of_both = (f.get(frame, {}) for f in findings)
            found += _of_record(entry.about, *of_both, title=_title(entry.about, names))
    return found


def _of_record(
    record: Record, old: Mapping[str, Finding], new: Mapping[str, Finding], *, title: str
) -> list[AnswerChange]:
    return [
        AnswerChange(record.id, title, subject, old.get(subject), new.get(subject))
        for subject in dict.fromkeys((*new, *old))
        if _said(old.get(subject)) != _said(new.get(subject))
    ]


def _findings(entries: Sequence[Entry], weigh: Weigher) -> dict[str, dict[str, Finding]]:
    live = [e for e in entries if e.about.live]
    weighed = weigh([e for e in live if isinstance(e, FrameEntry)])
    return {
        e.about.id: {
            s: find(e.about, s, e.claims_on(s), e.decisions_on(s), weighed.get(e.about.id, {}).get(s))
            for s in e.about.subjects
        }
        for e in live
    }


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
