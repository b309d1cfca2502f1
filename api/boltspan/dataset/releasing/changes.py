"""What a release changes against the one before it, told by the answers: by frame and shock, end by end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any, Final, TextIO

from boltspan.dataset.releasing.lines import answers_in
from boltspan.domain.frames import Frame
from boltspan.domain.jsontext import dumps, loads
from boltspan.domain.lengths import plain
from boltspan.domain.shock_values import SIZES
from boltspan.domain.shocks import Shock
from boltspan.domain.subjects import kind_of
from boltspan.domain.values import SHOCK_SIZE

CHANGES_FILE: Final = "CHANGES.json"
KINDS: Final = ("added", "changed", "merged", "divided", "withdrawn", "missing")
"""What can become of a frame or shock between two releases. ``missing``: it answers no more and no record says why."""
_ANSWERED: Final = ("standing", "advice", "supply", "value", "contested")
_RECORD: Final = ("make", "model", "years", "qualifier", "sold_with")

Change = dict[str, Any]
Answer = Mapping[str, Any]


def changes_between(before: Path | None, after: Path, records: Mapping[str, Frame | Shock]) -> Iterator[Change]:
    """Yield every change between two answers files, both of frames or both of shocks, by id.

    ``before`` None means there was no such file: every record is added. ``records`` holds those that do not answer any
    more, by id. Both files are read side by side, one line at a time.
    """
    old = answers_in(before) if before is not None else iter(())
    new = answers_in(after)
    left, right = next(old, None), next(new, None)
    while left is not None or right is not None:
        if right is None or (left is not None and left[0] < right[0]):
            assert left is not None
            yield _gone(left[0], loads(left[1]), records)
            left = next(old, None)
        elif left is None or right[0] < left[0]:
            yield {kind_of(right[0]): right[0], "change": "added"} | _named(loads(right[1]))
            right = next(new, None)
        else:
            if left[1] != right[1] and (found := changed(loads(left[1]), loads(right[1]))) is not None:
                yield found
            left, right = next(old, None), next(new, None)


def _gone(record_id: str, answer: Answer, records: Mapping[str, Frame | Shock]) -> Change:
    gone = records.get(record_id)
    found: Change = {kind_of(record_id): record_id, "change": gone.record if gone is not None else "missing"}
    found |= _named(answer)
    if gone is not None and gone.into:
        found["into"] = list(gone.into)
    if gone is not None and gone.why is not None:
        found["why"] = gone.why
    return found


def _named(answer: Answer) -> Change:
    return {"make": answer["make"]["slug"], "model": answer["model"]["slug"]}


def changed(before: Answer, after: Answer) -> Change | None:
    """Return how the answer for one frame or shock changed, or None when only its event number did.

    ``answers`` names each subject that is answered otherwise, ``record`` the fields of the record that differ, and
    ``evidence`` the subjects of which only what they rest on differs.
    """
    old, new = _subjects(before), _subjects(after)
    answers, evidence = [], []
    for subject in dict.fromkeys((*new, *old)):
        was, now = old.get(subject, {}), new.get(subject, {})
        if any(was.get(key) != now.get(key) for key in _ANSWERED):
            answers.append({"subject": subject, "text": told(subject, was, now), "before": _short(was),
                            "after": _short(now)})  # fmt: skip
        elif was != now:
            evidence.append(subject)
    found: Change = {kind_of(after["id"]): after["id"], "change": "changed"} | _named(after)
    found |= {"answers": answers} if answers else {}
    record = {
        key: {when: answer[key] for when, answer in (("before", before), ("after", after)) if key in answer}
        for key in _RECORD
        if before.get(key) != after.get(key)
    }
    found |= {"record": record} if record else {}
    found |= {"evidence": evidence} if evidence else {}
    return found if answers or record or evidence else None


def _subjects(answer: Answer) -> dict[str, Answer]:
    return {name: answer[name] for name in (SHOCK_SIZE, SIZES) if name in answer} | dict(answer["ends"])


def _short(found: Answer) -> Change:
    return {key: found[key] for key in _ANSWERED if key in found}


def told(subject: str, before: Answer, after: Answer) -> str:
    """Return the change of one subject's answer in words: "upper: 22.2 -> 25.4 mm, settled -> provisional".

    The width alone when nothing else of the size differs, whole labels otherwise.
    """
    parts = [_size_told(before.get("value"), after.get("value"))]
    was, now = before.get("standing", "not asked"), after.get("standing", "not asked")
    parts.append(f"{was} -> {now}" if was != now else "")
    if before.get("contested", False) != after.get("contested", False):
        parts.append("contested" if after.get("contested") else "no longer contested")
    if not any(parts):
        parts = [f"{before.get('advice', 'none')} -> {after.get('advice', 'none')}"]
    return f"{subject}: " + ", ".join(p for p in parts if p)


def _size_told(before: Answer | None, after: Answer | None) -> str:
    if before == after:
        return ""
    if before is None or after is None:
        return " -> ".join("no value" if value is None else str(value["label"]) for value in (before, after))
    differing = {k for k in {*before, *after} - {"label"} if before.get(k) != after.get(k)}
    if differing == {"width_mm"} and "width_mm" in before and "width_mm" in after:
        return " -> ".join(plain(Decimal(value["width_mm"])) for value in (before, after)) + " mm"
    if before["label"] != after["label"]:
        return f"{before['label']} -> {after['label']}"
    if differing == {"only"}:
        return "said to be all sizes" if after.get("only") else "no longer said to be all sizes"
    return "bearing compatible" if after.get("bearing_compatible") else "no longer said to be bearing compatible"


def write_changes(file: TextIO, header: Mapping[str, Any], frames: Iterator[Change], shocks: Iterator[Change]) -> None:
    """Write CHANGES.json, one change a line, each list with how many there are of each kind (of those that occur)."""
    file.write("{\n" + "".join(f"  {dumps(k)}: {dumps(v)},\n" for k, v in header.items()))
    _write_list(file, "frames", frames, "counts")
    file.write(",\n")
    _write_list(file, "shocks", shocks, "shock_counts")
    file.write("\n}\n")


def _write_list(file: TextIO, name: str, changes: Iterator[Change], counted: str) -> None:
    counts: Counter[str] = Counter()
    file.write(f"  {dumps(name)}: [")
    for change in changes:
        file.write((",\n    " if counts else "\n    ") + dumps(change))
        counts[change["change"]] += 1
    told_counts = {kind: counts[kind] for kind in KINDS if counts[kind]}
    file.write(("\n  ]" if counts else "]") + f",\n  {dumps(counted)}: {dumps(told_counts)}")
