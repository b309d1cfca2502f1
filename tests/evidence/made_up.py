"""A made-up world of frames, people and claims, with the truth behind it; the same for the same seed.

It is only roughly the world the model expects: sources err more, calipers read heavily tailed and off zero, shops copy.
All sizes and people are invented.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from typing import Any, Final

BOLTS: Final = {6.0: 0.05, 8.0: 0.66, 10.0: 0.25, 12.0: 0.03, 12.7: 0.01}
WIDTHS: Final = (
    16, 18, 19.4, 20, 21.8, 22, 22.2, 23.5, 24, 25.4, 26, 28, 29.5, 30, 31.8, 33, 34.9, 36, 38.1, 40, 42, 44.5, 46,
    49.2, 52, 55, 58, 60, 64, 67,
)  # fmt: skip
MOUNTS: Final = {"hardware": 0.62, "trunnion": 0.16, "open_eyelet": 0.08, "bearing": 0.09, "proprietary": 0.05}
UNSOUND: Final = {
    "spec_page": 0.05, "exploded_diagram": 0.04, "manual": 0.04, "maker_reply": 0.03, "retailer_chart": 0.15,
    "fitted": 0.06, "caliper": 0.08, "ruler": 0.1,
}  # fmt: skip
SOURCES: Final = {
    "spec_page": 20, "exploded_diagram": 5, "manual": 3, "maker_reply": 6, "retailer_chart": 20, "fitted": 4,
    "caliper": 32, "ruler": 10,
}  # fmt: skip
FEATURES: Final = ("thread_crest", "shank", "sleeve_bore")
CREST: Final = {6.0: 5.88, 8.0: 7.87, 10.0: 9.85, 12.0: 11.83, 12.7: 12.56}

Value = tuple[Any, ...]


class World:
    """`document` is what `resolve` takes; `truth` has the true value of each end, by end_id."""

    def __init__(self, ends: int, seed: int) -> None:
        self.random = random.Random(f"made-up claims {seed}")
        self.sizes = {
            (bolt, float(width)): share * self.random.gammavariate(0.4, 1)
            for bolt, share in BOLTS.items()
            for width in WIDTHS
        }
        self.people = [(f"p{i:03d}", self.random.gauss(0, 0.06)) for i in range(max(20, ends // 12))]
        self.activity = [(i + 1) ** -0.8 for i in range(len(self.people))]
        self.truth: dict[str, Value] = {}
        self.pages: dict[str, Value] = {}
        rows: list[dict[str, Any]] = []
        claims: list[dict[str, Any]] = []
        for number in range(ends // 2):
            first = self._value()
            second = first if self.random.random() < 0.3 else self._value()
            names = (f"f{number:05d}/a", f"f{number:05d}/b")
            for end_id, other, value in ((*names, first), (*names[::-1], second)):
                self.truth[end_id] = value
                rows.append({"end_id": end_id, "frame_id": f"f{number:05d}", "other_end": other})
        for end_id in self.truth:
            for _ in range(self.random.choice((1, 2, 3, 5, 8))):
                claims.append(self._claim(end_id, len(claims)))
        self.document = {"catalogue": self._catalogue(), "ends": rows, "claims": claims}

    def _pick(self, weights: Mapping[Any, float]) -> Any:
        return self.random.choices(list(weights), list(weights.values()))[0]

    def _value(self) -> Value:
        mount = self._pick(MOUNTS)
        if mount != "hardware":
            return (mount,)
        if self.random.random() < 0.02:
            return (mount, self._pick(BOLTS), self.random.randint(150, 690) / 10)
        return (mount, *self._pick(self.sizes))

    def _catalogue(self) -> list[dict[str, Any]]:
        counts: dict[Value, int] = {}
        for _ in range(1400):
            value = self._value()
            if len(value) == 1 or value[2] in WIDTHS:
                counts[value] = counts.get(value, 0) + 1
        return [{**_fields(value), "count": count} for value, count in sorted(counts.items())]

    def _wrong(self, end_id: str) -> Value:
        other = end_id[:-1] + ("b" if end_id.endswith("a") else "a")
        return self.truth[other] if self.random.random() < 0.4 else self._value()

    def _claim(self, end_id: str, sequence: int) -> dict[str, Any]:
        source = self._pick(SOURCES)
        person, zero_mm = self.random.choices(self.people, self.activity)[0]
        claim = {"claim_id": f"c{sequence:06d}", "end_id": end_id, "source": source, "contributor": person}
        value = self.truth[end_id]
        unsound = self.random.random() < UNSOUND[source]
        if source in ("caliper", "ruler", "fitted"):
            value = self._wrong(end_id) if unsound else value
        else:
            page = f"{source}:{end_id}:{self.random.randint(0, 1)}"
            value = self.pages.setdefault(page, self._wrong(end_id) if unsound else value)
            if self.random.random() < 0.8:
                claim["document_id"] = page
        claim["sequence"] = sequence
        if source in ("caliper", "ruler") and value[0] == "hardware":
            return claim | self._readings(source, zero_mm, value[1], value[2])
        return claim | _fields(value)

    def _readings(self, tool: str, zero_mm: float, bolt: float, width: float) -> dict[str, Any]:
        rnd = self.random
        feature = rnd.choice(FEATURES)
        at = {"thread_crest": CREST[bolt], "shank": bolt - 0.02, "sleeve_bore": bolt + 0.08}[feature]
        width += rnd.choice((0, 0, 0, -0.12, 0.08))
        if rnd.random() < 0.06:
            at = rnd.choice((12.75, 15.0))
        count = rnd.choice((1, 1, 3))

        def read(size: float) -> float:
            noise = rnd.gauss(0, 1) / math.sqrt(rnd.gammavariate(2, 0.5))
            return round(size + zero_mm + 0.04 * noise, 2) if tool == "caliper" else round(2 * (size + 0.3 * noise)) / 2

        sizes = {"bolt_mm": [read(at) for _ in range(count)], "width_mm": [read(width) for _ in range(count)]}
        stated = {"feature": feature} if rnd.random() < 0.5 else {}
        return {"mount": "hardware", **stated, **sizes}


def _fields(value: Value) -> dict[str, Any]:
    return {"mount": value[0]} if len(value) == 1 else dict(zip(("mount", "bolt_mm", "width_mm"), value, strict=True))


def value_of(candidate: dict[str, Any]) -> Value:
    """The value of a written candidate, in the form of the truth."""
    sizes = (candidate["bolt_mm"], candidate["width_mm"]) if "bolt_mm" in candidate else ()
    return (candidate["mount"], *sizes)
