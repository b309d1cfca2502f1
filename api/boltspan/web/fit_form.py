"""The form of a fit sheet: what people wrote into it, as a question to the service; every wrong field is named."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Final, TypeVar
from urllib.parse import urlencode

from boltspan.domain.features import BOLT_FEATURES, WIDTH_FEATURES
from boltspan.domain.fitsheet.facts import (
    AtHand,
    Features,
    InstrumentUsed,
    OldPart,
    OwnReadings,
    ReadingLists,
)
from boltspan.domain.fitsheet.kits import BUSHINGS, O_RINGS, SIDES, SLEEVES, KitStyle
from boltspan.domain.fitsheet.question import FitQuestion, ShockStated, Variant
from boltspan.domain.frames import QUALIFIERS
from boltspan.domain.instruments import KINDS as INSTRUMENTS
from boltspan.domain.labels import RefusedLabel, read_label
from boltspan.domain.lengths import length
from boltspan.domain.presstools import Tool
from boltspan.domain.problems import Problems
from boltspan.domain.shock_values import SHOCK_MOUNTS, ShockEnd, ShockSize
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.domain.values import EndValue
from boltspan.web.bench_words import lowered

T = TypeVar("T")
PLACES: Final = ("first", "second")
"""The frame's ends in the form, in the frame's own order."""
BARE_ENDS: Final = ("upper", "lower")
"""What the ends of a frame that is in no chart are called."""
MOST_TEXT: Final = 4000
MOST_LINES: Final = 200
_NUMBER: Final = re.compile(r"[0-9]{1,5}(?:[.,][0-9]{1,6})?")
_STYLES: Final[Mapping[str, Mapping[str, str]]] = {
    "bushing": BUSHINGS, "sleeve": SLEEVES, "o_rings": O_RINGS, "sides": SIDES,
}  # fmt: skip


class FitForm:
    """What was written into the form, by the names of its fields. Empty fields are as good as absent."""

    def __init__(self, sent: Mapping[str, str]) -> None:
        self.sent = {name: text.strip()[:MOST_TEXT] for name, text in sent.items() if text.strip()}
        self._problems = Problems()

    def __getitem__(self, name: str) -> str:
        return self.sent.get(name, "")

    @property
    def bare(self) -> bool:
        """Whether a frame is written out that is in no chart."""
        return not self["frame"] and not self["q"] and any(self[f"{place}_size"] for place in PLACES)

    @property
    def old_filled(self) -> bool:
        """Whether anything is written about the shock that was in, or its hardware."""
        ends = (f"{place}_{what}" for place in PLACES for what in ("old", "old_bore", "worn", "stays"))
        return any(name.startswith("old_") for name in self.sent) or any(self[name] for name in ends)

    @property
    def bench_filled(self) -> bool:
        """Whether anything is written about what lies on the bench."""
        named = ("at_hand", "tools", "instrument", *_STYLES)
        ends = [f"{place}_{what}" for place in PLACES for what in ("bolt", "width", "tab")]
        return any(self[name] for name in (*named, *ends))

    def address(self, **chosen: str) -> str:
        """Return the page's address for this ``frame``, ``shock`` or ``old_shock`` with all else as it was written."""
        answered = {*chosen, *(("q",) if "frame" in chosen else ())}
        kept = {name: text for name, text in self.sent.items() if name not in answered}
        return f"/fit?{urlencode({**chosen, **kept})}"

    def variant(self) -> Variant | None:
        """Return what the customer says of their bike; None when nothing is. Raises InvalidInput for half of it."""
        kind, value = self._choice("variant_kind", QUALIFIERS), self["variant"]
        if kind is None and value:
            self._wrong("variant_kind", ", ".join(QUALIFIERS))
        elif kind is not None and not value:
            self._wrong("variant", f"what the customer's {kind.replace('_', ' ')} is")
        self._problems.raise_any()
        return None if kind is None else Variant(kind, value)

    def question(
        self, frame: str | None, ends: tuple[str, str], year: int | None = None, *, shock: str | None = None,
        old_shock: str | None = None,
    ) -> FitQuestion:  # fmt: skip
        """Return the question about ``frame`` with these ends; None: the frame that is written out.

        ``shock`` and ``old_shock`` are ids of shocks' records; what is written about them stands beside. Raises
        InvalidInput with every field that is not right, by its name.
        """
        at_hand = tuple(self._each_line("at_hand", _at_hand)) if self["at_hand"] else None
        question = FitQuestion(
            frame=frame,
            year=year if frame is not None else None,
            ends=None if frame is not None else self._bare_ends(ends),
            shock_size=None if frame is not None else self._frame_size(),
            new_shock=self._shock("", shock),
            old_shock=self._shock("old_", old_shock),
            same_shock=bool(self["same_shock"]),
            shock_up=self._choice("shock_up", SHOCK_ENDS),
            old_hardware=self._by_end(ends, self._old),
            readings=self._by_end(ends, self._readings),
            at_hand=at_hand,
            tools=tuple(self._each_line("tools", self._tool)),
            kit_style=self._style(),
        )
        self._problems.raise_any()
        return question

    def _bare_ends(self, ends: tuple[str, str]) -> dict[str, EndValue]:
        return {end: self._end_value(f"{place}_size") for end, place in zip(ends, PLACES, strict=True)}

    def _end_value(self, name: str) -> EndValue:
        """Return what a size as people write it says of one end; nothing for an empty field."""
        if not self[name]:
            return EndValue()
        read = read_label(self[name])
        if isinstance(read, RefusedLabel):
            self._problems.add(f"/{name}", read.reason, lowered(read.advice).rstrip("."), self[name])
            return EndValue()
        if len(read.parts) != 1:
            self._wrong(name, "one end’s size, such as M8 x 22.2, or trunnion")
            return EndValue()
        part = read.parts[0]
        compatible = bool(part.bearing_compatible)
        return EndValue(part.mount, part.bolt_mm, part.width_mm, part.eyelet_bore_mm, bearing_compatible=compatible)

    def _frame_size(self) -> ShockSize | None:
        size = ShockSize(self._mm("frame_eye_to_eye"), self._mm("frame_stroke"))
        return None if size == ShockSize() else size

    def _shock(self, which: str, shock_id: str | None) -> ShockStated | None:
        """Return the shock whose fields' names begin with ``which``."""
        body, shaft = (self._shock_end(f"{which}{name}") for name in SHOCK_ENDS)
        alike = shaft is None and shock_id is None
        shock = ShockStated(
            id=shock_id,
            eye_to_eye_mm=self._mm(f"{which}eye_to_eye"),
            stroke_mm=self._mm(f"{which}stroke"),
            body=None if alike else body,
            shaft=shaft,
            both=body if alike else None,
        )
        return None if shock == ShockStated() else shock

    def _shock_end(self, name: str) -> ShockEnd | None:
        end = ShockEnd(
            self._choice(f"{name}_mount", SHOCK_MOUNTS),
            self._mm(f"{name}_bore"),
            self._mm(f"{name}_width"),
            self._mm(f"{name}_outer"),
        )
        return None if end == ShockEnd() else end

    def _by_end(self, ends: tuple[str, str], of: Callable[[str], T | None]) -> dict[str, T]:
        found = ((end, of(place)) for end, place in zip(ends, PLACES, strict=True))
        return {end: each for end, each in found if each is not None}

    def _old(self, place: str) -> OldPart | None:
        name = f"{place}_old"
        value = self._end_value(name)
        if value == EndValue():
            return None
        if value.bolt_mm is None or value.width_mm is None:
            self._wrong(name, "bolt and width of the old hardware, such as M8 x 22.2")
            return None
        return OldPart(
            value.bolt_mm,
            value.width_mm,
            worn=bool(self[f"{place}_worn"]),
            eyelet_bore_mm=value.eyelet_bore_mm or self._mm(f"{place}_old_bore"),
            stays_in_old_shock=bool(self[f"{place}_stays"]),
        )

    def _readings(self, place: str) -> OwnReadings | None:
        bolt, width = self._many_mm(f"{place}_bolt"), self._many_mm(f"{place}_width")
        if not bolt and not width:
            return None
        features = Features(
            self._choice(f"{place}_bolt_feature", BOLT_FEATURES) if bolt else None,
            self._choice(f"{place}_width_feature", WIDTH_FEATURES) if width else None,
        )
        for part, readings, feature in (("bolt", bolt, features.bolt), ("width", width, features.width)):
            if readings and feature is None:
                self._wrong(f"{place}_{part}_feature", "what was measured")
        instrument = self._choice("instrument", INSTRUMENTS) or "digital_caliper"
        return OwnReadings(InstrumentUsed(instrument), features, ReadingLists(bolt, width), self._mm(f"{place}_tab"))

    def _tool(self, text: str) -> Tool | None:
        """Return a tool written as its name and its three sizes, with ; between them."""
        name, *sizes = (part.strip() for part in text.split(";"))
        if len(sizes) != 3 or not name or not all(_NUMBER.fullmatch(size) for size in sizes):
            self._wrong("tools", "on each line: name; outside; inside; depth", text)
            return None
        outer, inner, depth = (_decimal(size) for size in sizes)
        return Tool(name[:100], outer, inner, depth)

    def _style(self) -> KitStyle | None:
        chosen = {name: self._choice(name, known) for name, known in _STYLES.items()}
        stated = {name: choice for name, choice in chosen.items() if choice is not None}
        return KitStyle(**stated) if stated else None

    def _choice(self, name: str, known: Iterable[str]) -> str | None:
        text = self[name]
        if not text:
            return None
        if text not in known:
            self._wrong(name, ", ".join(known))
            return None
        return text

    def _mm(self, name: str) -> Decimal | None:
        text = self[name].removesuffix("mm").strip()
        if not text:
            return None
        if not _NUMBER.fullmatch(text):
            self._wrong(name, "a number in millimetres, such as 22.2")
            return None
        return self._problems.keep(lambda: length(_decimal(text), f"/{name}"))

    def _many_mm(self, name: str) -> tuple[Decimal, ...]:
        """Return readings with blanks or semicolons between them."""
        texts = self[name].replace(";", " ").split()
        if not all(_NUMBER.fullmatch(text) for text in texts):
            self._wrong(name, "numbers in millimetres with blanks between them, such as 22.31 22.33")
            return ()
        return tuple(_decimal(text) for text in texts)

    def _each_line(self, name: str, of: Callable[[str], T | None]) -> list[T]:
        lines = [line.strip() for line in self[name].splitlines() if line.strip()]
        if len(lines) > MOST_LINES:
            self._problems.add(
                f"/{name}", "too_many", "so many lines are too many", len(lines), f"at most {MOST_LINES}"
            )
            return []
        return [found for line in lines if (found := of(line)) is not None]

    def _wrong(self, name: str, accepted: str, got: str | None = None) -> None:
        self._problems.add(f"/{name}", "not_read", "this cannot be read", got or self[name] or None, accepted)


def _at_hand(text: str) -> AtHand:
    """Return a line of stock: a label, or the shop's own name of it, =, and the label."""
    article, is_named, label = text.partition("=")
    return AtHand(article=article.strip()[:100], label=label.strip()) if is_named else AtHand(label=text)


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))
