"""What fit sheets say, in plain words, for the pages; beside the words of look-ups."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.fitsheet.texts import QUESTIONS
from boltspan.domain.lengths import plain

VERDICT_NAMES: Final = {
    "buy": "Buy",
    "move": "Move over",
    "keep": "Keep",
    "none_needed": "None needed",
    "ask_frame_maker": "Ask the frame’s maker",
    "incompatible": "Does not go in",
    "not_known": "Not known",
    "disputed": "Disputed",
}
SIZE_OUTCOMES: Final = {
    "goes": "The size goes with the frame.",
    "incompatible": "The size does not go with the frame.",
    "ask_frame_maker": "Ask the frame’s maker about this size.",
    "not_compared": "Not compared with the frame.",
}
SHOCK_MOUNT_NAMES: Final = {
    "eyelet": "Eyelet with bushing",
    "bearing_eyelet": "Eyelet with bearing",
    "trunnion": "Trunnion",
    "open_eyelet": "Open eyelet",
}
INSTRUMENT_NAMES: Final = {
    "vernier_caliper": "Vernier caliper",
    "steel_rule": "Steel rule",
    "tape": "Tape",
}
QUALIFIER_NAMES: Final = {
    "serial": "Serial number",
    "build_date": "Build date",
    "frame_size": "Frame size",
    "wheel_size": "Wheel size",
    "material": "Material",
}
PART_NAMES: Final = {
    "bushing": ("bushing", "bushing halves"),
    "sleeve": ("sleeve", "sleeves"),
    "sleeve_half": ("sleeve half", "sleeve halves"),
    "o_ring": ("O-ring", "O-rings"),
    "spacer": ("spacer", "spacers"),
    "crush_washer": ("crush washer", "crush washers"),
}
_FIELDS: Final = {
    "first": "Upper or front end",
    "second": "Lower or rear end",
    "body": "Body end",
    "shaft": "Shaft end",
    "both": "Both ends",
}


def rounded(number: Decimal) -> str:
    """Return a length to hundredths, as a caliper shows it."""
    return plain(round(Decimal(number), 2))


def lowered(sentence: str) -> str:
    """Return a sentence as it goes on after a colon or a comma."""
    return f"{sentence[:1].lower()}{sentence[1:]}"


def percent(confidence: Decimal | float) -> str:
    """Return a confidence in percent, rounded down, so that it is never called certain."""
    thousandths = min(int(Decimal(str(confidence)) * 1000), 999)
    return f"{plain(Decimal(thousandths) / 10)} %"


def kit_part(part: Mapping[str, Any], sized: bool) -> str:
    """Return a part of a kit with its count, and when ``sized`` its sizes: "2 spacers, 4 long"."""
    one, many = PART_NAMES[part["part"]]
    sizes = [
        f"{rounded(part[name])} {word}"
        for name, word in (("length_mm", "long"), ("inner_mm", "inside"), ("outer_mm", "outside"))
        if sized and name in part
    ]
    return ", ".join([f"{part['count']} {one if part['count'] == 1 else many}", *sizes])


def part_name(part: Mapping[str, Any]) -> str:
    """Return what a part of a kit is called at the start of a sentence."""
    name = PART_NAMES[part["part"]][0 if part["count"] == 1 else 1]
    return f"{name[:1].upper()}{name[1:]}"


def at_hand(size: Mapping[str, Any]) -> str:
    """Return a size at hand by its article and label."""
    return f"{size['article']} ({size['label']})" if "article" in size else str(size["label"])


def tools(press: Mapping[str, Any]) -> str:
    """Return which tools press the bushing, or which sizes to look for, or what is to be measured first."""
    if press.get("questions"):
        return " ".join(QUESTIONS[code] for code in press["questions"])
    said = []
    for name, of, bounds in (
        ("push", "outside", "push_outer_range_mm"),
        ("catch", "inside", "catch_inner_range_mm"),
    ):
        low, high = press[bounds]
        tool = press.get(name)
        if tool:
            said.append(f"{name} with {tool}.")
        elif low > high:
            said.append(f"no tool can {name} it with these margins; ask the shock’s maker.")
        else:
            deep = f", at least {rounded(press['catch_depth_min_mm'])} deep" if name == "catch" else ""
            said.append(f"to {name}, look for {of} {rounded(low)} to {rounded(high)}{deep}.")
    return " ".join(f"{text[:1].upper()}{text[1:]}" for text in said)


def qualifier_words(qualifier: Mapping[str, Any]) -> str:
    """Return what tells a frame from its twins, as the question and this frame's answer."""
    if "is" in qualifier:
        return f"{qualifier['ask']} This one: {qualifier['is']}."
    bounds = [f"{word} {qualifier[key]}" for key, word in (("from", "from"), ("to", "up to")) if key in qualifier]
    return f"{qualifier['ask']} This one: {' '.join(bounds)}."


def assumed(parameter: Mapping[str, Any]) -> str:
    """Return an assumed parameter in words: "rim 1 mm"."""
    name, given = str(parameter["name"]), parameter["value"]
    value = plain(Decimal(f"{given:.4g}"))
    return f"{name.removesuffix('_mm').replace('_', ' ')} {value}{' mm' if name.endswith('_mm') else ''}"


def field_words(pointer: str) -> str:
    """Return which field a problem is about: "First end, size" for ``/first_size``."""
    parts = [part for part in pointer.strip("/").replace("_mm", "").split("/") if part]
    if parts and parts[0] == "new_shock":
        parts = ["shock", *parts[1:]]
    if len(parts) == 1 and "_" in parts[0] and parts[0].split("_")[0] in _FIELDS:
        place, _, rest = parts[0].partition("_")
        parts = [_FIELDS[place], rest]
    named = ", ".join(part.replace("_", " ") for part in parts)
    return named[:1].upper() + named[1:] if named else "The question"
