"""An end as a fit sheet's answer has it, as what the drawing is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from boltspan.domain.drawings.cross_section import cross_section, section_list, section_notes
from boltspan.domain.fitsheet.built import BuiltEnd, Eyelet, Tabs
from boltspan.domain.fitsheet.kits import Kit, KitPart, KitStyle
from boltspan.web.inlined import inlined


@dataclass(frozen=True, slots=True)
class DrawnEnd:
    """A drawing for a page, the words of its numbers, and its notes."""

    drawing: Markup
    parts: tuple[str, ...]
    notes: tuple[str, ...]


def drawn_end(answer: Mapping[str, Any]) -> DrawnEnd | None:
    """Return the drawing of an end of a fit sheet's answer; None where there is nothing to draw."""
    if "built" not in answer:
        return None
    end = built_end(answer["built"], answer.get("kit"))
    drawing = cross_section(end, listed=False)
    return None if drawing is None else DrawnEnd(inlined(drawing), section_list(end), section_notes(end))


def built_end(built: Mapping[str, Any], kit: Mapping[str, Any] | None) -> BuiltEnd:
    """Return the domain's form of an answer's ``built`` and ``kit``; what is absent is None."""
    clearance = built.get("clearance_mm")
    plain = {key: value for key, value in built.items() if key not in ("eyelet", "tabs", "clearance_mm")}
    return BuiltEnd(
        **plain,
        eyelet=Eyelet(**built["eyelet"]),
        tabs=Tabs(**built["tabs"]) if "tabs" in built else None,
        clearance_mm=None if clearance is None else (clearance[0], clearance[1]),
        kit=None if kit is None else _kit(kit),
    )


def _kit(kit: Mapping[str, Any]) -> Kit:
    parts = tuple(KitPart(**{**part, "notes": tuple(part["notes"])}) for part in kit["parts"])
    return Kit(**{**kit, "style": KitStyle(**kit["style"]), "parts": parts})
