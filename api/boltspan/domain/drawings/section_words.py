"""What a cross-section says in words: the list of its parts, and its text equivalent."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Final

from boltspan.domain.drawings.section_sizes import SectionSizes
from boltspan.domain.fitsheet.built import BuiltEnd
from boltspan.domain.lengths import plain
from boltspan.domain.values import bolt_label, trade_width

_NAMES: Final = {
    "tab": "Tabs of the frame",
    "o_ring": "O-ring, one a side",
    "crush_washer": "Crush washer, raised side out",
}
_BY_EYE: Final = {
    "eyelet_width": "eyelet’s width",
    "bore": "eyelet’s bore",
    "outer": "eyelet’s outside",
    "sleeve": "sleeve’s outside",
    "sleeve_length": "sleeve’s length",
    "tab": "tabs’ thickness",
    "gap": "opening",
}


def title(end: BuiltEnd) -> str:
    """Return what is to be seen."""
    shock = f", the shock’s {end.shock_end} end" if end.shock_end else ""
    return f"{end.end.capitalize()} end as it will sit{shock}"


def part_words(part: str, end: BuiltEnd, sizes: SectionSizes) -> str:
    """Return a part's line in the list: its name and those of its sizes that are known."""
    if part in _NAMES:
        return _NAMES[part]
    known = _known(part, end, sizes)
    return ", ".join([_name(part, end), *known])


def opening_words(end: BuiltEnd, sizes: SectionSizes) -> str | None:
    """Return the opening between the tabs as its dimension says it; None where nobody gave it."""
    if "gap" in sizes.by_eye or end.tabs is None:
        return None
    return f"opening {length(sizes.gap)}"


def clearance_words(end: BuiltEnd) -> str | None:
    """Return the room between hardware and tabs; None where nobody can say."""
    if end.clearance_mm is None:
        return None
    low, high = end.clearance_mm
    size = length(low) if low == high else f"{length(low)} to {length(high)}"
    how = "from the reading" if end.clearance_is == "read" else "assumed"
    return f"Clearance, both sides together: {size} mm, {how}"


def by_eye_words(sizes: SectionSizes) -> str | None:
    """Return what is drawn without being known; None when nothing is."""
    named = [words for code, words in _BY_EYE.items() if code in sizes.by_eye]
    return f"Not known, so drawn by eye: {_listed(named)}" if named else None


def width_text(sizes: SectionSizes) -> str:
    """Return the width that stands between the tabs, as the trade writes it."""
    return f"width {length(trade_width(sizes.width))}"


def description(end: BuiltEnd, sizes: SectionSizes, parts: Iterable[str]) -> str:
    """Return all that the drawing tells, as sentences."""
    said = [
        "Cut along the bolt’s axis, to scale.",
        f"Between the tabs, from outside inwards: {'; '.join(part_words(p, end, sizes) for p in parts)}.",
    ]
    if end.kit is not None or end.mount == "bearing":
        said.append(f"Width of the hardware {length(trade_width(sizes.width))} mm.")
    return " ".join([*said, *(f"{note}." for note in notes(end, sizes))])


def notes(end: BuiltEnd, sizes: SectionSizes) -> list[str]:
    """Return what stands under the list of parts: how the opening is known, the clearance, what is by eye."""
    opening = None
    if opening_words(end, sizes) and end.tabs is not None:
        how = "as read" if end.tabs.gap_is == "read" else "by the size’s name"
        opening = f"Opening between the tabs {length(sizes.gap)} mm, {how}"
    return [note for note in (opening, clearance_words(end), by_eye_words(sizes)) if note]


def length(mm: Decimal) -> str:
    """Return a length as it is written at the bench: to hundredths at most."""
    return plain(round(mm, 2))


def _name(part: str, end: BuiltEnd) -> str:
    polymer = end.kit is not None and end.kit.style.bushing == "polymer"
    names = {
        "spacer": "Spacer, one a side",
        "eyelet": "Eyelet",
        "bearing": "Bearing",
        "bushing": "Bushing of plastic, two halves" if polymer else "Bushing, metal",
        "sleeve": "Sleeve",
        "sleeve_half": "Sleeve in two halves",
        "bolt": f"Frame bolt {bolt_label(end.bolt_mm)}" if end.bolt_mm else "Frame bolt",
    }
    return names[part]


def _known(part: str, end: BuiltEnd, sizes: SectionSizes) -> list[str]:
    guessed = sizes.by_eye
    sleeve = [] if "sleeve" in guessed else [f"outside {length(sizes.sleeve)}"]
    inside = [] if "sleeve" in guessed else [f"inside {length(sizes.sleeve)}"]
    bore = [] if "bore" in guessed else [length(sizes.bore)]
    return {
        "spacer": [] if "eyelet_width" in guessed else [f"{length(sizes.side)} long{_side_holds(end)}"],
        "eyelet": [
            *([] if "eyelet_width" in guessed else [f"{length(sizes.eyelet_width)} wide"]),
            *(f"bore {b}" for b in bore),
            *([] if "outer" in guessed else [f"outside {length(sizes.outer)}"]),
        ],
        "bearing": [f"outside {b}" for b in bore],
        "bushing": [*inside, *(f"outside {b}" for b in bore)],
        "sleeve": [
            *(
                []
                if "sleeve_length" in guessed
                else [f"{length(trade_width(end.sleeve_length_mm or sizes.width))} long"]
            ),
            *sleeve,
        ],
        "sleeve_half": [f"{length(sizes.width / 2)} long each", *sleeve],
        "bolt": [],
    }[part]


def _side_holds(end: BuiltEnd) -> str:
    """Return what a spacer's length takes in beside the spacer itself."""
    if end.kit is None:
        return ""
    washer = end.kit.part("crush_washer") is not None
    flange = end.kit.part("bushing") is not None and end.kit.style.bushing == "polymer"
    return {(True, True): " with washer and flange", (True, False): " with its washer",
            (False, True): " with the flange"}.get((washer, flange), "")  # fmt: skip


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
