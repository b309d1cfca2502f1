"""Which file holds which record: the path equals the slugs."""

from __future__ import annotations

from collections import defaultdict
from typing import Any, Final

from boltspan.dataset.contents import Dataset, FrameEntry, in_order
from boltspan.domain.frames import Make, Model
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.domain.statements import claim_json, decision_json

HEADER: Final = "dataset.json"
"""The file about the dataset as a whole."""
SCHEMAS: Final = {"dataset": "dataset/1", "make": "make/1", "frames": "frame/1"}
"""The schema that each kind of file names."""


def make_path(make: str) -> str:
    """Return the path of a make's file below the dataset's folder."""
    return f"makes/{make}.json"


def frames_path(make: str, model: str) -> str:
    """Return the path of the file with all frames of a model."""
    return f"frames/{make}/{model}.json"


def kind_of(path: str) -> str | None:
    """Return what a file at ``path`` is (a key of SCHEMAS), or None where no record file belongs."""
    parts = path.split("/")
    if path == HEADER:
        return "dataset"
    if parts[0] == "makes" and len(parts) == 2:
        return "make"
    if parts[0] == "frames" and len(parts) == 3:
        return "frames"
    return None


def documents_of(dataset: Dataset) -> dict[str, Any]:
    """Return the content of every file of ``dataset`` by path: makes, then models, and the dataset itself last."""
    dataset = in_order(dataset)
    entries: dict[tuple[str, str], list[FrameEntry]] = defaultdict(list)
    for entry in dataset.entries:
        entries[entry.frame.make, entry.frame.model].append(entry)
    found: dict[str, Any] = {make_path(m.slug): _make_document(m) for m in dataset.makes}
    for model in dataset.models:
        found[frames_path(model.make, model.slug)] = _frames_document(model, entries[model.make, model.slug])
    found[HEADER] = {
        "schema": SCHEMAS["dataset"],
        "title": dataset.title,
        "licence": dataset.licence,
        "demo": dataset.demo,
        "head": dataset.head,
    }
    return found


def _make_document(make: Make) -> dict[str, Any]:
    return {"schema": SCHEMAS["make"], **make_json(make)}


def _frames_document(model: Model, entries: list[FrameEntry]) -> dict[str, Any]:
    return {
        "schema": SCHEMAS["frames"],
        "make": model.make,
        "model": model_json(model),
        "frames": [_entry_json(e) for e in entries],
    }


def _entry_json(entry: FrameEntry) -> dict[str, Any]:
    subjects: dict[str, Any] = {}
    for subject in entry.frame.subjects:
        subjects[subject] = {"claims": [claim_json(c) for c in entry.claims_on(subject)]}
        if decisions := entry.decisions_on(subject):
            subjects[subject]["decisions"] = [decision_json(d) for d in decisions]
    return {**frame_json(entry.frame), "subjects": subjects}
