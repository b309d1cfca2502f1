"""The order of keys, lists and letters in the files: one table, used by whatever writes, formats or checks them."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.sources import PARTS, document_of

KEYS: Final[dict[str, dict[str, str]]] = {
    "dataset": {"schema": "", "title": "", "licence": "", "demo": "", "head": ""},
    "make": {"schema": "", "slug": "", "name": "", "aliases": ""},
    "frames": {"schema": "", "make": "", "model": "model", "frames": "frame"},
    "model": {"name": "", "slug": "", "aliases": ""},
    "frame": {
        "id": "",
        "record": "",
        "into": "",
        "withdrawn_on": "",
        "why": "",
        "years": "years",
        "qualifier": "qualifier",
        "ends": "",
        "same_ends": "same_ends",
        "subjects": "subjects",
    },
    "shocks": {"schema": "", "make": "", "model": "model", "shocks": "shock"},
    "shock": {
        "id": "",
        "record": "",
        "into": "",
        "withdrawn_on": "",
        "why": "",
        "years": "years",
        "qualifier": "qualifier",
        "sold_with": "sold_with",
        "subjects": "subjects",
    },
    "sold_with": {"frame": "", "ends": "", "source": "source"},
    "hardware": {"schema": "", "sizes": "hardware_sizes"},
    "hardware_sizes": {
        "id": "",
        "bolt_mm": "",
        "eyelet_bore_mm": "",
        "widths_mm": "",
        "source": "source",
        "withdrawn": "withdrawn",
    },
    "years": {"from": "", "to": ""},
    "qualifier": {"kind": "", "from": "", "to": "", "is": "", "ask": ""},
    "same_ends": {"names": "names", "source": "source"},
    "names": dict.fromkeys(sorted(("upper", "lower", "front", "rear", "frame", "link", "shaft", "body")), ""),
    "subjects": dict.fromkeys(
        ("shock_size", "sizes", "upper", "lower", "front", "rear", "frame", "link", "shaft", "body"), "subject"
    ),
    "subject": {"claims": "claim", "decisions": "decision"},
    "claim": {
        "id": "",
        "value": "value",
        "years": "years",
        "source": "source",
        "withdrawn": "withdrawn",
        "superseded": "superseded",
        "reviewed": "",
    },
    "value": {
        "mount": "",
        "bolt_mm": "",
        "width_mm": "",
        "eyelet_bore_mm": "",
        "bearing_compatible": "",
        "eyelet_width_mm": "",
        "eyelet_outer_mm": "",
        "bearings": "",
        "eye_to_eye_mm": "",
        "stroke_mm": "",
        "sizes": "shock_size",
        "only": "",
    },
    "shock_size": {"eye_to_eye_mm": "", "stroke_mm": ""},
    "source": {
        "kind": "",
        "document": "",
        "url": "",
        "page": "",
        "seen_on": "",
        "by": "",
        "quote": "",
        "instrument": "instrument",
        "features": "features",
        "readings_mm": "readings",
    },
    "instrument": {"kind": "", "resolution_mm": ""},
    "features": dict.fromkeys(PARTS, ""),
    "readings": dict.fromkeys(PARTS, ""),
    "withdrawn": {"on": "", "why": ""},
    "superseded": {"on": "", "by": ""},
    "decision": {
        "id": "",
        "on": "",
        "by": "",
        "ruling": "",
        "value": "value",
        "rests_on": "",
        "overrules": "",
        "refuses": "",
        "reason": "",
        "reverses": "",
        "why": "",
    },
}
"""For each kind of object its keys in order, each with the kind of the object (or of the list's objects) it holds."""

_AS_WRITTEN: Final = frozenset({"url"})
"""Texts that stay letter for letter; all others are Unicode NFC."""


def canonical(data: Any, kind: str) -> Any:
    """Return ``data`` (an object of ``kind``, or a list of them) with everything in its order.

    Keys follow the table, unknown ones come last as they stood. Frames and shocks are sorted by first year and id,
    claims by the day their source was seen and id; sizes ascend; decisions keep their order, which means something. A
    source that has only an address gets the document's name from it.
    What is not shaped as expected is passed through for the checks to name.
    """
    if isinstance(data, list):
        items = [canonical(item, kind) for item in data]
        if kind in ("frame", "shock"):
            items.sort(key=_frame_key)
        elif kind == "claim":
            items.sort(key=_claim_key)
        elif kind == "hardware_sizes":
            items.sort(key=_hardware_key)
        elif kind == "shock_size":
            items.sort(key=_size_key)
        return items
    if isinstance(data, str):
        return unicodedata.normalize("NFC", data)
    if not isinstance(data, Mapping):
        return data
    if kind == "source" and "document" not in data and isinstance(data.get("url"), str):
        data = {**data, "document": _document(data["url"])}
    known = KEYS.get(kind, {})
    order = [key for key in known if key in data] + [key for key in data if key not in known]
    return {key: data[key] if key in _AS_WRITTEN else canonical(data[key], known.get(key, "")) for key in order}


def _document(url: str) -> str:
    try:
        return unicodedata.normalize("NFC", document_of(url))
    except ValueError:
        return url


def _frame_key(frame: Any) -> tuple[int, str]:
    years = _of(frame, "years")
    first = _of(years, "from")
    return (first if isinstance(first, int) else 0, str(_of(frame, "id")))


def _claim_key(claim: Any) -> tuple[str, str]:
    return (str(_of(_of(claim, "source"), "seen_on")), str(_of(claim, "id")))


def _hardware_key(row: Any) -> tuple[Decimal, Decimal, str]:
    return (_number(row, "bolt_mm"), _number(row, "eyelet_bore_mm"), str(_of(row, "id")))


def _size_key(size: Any) -> tuple[Decimal, Decimal]:
    return (_number(size, "eye_to_eye_mm"), _number(size, "stroke_mm"))


def _number(data: Any, key: str) -> Decimal:
    found = _of(data, key)
    return Decimal(found) if isinstance(found, int | Decimal) else Decimal(0)


def _of(data: Any, key: str) -> Any:
    return data.get(key) if isinstance(data, Mapping) else None
