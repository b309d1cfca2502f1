"""What one end of the frame needs, by the chart and the asker's own readings together; or why that is not known."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from boltspan.domain.fitsheet.facts import FrameEndFacts
from boltspan.domain.fitsheet.own_readings import Reading
from boltspan.domain.values import EndValue

_SAME_READINGS: Final = ("bearing", "open_eyelet", "proprietary")
"""Mounts that have a bolt and an opening as hardware has."""


@dataclass(frozen=True, slots=True)
class Need:
    """The mount of an end and its size in mm.

    ``width_mm`` is a size by name; ``gap`` a sound reading of the opening, which bounds what may stand in it, with or
    without a name. ``blocked`` is ``not_known`` or ``disputed`` when there is no answer, with the ``reasons``;
    otherwise the reasons say where the size comes from. ``by_readings``: at least part of it was measured on this bike.
    ``at_most_mm``: where readings and chart contradict each other, the smaller width of the two.
    """

    mount: str | None = None
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    eyelet_bore_mm: Decimal | None = None
    bearing_compatible: bool = False
    gap: Reading | None = None
    blocked: str | None = None
    reasons: tuple[str, ...] = ()
    by_readings: bool = False
    at_most_mm: Decimal | None = None

    @property
    def sized(self) -> bool:
        """Whether bolt and width are known, the width by name or by the opening."""
        return self.bolt_mm is not None and (self.width_mm is not None or self.gap is not None)

    @property
    def room_mm(self) -> Decimal | None:
        """The most that can stand between the tabs: the size by name, or the opening with its uncertainty."""
        read = None if self.gap is None else self.gap.mean_mm + self.gap.uncertainty_mm
        return self.width_mm if read is None else read if self.width_mm is None else min(read, self.width_mm)


def need_of(chart: FrameEndFacts, readings: tuple[Reading, ...]) -> Need:
    """Return what the end needs.

    On hold: not known, whatever was read. Readings and chart of which neither is to be trusted: disputed. Without a
    value in the chart readings that decide bolt and width take its place, as of hardware; else the end is not known or
    disputed, as the chart has it.
    """
    if chart.standing == "withheld":
        return Need(blocked="not_known", reasons=("end_withheld",))
    if any(reading.trust == "neither" for reading in readings):
        read = [r for r in readings if r.part == "width"]
        widths = [r.chart_mm for r in read if r.chart_mm is not None]
        widths += [r.mean_mm for r in read if r.mistake is None]
        return Need(blocked="disputed", reasons=("readings_against_chart",), at_most_mm=min(widths, default=None))
    value = chart.value or EndValue()
    need = Need(value.mount, value.bolt_mm, value.width_mm, value.eyelet_bore_mm, value.bearing_compatible)
    for reading in readings:
        need = _with(need, reading)
    if chart.value is None:
        return _unknown_to_chart(chart, need, readings)
    stated = ("size_stated_by_asker",) if chart.stated else ()
    if need.mount is None and not need.sized:
        return replace(need, blocked="not_known", reasons=("size_unknown",))
    if need.mount is None:
        return replace(need, mount="hardware", reasons=(*stated, "mount_not_stated", *_measured(need)))
    if need.mount == "hardware" and not need.sized:
        return replace(need, blocked="not_known", reasons=("size_unknown",))
    return replace(need, reasons=(*stated, *_measured(need)))


def _with(need: Need, reading: Reading) -> Need:
    if reading.mistake is not None or reading.trust == "chart":
        return need
    known = need.bolt_mm if reading.part == "bolt" else need.width_mm
    if reading.part == "width" and reading.coarse and known is None:
        return need
    gap = reading if reading.is_gap else need.gap
    if known is not None and reading.trust is None:
        return replace(need, gap=gap)
    found = {f"{reading.part}_mm": reading.choice_mm}
    return replace(need, gap=gap, by_readings=need.by_readings or reading.choice_mm is not None or gap is reading,
                   **found)  # type: ignore[arg-type]  # fmt: skip


def _measured(need: Need) -> tuple[str, ...]:
    return ("size_by_readings",) if need.by_readings else ()


def _unknown_to_chart(chart: FrameEndFacts, need: Need, readings: tuple[Reading, ...]) -> Need:
    """Return what readings alone say. Of several mounts in dispute bolt and width speak for none."""
    if chart.standing == "disputed" and any(each.mount in _SAME_READINGS for each in chart.candidates):
        return Need(blocked="disputed", reasons=("end_disputed", "mount_disputed"))
    if need.sized:
        return replace(need, mount="hardware", reasons=("size_by_readings",))
    disputed = chart.standing == "disputed"
    reasons = ("end_disputed",) if disputed else ("end_unknown",)
    more = ("readings_not_enough",) if readings else ()
    if any(reading.coarse and reading.part == "width" for reading in readings):
        more = ("readings_too_coarse",)
    return Need(blocked="disputed" if disputed else "not_known", reasons=(*reasons, *more))
