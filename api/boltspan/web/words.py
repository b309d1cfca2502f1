"""Codes and numbers of answers in plain words, for the pages."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.lengths import plain
from boltspan.domain.sources import PARTS
from boltspan.domain.values import bolt_label, trade_width

STANDING_NAMES: Final = {
    "settled": "Settled",
    "provisional": "Provisional",
    "disputed": "Disputed",
    "unknown": "Not known",
    "withheld": "On hold",
}
ADVICE_NAMES: Final = {
    "sell": "Rely on it",
    "ask_first": "Ask first",
    "do_not_sell": "Do not sell",
}
MOUNT_NAMES: Final = {
    "hardware": "Mounting hardware",
    "bearing": "Bearing",
    "trunnion": "Trunnion",
    "open_eyelet": "Open eyelet",
    "proprietary": "Frame maker's own part",
}
SHOCK_MOUNT_NAMES: Final = {
    "eyelet": "Eyelet",
    "trunnion": "Trunnion",
    "bearing_eyelet": "Bearing eyelet",
    "open_eyelet": "Open eyelet",
}
BEARINGS_NAMES: Final = {"swappable": "bearings can be taken out", "fixed": "bearings stay in"}
SOURCE_NAMES: Final = {
    "spec_page": "Specification page",
    "exploded_diagram": "Exploded diagram",
    "manual": "Manual",
    "maker_reply": "Maker's reply",
    "retailer_chart": "A shop's chart",
    "measured": "Measured",
    "fitted": "Fitted",
}
FEATURE_NAMES: Final = {
    "thread_crest": "over the thread",
    "shank": "plain shank",
    "sleeve_bore": "bore of the pin",
    "tab_gap": "between the tabs",
    "hardware_width": "over both spacers",
    "eyelet_bore": "bare eyelet",
    "eyelet_width": "over the eyelet's faces",
    "eyelet_outer": "outside of the eyelet",
}
BOLT_FEATURES: Final = {name: FEATURE_NAMES[name] for name in ("thread_crest", "shank", "sleeve_bore")}
WIDTH_FEATURES: Final = {name: FEATURE_NAMES[name] for name in ("tab_gap", "hardware_width")}
FIELD_NAMES: Final = {
    **{f"{part}_{n}": f"{part.capitalize()}, reading {n}" for part in PARTS for n in (1, 2, 3)},
    "bolt_feature": "Bolt",
    "width_feature": "Width",
    "label": "Size",
    "mount": "Kind of mount",
    "eyelet_bore": "Bore",
    "eyelet_width": "Width",
    "eyelet_outer": "Outside",
    "bearings": "Bearings",
    "sizes": "Sizes",
    "bolt": "Bolt",
    "width": "Width",
    "eye_to_eye": "Eye to eye",
    "stroke": "Stroke",
    "url": "Address",
    "document": "Document",
    "page": "Page",
    "quote": "Word for word",
    "seen_on": "Day",
    "year_from": "First year",
    "year_to": "Last year",
    "make": "Make",
    "model": "Model",
    "ends": "Ends",
    "subject": "What it is about",
    "reason": "What is wrong",
    "words": "Your words",
    "handle": "Public name",
    "terms": "Terms",
    "token": "Token",
    "photo": "Photo",
}
"""What a list of mistakes calls the fields of forms."""
INSTRUMENT_NAMES: Final = {
    "digital_caliper": "Digital caliper",
    "vernier_caliper": "Vernier caliper",
    "steel_rule": "Steel rule",
    "tape": "Tape measure",
}
STATE_NAMES: Final = {
    "submitted": "waits for review",
    "more_asked": "an answer of yours is needed",
    "in_review": "is being looked at",
    "conflicting": "waits for review, contradicts another statement",
    "accepted": "accepted",
    "refused": "ruled out",
    "superseded": "replaced by a newer claim",
    "withdrawn": "taken back",
}
WAITING_STATES: Final = ("submitted", "more_asked", "in_review", "conflicting")
ENDED_STATE: Final = "closed without a ruling"
"""What is said of a claim that waited when its record ended."""


def mm(number: Decimal | int) -> str:
    """Return a length as written on a label, without its unit."""
    return plain(Decimal(number))


def opens_in_browser(url: str) -> bool:
    """Return whether an address may stand in a link: one of the web, and nothing that a browser would run."""
    return url.startswith(("https://", "http://"))


def years(of: Mapping[str, int]) -> str:
    """Return model years in words: 2021 to 2023, 2024 on, 2022."""
    first, last = of["from"], of.get("to")
    if last is None:
        return f"{first} on"
    return str(first) if first == last else f"{first} to {last}"


def waiting(days: int) -> str:
    """Return how long something has waited."""
    return "waits since today" if days == 0 else f"waits for {times(days, 'day', 'days')}"


def times(count: int, one: str, many: str) -> str:
    """Return a count with its noun."""
    return f"{count} {one if count == 1 else many}"


def value_words(value: Mapping[str, Any]) -> str:
    """Return what a value says, in a sentence without its label; each number with what it is."""
    parts = []
    if "bolt_mm" in value:
        parts.append(f"bolt {bolt_label(Decimal(value['bolt_mm']))}")
    if "width_mm" in value:
        parts.append(f"width between the tabs {width_words(Decimal(value['width_mm']))}")
    if "eyelet_bore_mm" in value:
        parts.append(f"eyelet bore {mm(value['eyelet_bore_mm'])} mm")
    if "eyelet_width_mm" in value:
        parts.append(f"eyelet width {mm(value['eyelet_width_mm'])} mm")
    if "eyelet_outer_mm" in value:
        parts.append(f"eyelet outside {mm(value['eyelet_outer_mm'])} mm")
    if "bearings" in value:
        parts.append(BEARINGS_NAMES[value["bearings"]])
    if "sizes" in value:
        named = ", ".join(f"{mm(size['eye_to_eye_mm'])} x {mm(size['stroke_mm'])} mm" for size in value["sizes"])
        parts.append(f"{'made only as' if 'only' in value else 'made as'} {named}")
    if "eye_to_eye_mm" in value:
        parts.append(f"eye to eye {mm(value['eye_to_eye_mm'])} mm")
    if "stroke_mm" in value:
        parts.append(f"stroke {mm(value['stroke_mm'])} mm")
    if value.get("bearing_compatible"):
        parts.append("also takes a bearing eyelet of this size")
    said = ", ".join(parts)
    mount = (MOUNT_NAMES | SHOCK_MOUNT_NAMES).get(str(value.get("mount")), "")
    whole = f"{mount}: {said}" if mount and said else mount or said
    return whole[:1].upper() + whole[1:] + "."


def width_words(width: Decimal) -> str:
    """Return a width with its unit, and the name the trade writes it under when that differs."""
    sold_as = trade_width(width)
    return f"{mm(width)} mm" if sold_as == width else f"{mm(width)} mm, written {mm(sold_as)}"


def basis_words(basis: Mapping[str, Any]) -> str:
    """Return what an answer rests on, in a sentence."""
    if not basis["claims"]:
        return "Nobody has said anything about it yet."
    said = f"Rests on {times(basis['claims'], 'claim', 'claims')}"
    said += f" of {times(basis['independent'], 'independent source', 'independent sources')}"
    if "evidence_to" in basis:
        said += f"; the evidence reaches model year {basis['evidence_to']}"
    return said + "."


def readings_words(source: Mapping[str, Any]) -> str:
    """Return a measurement's readings with what was measured; empty for other sources."""
    said = [
        f"{part} {', '.join(mm(r) for r in numbers)} mm ({FEATURE_NAMES[source['features'][part]]})"
        for part, numbers in source.get("readings_mm", {}).items()
    ]
    return "; ".join(said)
