"""What the ends of invented frames truly are, about as often as the trade meets them (common practice, no source)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.shock_values import ShockSize
from boltspan.domain.values import EndValue
from tests.worlds.chances import Chances
from tests.worlds.rates import Rates

MOUNTS: Final = {"hardware": 0.62, "trunnion": 0.16, "bearing": 0.09, "open_eyelet": 0.08, "proprietary": 0.05}
BOLTS: Final = {Decimal(8): 0.66, Decimal(10): 0.25, Decimal(6): 0.05, Decimal(12): 0.03, Decimal("12.7"): 0.01}
WIDTHS: Final = {
    Decimal(width): weight
    for width, weight in (
        ("16", 1), ("18", 1), ("19", 2), ("20", 8), ("21.8", 6), ("22", 5), ("22.2", 14), ("23", 1), ("24", 4),
        ("25", 4), ("25.4", 9), ("26", 2), ("27", 1), ("28", 3), ("30", 13), ("31.75", 2), ("32", 2), ("33", 1),
        ("34", 2), ("35", 4), ("36", 1), ("38.1", 3), ("40", 6), ("42", 1), ("44", 1), ("45", 2), ("48", 1), ("50", 3),
        ("52", 1), ("54", 1), ("55", 2), ("58", 1), ("60", 1), ("64", 1), ("68", 1),
    )
}  # fmt: skip
EYELET_BORES: Final = {Decimal(8): 0.5, Decimal(10): 0.5}
EYELET_SHOCKS: Final = tuple(
    ShockSize(Decimal(length), Decimal(stroke))
    for length, stroke in (
        (190, 45), (210, 50), (210, 55), (230, 60), (230, 65), (250, 70), (250, 75), (200, 57), (216, 63), (222, 70),
    )
)  # fmt: skip
TRUNNION_SHOCKS: Final = tuple(
    ShockSize(Decimal(length), Decimal(stroke))
    for length, stroke in ((165, 45), (185, 50), (185, 55), (205, 60), (205, 65), (225, 70), (225, 75))
)


@dataclass(frozen=True, slots=True)
class Fit:
    """What one frame truly takes: its first end, its second end, its shock."""

    first: EndValue
    second: EndValue
    shock: ShockSize

    def of(self, place: int) -> EndValue | ShockSize:
        """Return what subject ``place`` is: the shock's size (0), the first end (1) or the second (2)."""
        return (self.shock, self.first, self.second)[place]

    def changed(self, place: int, value: EndValue) -> Fit:
        """Return the fit with another first (1) or second (2) end."""
        return Fit(value, self.second, self.shock) if place == 1 else Fit(self.first, value, self.shock)


def draw_fit(chances: Chances, rates: Rates, before: Fit | None = None) -> Fit:
    """Return what a frame takes; one that follows ``before`` keeps some of its ends, and the shock with both."""
    keeps = [before is not None and chances.happens(rates.carried_over) for _ in range(2)]
    if before is not None and all(keeps):
        return before
    first = before.first if before is not None and keeps[0] else draw_end(chances, rates)
    if before is not None and keeps[1]:
        second = before.second
        if second.mount == "trunnion" == first.mount:
            first = hardware(chances, rates)
    elif first.mount == "hardware" and chances.happens(rates.alike_ends):
        second = first
    else:
        second = draw_end(chances, rates, trunnion=False)
    shocks = TRUNNION_SHOCKS if "trunnion" in (first.mount, second.mount) else EYELET_SHOCKS
    return Fit(first, second, chances.one_of(shocks))


def draw_end(chances: Chances, rates: Rates, *, trunnion: bool = True) -> EndValue:
    """Return what an end may be. A shock has a trunnion at one end at most."""
    mount = chances.weighed(MOUNTS)
    if mount == "trunnion" and not trunnion:
        mount = "hardware"
    if mount == "hardware":
        return hardware(chances, rates)
    if mount == "bearing":
        return EndValue("bearing", chances.weighed(BOLTS), chances.weighed(WIDTHS))
    if mount == "open_eyelet":
        return EndValue("open_eyelet", eyelet_bore_mm=chances.weighed(EYELET_BORES))
    return EndValue(mount)


def hardware(chances: Chances, rates: Rates) -> EndValue:
    """Return an end that takes hardware, now and then of a width that hardly anybody makes."""
    width = chances.weighed(WIDTHS)
    if chances.happens(rates.off_catalogue):
        width = Decimal(chances.among(155, 699)) / 10
    return EndValue("hardware", chances.weighed(BOLTS), width, bearing_compatible=chances.happens(0.05))


def other_end(chances: Chances, rates: Rates, but: EndValue) -> EndValue:
    """Return an end that differs from ``but`` in mount or size."""
    while True:
        drawn = draw_end(chances, rates)
        if not same(drawn, but):
            return drawn


def same(a: EndValue | ShockSize, b: EndValue | ShockSize) -> bool:
    """Return whether two true values are one, what else a bearing fits left aside."""
    if isinstance(a, EndValue) and isinstance(b, EndValue):
        return (a.mount, a.bolt_mm, a.width_mm, a.eyelet_bore_mm) == (b.mount, b.bolt_mm, b.width_mm, b.eyelet_bore_mm)
    return a == b
