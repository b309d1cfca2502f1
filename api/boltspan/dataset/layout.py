"""Which file holds which record: the path equals the slugs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any, Final

from boltspan.dataset.contents import Dataset, Entry, ShockEntry, in_order
from boltspan.domain.frames import Make, Model
from boltspan.domain.hardware_sizes import hardware_sizes_json
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.domain.shock_records import shock_json
from boltspan.domain.statements import claim_json, decision_json

HEADER: Final = "dataset.json"
"""The file about the dataset as a whole."""
SCHEMAS: Final = {
    "dataset": "dataset/1",
    "make": "make/1",
    "frames": "frame/1",
    "shocks": "shock/1",
    "hardware": "hardware/1",
}
HARDWARE: Final = "hardware/sizes.json"
"""The file of what is produced in hardware; absent when nothing is known."""
"""The schema that each kind of file names."""


def make_path(make: str) -> str:
    """Return the path of a make's file below the dataset's folder."""
    return f"makes/{make}.json"


def frames_path(make: str, model: str) -> str:
    """Return the path of the file with all frames of a model."""
    return f"frames/{make}/{model}.json"


def shocks_path(make: str, model: str) -> str:
    """Return the path of the file with all shocks of a model."""
    return f"shocks/{make}/{model}.json"


def kind_of(path: str) -> str | None:
    """Return what a file at ``path`` is (a key of SCHEMAS), or None where no record file belongs."""
    parts = path.split("/")
    if path == HEADER:
        return "dataset"
    if parts[0] == "makes" and len(parts) == 2:
        return "make"
    if parts[0] in ("frames", "shocks") and len(parts) == 3:
        return parts[0]
    if path == HARDWARE:
        return "hardware"
    return None


def documents_of(dataset: Dataset) -> dict[str, Any]:
    """Return the content of every file of ``dataset`` by path: makes, models, shocks, and the dataset itself last."""
    dataset = in_order(dataset)
    entries, shocks = _by_model(dataset.entries), _by_model(dataset.shocks)
    found: dict[str, Any] = {make_path(m.slug): _make_document(m) for m in dataset.makes}
    for model in dataset.models:
        found[frames_path(model.make, model.slug)] = _model_document("frames", model, entries[model.make, model.slug])
    for model in dataset.shock_models:
        found[shocks_path(model.make, model.slug)] = _model_document("shocks", model, shocks[model.make, model.slug])
    if dataset.hardware:
        found[HARDWARE] = {"schema": SCHEMAS["hardware"], "sizes": [hardware_sizes_json(r) for r in dataset.hardware]}
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


def _by_model(entries: Iterable[Entry]) -> dict[tuple[str, str], list[Entry]]:
    found: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for entry in entries:
        found[entry.about.make, entry.about.model].append(entry)
    return found


def _model_document(kind: str, model: Model, entries: list[Entry]) -> dict[str, Any]:
    return {
        "schema": SCHEMAS[kind],
        "make": model.make,
        "model": model_json(model),
        kind: [_entry_json(e) for e in entries],
    }


def _entry_json(entry: Entry) -> dict[str, Any]:
    subjects: dict[str, Any] = {}
    for subject in entry.about.subjects:
        subjects[subject] = {"claims": [claim_json(c) for c in entry.claims_on(subject)]}
        if decisions := entry.decisions_on(subject):
            subjects[subject]["decisions"] = [decision_json(d) for d in decisions]
    record = shock_json(entry.shock) if isinstance(entry, ShockEntry) else frame_json(entry.frame)
    return {**record, "subjects": subjects}
