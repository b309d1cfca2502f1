"""The share of each kind of error in an invented world is near its setting."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from boltspan.domain.claims import Claim
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.values import EndValue
from tests.worlds import Rates, Truth, World
from tests.worlds.people import LEADERS, SHOPS
from tests.worlds.rates import UNSOUND
from tests.worlds.sizes import WIDTHS

WORLD = World(20260501, 4000)
RATES = WORLD.rates

Row = tuple[Truth, Claim, frozenset[str]]
Share = tuple[int, int, float]
"""How many had the error, of how many, and the setting."""


@cache
def rows() -> tuple[Row, ...]:
    return tuple(
        (truth, claim, frozenset(truth.marks.get(claim.id, ())))
        for entry, truth in WORLD.entries()
        for claim in entry.claims
    )


@cache
def careless() -> frozenset[str]:
    return frozenset(p.id for p in WORLD.people() if p.careless)


def share(found: Iterable[bool], setting: float) -> Share:
    seen = list(found)
    return sum(seen), len(seen), setting


def unsound(kind: str) -> Share:
    """Of documents by name and subject; of hand-made statements each by itself. Careless ones are left out."""
    seen: dict[tuple[str, str, str], bool] = {}
    for _, claim, marks in rows():
        if claim.source.kind == kind and "careless" not in marks and "copied_chart" not in marks:
            key = (claim.frame, claim.subject, claim.source.document or claim.id)
            seen[key] = bool(marks & set(UNSOUND))
    return share(seen.values(), RATES.unsound[kind])


def wrong_end() -> Share:
    """Of unsound statements about an end whose frame has two different ones."""
    found = []
    for truth, claim, marks in rows():
        ends = [v for s, v in truth.values.items() if s != "shock_size"]
        if marks & set(UNSOUND) and claim.subject != "shock_size" and ends[0] != ends[1]:
            found.append("wrong_end" in marks)
    return share(found, RATES.wrong_end_of_unsound)


def digit_slip() -> Share:
    return share(("digit_slip" in m for _, c, m in rows() if _writes_a_size(c) and "wrong_mount" not in m),
                 RATES.digit_slip)  # fmt: skip


def _writes_a_size(claim: Claim) -> bool:
    value = claim.value
    return isinstance(value, ShockSize) or (
        isinstance(value, EndValue) and not (value.bolt_mm is None and value.width_mm is None)
    )


def wrong_mount() -> Share:
    named = (m for _, c, m in rows() if isinstance(c.value, EndValue) and c.value.mount is not None)
    return share(("wrong_mount" in m for m in named), RATES.wrong_mount)


def bushing_bore() -> Share:
    return share(("bushing_bore" in m for _, c, m in rows() if _readings(c, "bolt")), RATES.bushing_bore)


def worn() -> Share:
    return share(("worn" in m for _, c, m in rows() if _readings(c, "width")), RATES.worn)


def _readings(claim: Claim, part: str) -> bool:
    found = claim.source.measurement
    if found is None:
        return False
    return bool(found.bolt_readings_mm) if part == "bolt" else found.width_feature == "hardware_width"


def copied_chart() -> Share:
    following = (SHOPS - LEADERS) / SHOPS
    charts = (m for _, c, m in rows() if c.source.kind == "retailer_chart")
    return share(("copied_chart" in m for m in charts), following * RATES.copied_chart)


def careless_claim() -> Share:
    by_hand = ("spec_page", "exploded_diagram", "manual", "measured", "fitted")
    theirs = (m for _, c, m in rows() if c.source.by in careless() and c.source.kind in by_hand)
    return share(("careless" in m for m in theirs), RATES.careless_claim)


def careless_people() -> Share:
    return share((p.careless for p in WORLD.people()), RATES.careless_people)


def ruler_people() -> Share:
    return share((p.has_ruler for p in WORLD.people()), RATES.ruler_people)


def zero_offset_people() -> Share:
    return share((bool(p.zero_mm) for p in WORLD.people() if not p.has_ruler), RATES.zero_offset_people)


def smaller_fitted() -> Share:
    """Of sound fittings of hardware that has a usual width at most half a millimetre below."""
    found = []
    for truth, claim, marks in rows():
        true = truth.values[claim.subject]
        if (
            claim.source.kind == "fitted"
            and isinstance(true, EndValue)
            and true.width_mm
            and marks <= {"smaller_fitted"}
        ):
            below = any(0 < true.width_mm - w <= 0.5 for w in WIDTHS)
            if true.mount == "hardware" and below and not truth.later:
                found.append("smaller_fitted" in marks)
    return share(found, RATES.smaller_fitted)


def running_change() -> Share:
    """Of generations: what follows a divided record or a doubled one is no generation of its own."""
    frames = [(entry.frame, truth) for entry, truth in WORLD.entries()]
    parts = {part for frame, _ in frames if frame.record == "divided" for part in frame.into}
    whole = [(f, t) for f, t in frames if f.record in ("frame", "divided") and f.id not in parts]
    return share((bool(truth.later) for _, truth in whole), RATES.running_change)


def change_recorded() -> Share:
    changed = [entry.frame for entry, truth in WORLD.entries() if truth.later]
    return share((frame.record == "divided" for frame in changed), RATES.change_recorded)


SHARES: dict[str, Callable[[], Share]] = {
    f.__name__: f
    for f in (
        wrong_end, digit_slip, wrong_mount, bushing_bore, worn, copied_chart, careless_claim, careless_people,
        ruler_people, zero_offset_people, smaller_fitted, running_change, change_recorded,
    )
} | {f"unsound {kind}": (lambda kind=kind: unsound(kind)) for kind in RATES.unsound}  # fmt: skip


@pytest.mark.parametrize("error", SHARES)
def test_an_error_is_as_frequent_as_it_is_set_to_be(error: str) -> None:
    """Within four standard deviations of as many even draws, and a tenth of the setting for what is left out."""
    had, of, setting = SHARES[error]()
    assert had >= 5
    spread = math.sqrt(setting * (1 - setting) / of)
    assert had / of == pytest.approx(setting, abs=4 * spread + 0.1 * setting), (had, of)


@pytest.mark.parametrize("rate", ["digit_slip", "bushing_bore", "worn", "copied_chart", "careless_people"])
def test_what_is_set_to_nought_does_not_occur(rate: str) -> None:
    none: dict[str, Any] = {rate: 0.0}
    world = World(3, 150, replace(Rates(), **none))
    mark = "careless" if rate == "careless_people" else rate
    assert not any(mark in marks for _, truth in world.entries() for marks in truth.marks.values())
    assert any(truth.marks for _, truth in world.entries())
