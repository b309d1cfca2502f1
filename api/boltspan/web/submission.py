"""From the submit page's form to a claim as the API takes it, and from what is wrong with it back to the fields."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.features import EYELET_PARTS, FRAME_PARTS
from boltspan.domain.problems import Problems
from boltspan.domain.sources import PARTS
from boltspan.domain.typed_lengths import typed_length
from boltspan.domain.values import SHOCK_SIZE
from boltspan.web import shock_submission

KINDS: Final = {
    "measured": "I measured it",
    "fitted": "I fitted this size and it went in",
    "spec_page": "The maker's specification page",
    "exploded_diagram": "The maker's exploded diagram",
    "manual": "The maker's manual",
    "maker_reply": "The maker told me, by phone or mail",
}
"""How somebody knows, in the order of the page. A shop's chart comes in as a whole, by the API."""
READINGS: Final = (1, 2, 3)
STEPS_MM: Final = ("0.01", "0.02", "0.05", "0.1", "0.5", "1")
FIELDS: Final = (
    "frame", "shock", "subject", "kind", "label", "mount", "bolt", "width", "eye_to_eye", "stroke", "url", "document",
    "page", "quote", "seen_on", "year_from", "year_to", "bolt_feature", "bolt_1", "bolt_2", "bolt_3", "width_feature",
    "width_1", "width_2", "width_3", "bore_1", "bore_2", "bore_3", "outer_1", "outer_2", "outer_3", "instrument",
    "resolution", *shock_submission.FIELDS,
)  # fmt: skip
"""All that a submission carries from one step to the next."""
_FIELD_OF: Final = {
    "/frame": "frame",
    "/shock": "shock",
    **shock_submission.FIELD_OF,
    "/subject": "subject",
    "/label": "label",
    "/value": "label",
    "/value/mount": "mount",
    "/value/bolt_mm": "bolt",
    "/value/width_mm": "width",
    "/value/eye_to_eye_mm": "eye_to_eye",
    "/value/stroke_mm": "stroke",
    "/source/kind": "kind",
    "/source/url": "url",
    "/source/document": "document",
    "/source/page": "page",
    "/source/quote": "quote",
    "/source/seen_on": "seen_on",
    "/source/instrument/kind": "instrument",
    "/source/instrument/resolution_mm": "resolution",
    "/source/features/bolt": "bolt_feature",
    "/source/features/width": "width_feature",
    "/source/readings_mm": "bolt_1",
    "/source/readings_mm/bolt": "bolt_1",
    "/source/readings_mm/width": "width_1",
    "/source/readings_mm/bore": "bore_1",
    "/source/readings_mm/outer": "outer_1",
    "/years": "year_from",
    "/years/from": "year_from",
    "/years/to": "year_to",
}
_INSTEAD: Final = re.compile(r"instead_of_(c-[0-9a-z]{10})")
_READING: Final = re.compile(r"/source/readings_mm/(bolt|width|bore|outer)/([0-9]+)")


def claim_data(typed: Mapping[str, str]) -> dict[str, Any]:
    """Return the claim that a form's texts state. Raises InvalidInput for texts that are no numbers, naming the fields.

    Whatever else may be wrong is found by ``submit_claim``.
    """
    texts = {name: typed[name].strip() for name in FIELDS if typed.get(name, "").strip()}
    problems = Problems()
    about = "shock" if "shock" in texts else "frame"
    data: dict[str, Any] = {about: texts.get(about, ""), "subject": texts.get("subject", "")}
    source: dict[str, Any] = {"kind": texts.get("kind", ""), "seen_on": texts.get("seen_on", "")}
    if source["kind"] == "measured":
        source |= _measurement(texts, EYELET_PARTS if about == "shock" else FRAME_PARTS, problems)
    else:
        data |= (shock_submission.stated if about == "shock" else _stated)(texts, problems)
        source |= {name: texts[name] for name in ("url", "document", "page", "quote") if name in texts}
        if source["kind"] == "maker_reply" and "document" not in source:
            source["document"] = f"reply of {source['seen_on']}"
    years = {
        key: model_year(texts[name], f"/{name}", problems)
        for key, name in (("from", "year_from"), ("to", "year_to"))
        if name in texts
    }
    if years:
        data["years"] = years
    problems.raise_any()
    return data | {"source": source}


def instead_of(fields: Mapping[str, str]) -> list[str]:
    """Return the ids of the own claims that a form says the new one takes the place of."""
    return [match[1] for name in fields if (match := _INSTEAD.fullmatch(name))]


def field_of(pointer: str) -> str | None:
    """Return the form's field that a problem with a claim belongs to; None for one of the whole."""
    if pointer.startswith("/") and pointer[1:] in FIELDS:
        return pointer[1:]
    if match := _READING.fullmatch(pointer):
        return f"{match[1]}_{min(int(match[2]) + 1, READINGS[-1])}"
    return "sizes" if pointer.startswith("/value/sizes") else _FIELD_OF.get(pointer)


def closed_up(typed: Mapping[str, str]) -> dict[str, str]:
    """Return the texts with the readings of each part moved up over boxes that were left empty.

    So the first reading stands in the first box, and what is wrong with a reading is told at its own box.
    """
    found = {name: typed.get(name, "") for name in FIELDS}
    for part in PARTS:
        names = [f"{part}_{n}" for n in READINGS]
        given = [found[name] for name in names if found[name].strip()]
        found |= dict(zip(names, [*given, "", "", ""], strict=False))
    return {name: text for name, text in found.items() if text}


def _measurement(texts: Mapping[str, str], parts: Mapping[str, tuple[str, ...]], problems: Problems) -> dict[str, Any]:
    features, readings = {}, {}
    for part, places in parts.items():
        numbers = [
            problems.keep(lambda n=name: typed_length(texts[n], f"/{n}"))  # type: ignore[misc]
            for name in (f"{part}_{n}" for n in READINGS)
            if name in texts
        ]
        if not numbers:
            continue
        readings[part] = numbers
        if len(places) == 1 or f"{part}_feature" in texts:
            features[part] = texts.get(f"{part}_feature", places[0])
        else:
            problems.add(f"/{part}_feature", "field_missing", "say where you measured", None, "one of the places shown")
    if not readings:
        first, accepted = next(iter(parts)), "one of these at least: " + ", ".join(parts)
        problems.add(f"/{first}_1", "readings_missing", "no reading is filled in", None, accepted)
    step = problems.keep(lambda: typed_length(texts.get("resolution", ""), "/resolution"))
    instrument = {"kind": texts.get("instrument", ""), "resolution_mm": step}
    return {"instrument": instrument, "features": features, "readings_mm": readings}


def _stated(texts: Mapping[str, str], problems: Problems) -> dict[str, Any]:
    if texts.get("subject") == SHOCK_SIZE:
        return {"value": _sizes(texts, (("eye_to_eye", "eye_to_eye_mm"), ("stroke", "stroke_mm")), problems)}
    if "label" in texts:
        return {"label": texts["label"]}
    value: dict[str, Any] = {"mount": texts["mount"]} if "mount" in texts else {}
    value |= _sizes(texts, (("bolt", "bolt_mm"), ("width", "width_mm")), problems)
    if not value:
        problems.add(
            "/label", "field_missing", "the size is not filled in", None, "what your source says, as M8 x 22.2"
        )
    return {"value": value}


def _sizes(
    texts: Mapping[str, str], names: tuple[tuple[str, str], ...], problems: Problems
) -> dict[str, Decimal | None]:
    return {
        key: problems.keep(lambda n=name: typed_length(texts[n].removeprefix("M"), f"/{n}"))  # type: ignore[misc]
        for name, key in names
        if name in texts
    }


def model_year(text: str, pointer: str, problems: Problems) -> int | None:
    """Return the year in four digits; what is none is added to ``problems`` at ``pointer``."""
    if len(text) == 4 and text.isascii() and text.isdigit():
        return int(text)
    problems.add(pointer, "bad_year", "this is no model year", text, "four digits, such as 2021")
    return None
