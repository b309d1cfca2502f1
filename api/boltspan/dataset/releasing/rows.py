"""One row of each table, from records and from answers."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from typing import Any

from boltspan.dataset.releasing.cells import Cell
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.lengths import plain
from boltspan.domain.shocks import Shock
from boltspan.domain.values import value_json

Row = dict[str, Cell]


def make_row(make: Make) -> Row:
    """Return a row of ``makes``."""
    return {"slug": make.slug, "name": make.name}


def model_row(model: Model) -> Row:
    """Return a row of ``models``."""
    return {"make": model.make, "slug": model.slug, "name": model.name}


def frame_row(frame: Frame) -> Row:
    """Return a row of ``frames``."""
    return {
        "id": frame.id,
        "record": frame.record,
        "make": frame.make,
        "model": frame.model,
        "year_from": frame.years.start,
        "year_to": frame.years.end,
        "qualifier": frame.qualifier.kind if frame.qualifier is not None else None,
        "end_1": frame.ends[0],
        "end_2": frame.ends[1],
        "into": " ".join(frame.into) or None,
        "withdrawn_on": frame.withdrawn_on,
    }


def end_rows(answer: Mapping[str, Any]) -> Iterator[Row]:
    """Yield a row of ``ends`` for each end of an answer (the body of a frame's look-up), in its order."""
    for end, found in answer["ends"].items():
        weighed = {key: found.get(key) for key in ("confidence", "model_version")}
        yield _of_frame(answer) | {"end": end, "supply": found.get("supply")} | _finding(found) | weighed


def shock_size_row(answer: Mapping[str, Any]) -> Row:
    """Return a row of ``shock_sizes`` for an answer."""
    return _of_frame(answer) | _finding(answer["shock_size"])


def _of_frame(answer: Mapping[str, Any]) -> Row:
    return _of_made("frame", answer)


def _of_made(kind: str, answer: Mapping[str, Any]) -> Row:
    return {
        kind: answer["id"],
        "make": answer["make"]["slug"],
        "model": answer["model"]["slug"],
        "year_from": answer["years"]["from"],
        "year_to": answer["years"].get("to"),
    }


def _finding(found: Mapping[str, Any]) -> Row:
    basis = found["basis"]
    return {
        "standing": found["standing"],
        "advice": found["advice"],
        **found.get("value", {}),
        "contested": found.get("contested", False),
        "claims": basis["claims"],
        "independent": basis["independent"],
        "decision": basis.get("decision"),
        "evidence_to": basis.get("evidence_to"),
        "checked_on": found.get("checked_on"),
    }


def claim_row(claim: Claim) -> Row:
    """Return a row of ``claims``. The document is named by a hash: its name is free text."""
    source = claim.source
    row: Row = {
        "id": claim.id,
        "frame": claim.frame,
        "subject": claim.subject,
        "kind": source.kind,
        "by": source.by,
        "seen_on": source.seen_on,
        **(value_json(claim.value) if claim.value is not None else {}),
    }
    if source.document is not None:
        row["document"] = _hashed(source.document)
    if claim.years is not None:
        row |= {"year_from": claim.years.start, "year_to": claim.years.end}
    if (taken := source.measurement) is not None:
        row |= {
            "instrument": taken.instrument,
            "resolution_mm": taken.resolution_mm,
            "bolt_feature": taken.bolt_feature,
            "bolt_readings_mm": " ".join(map(plain, taken.bolt_readings_mm)) or None,
            "width_feature": taken.width_feature,
            "width_readings_mm": " ".join(map(plain, taken.width_readings_mm)) or None,
        }
    return row


def _hashed(document: str) -> str:
    return "sha256:" + hashlib.sha256(document.encode()).hexdigest()


def shock_row(shock: Shock) -> Row:
    """Return a row of ``shocks``."""
    return {
        "id": shock.id,
        "record": shock.record,
        "make": shock.make,
        "model": shock.model,
        "year_from": shock.years.start,
        "year_to": shock.years.end,
        "qualifier": shock.qualifier.kind if shock.qualifier is not None else None,
        "into": " ".join(shock.into) or None,
        "withdrawn_on": shock.withdrawn_on,
    }


def shock_end_rows(answer: Mapping[str, Any]) -> Iterator[Row]:
    """Yield a row of ``shock_ends`` for each end of a shock's answer, in its order."""
    for end, found in answer["ends"].items():
        yield _of_made("shock", answer) | {"end": end} | _finding(found)


def size_made_rows(answer: Mapping[str, Any]) -> Iterator[Row]:
    """Yield a row of ``sizes_made`` for each size in a shock's answer; none where they are not known."""
    found = answer["sizes"]
    for size in found.get("value", {}).get("sizes", ()):
        yield _of_made("shock", answer) | _finding({**found, "value": size})


def hardware_rows(row: HardwareSizes) -> Iterator[Row]:
    """Yield a row of ``hardware_sizes`` for each width that a source says is produced."""
    source = row.source
    for width in row.widths_mm:
        found: Row = {"id": row.id, "bolt_mm": row.bolt_mm, "eyelet_bore_mm": row.eyelet_bore_mm, "width_mm": width}
        found |= {"kind": source.kind, "by": source.by, "seen_on": source.seen_on}
        yield found | ({"document": _hashed(source.document)} if source.document is not None else {})
