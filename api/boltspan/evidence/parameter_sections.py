"""The sections of the parameter file: each field says what it accepts."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple


class Accepts(NamedTuple):
    """What a field accepts: in words for the message, and as a test."""

    words: str
    holds: Callable[[Any], bool]


def _is_number(value: Any) -> bool:
    return type(value) in (int, float) and math.isfinite(value)


def _parameter(words: str, holds: Callable[[Any], bool]) -> Any:
    return field(metadata={"accepts": Accepts(words, holds)})


def _length() -> Any:
    return _parameter("a finite number", _is_number)


def _positive() -> Any:
    return _parameter("a number over 0", lambda value: _is_number(value) and value > 0)


def _share() -> Any:
    return _parameter("a share between 0 and 1, both excluded", lambda value: _is_number(value) and 0 < value < 1)


def _count(least: int = 1) -> Any:
    return _parameter(f"a whole number from {least} up", lambda value: type(value) is int and value >= least)


def _are_numbers(value: Any, size: int | None) -> bool:
    return isinstance(value, tuple) and (size is None or len(value) == size) and all(map(_is_number, value))


def _numbers(size: int | None = None) -> Any:
    words = "a list of numbers" if size is None else f"{size} numbers"
    return _parameter(words, lambda value: _are_numbers(value, size))


def _shares(size: int) -> Any:
    return _parameter(
        f"{size} shares that add up to 1",
        lambda value: _are_numbers(value, size) and min(value) >= 0 and math.isclose(sum(value), 1.0),
    )


def _pairs() -> Any:
    return _parameter(
        "a list of pairs of numbers",
        lambda value: isinstance(value, tuple) and len(value) > 0 and all(_are_numbers(pair, 2) for pair in value),
    )


@dataclass(frozen=True, slots=True)
class Source:
    """What is expected of a kind of source before its contributor is known."""

    unsound: float = _share()
    slip: float = _share()


@dataclass(frozen=True, slots=True)
class Instrument:
    """How a kind of tool reads; mm."""

    resolution_mm: float = _positive()
    repeat_sd_mm: float = _positive()
    systematic_sd_mm: float = _positive()


@dataclass(frozen=True, slots=True)
class Mount:
    """How often a mount is misnamed, and how often readings of an end with bearings do not say that it is one.

    `bearing_unnamed` is a share of what readings of hardware say nothing of their mount.
    """

    misnamed: float = _share()
    bearing_unnamed: float = _share()


@dataclass(frozen=True, slots=True)
class Fitted:
    """How the size that was fitted relates to the size that is right."""

    exact: float = _share()
    smaller: float = _share()
    smaller_reach_mm: float = _positive()


@dataclass(frozen=True, slots=True)
class Slip:
    """How wrong digits are spread."""

    anywhere_share: float = _share()
    anywhere_places: float = _positive()
    step_share: float = _share()
    step_tolerance_mm: float = _positive()
    grid_mm: float = _positive()
    steps: tuple[tuple[float, float], ...] = _pairs()


@dataclass(frozen=True, slots=True)
class Reading:
    """How a measurement goes wrong."""

    tail_share: float = _share()
    tail_factor: float = _positive()
    wrong_bore_share: float = _share()
    wrong_bores: tuple[tuple[float, float], ...] = _pairs()
    wrong_bore_sd_mm: float = _positive()
    wrong_bore_range_mm: float = _positive()
    wrong_width_share: float = _share()
    wrong_width_range_mm: float = _positive()


@dataclass(frozen=True, slots=True)
class Bolt:
    """The bolts there are, and what a tool meets on each."""

    nominal_mm: tuple[float, ...] = _numbers()
    crest_limits_mm: tuple[tuple[float, float], ...] = _pairs()
    shank_shift_mm: float = _length()
    shank_sd_mm: float = _positive()
    sleeve_bore_shift_mm: float = _length()
    sleeve_bore_sd_mm: float = _positive()
    feature_unstated: tuple[float, ...] = _shares(3)
    feature_thread_crest: tuple[float, ...] = _shares(3)
    feature_shank: tuple[float, ...] = _shares(3)
    feature_sleeve_bore: tuple[float, ...] = _shares(3)
    inch_mm: tuple[float, ...] = _numbers()
    inch_tolerance_mm: float = _positive()


@dataclass(frozen=True, slots=True)
class Width:
    """What a tool meets between the tabs or across the hardware."""

    shift_mm: tuple[float, ...] = _numbers(3)
    sd_mm: tuple[float, ...] = _numbers(3)
    condition_unstated: tuple[float, ...] = _shares(3)
    condition_hardware_width: tuple[float, ...] = _shares(3)
    condition_tab_gap: tuple[float, ...] = _shares(3)


@dataclass(frozen=True, slots=True)
class Sizes:
    """When two sizes are one, and when bolt and width stand in the wrong order."""

    width_tolerance_mm: float = _positive()
    bolt_tolerance_mm: float = _positive()
    same_width_mm: float = _positive()
    exchanged_bolt_from_mm: float = _positive()
    exchanged_width_to_mm: float = _positive()


@dataclass(frozen=True, slots=True)
class Prior:
    """What is expected of an end before any claim."""

    mount_pseudo: float = _positive()
    mount_hardware: float = _share()
    mount_bearing: float = _share()
    mount_open_eyelet: float = _share()
    mount_proprietary: float = _share()
    mount_trunnion: float = _share()
    bolt_pseudo: tuple[float, ...] = _numbers()
    width_pseudo: float = _positive()
    independence_pseudo: float = _positive()
    novel_share: float = _share()
    novel_places: int = _count()
    novel_whole: float = _positive()
    novel_half: float = _positive()
    novel_other: float = _positive()
    unlisted_least: float = _share()
    width_range_mm: tuple[float, ...] = _numbers(2)
    width_margin_mm: float = _positive()


@dataclass(frozen=True, slots=True)
class Reliability:
    """How rates are learnt from agreement."""

    contributor_pseudo: float = _positive()
    source_pseudo: float = _positive()
    rounds: int = _count()
    unsound_least: float = _share()
    unsound_most: float = _share()


@dataclass(frozen=True, slots=True)
class Offset:
    """How the zero error of a caliper is learnt."""

    prior_sd_mm: float = _positive()
    reading_sd_mm: float = _positive()
    part_sd_mm: float = _positive()
    least_claims: int = _count()
    window_mm: float = _positive()
    sure_width: float = _share()


@dataclass(frozen=True, slots=True)
class Pair:
    """How the two ends of a frame bear on each other."""

    other_end_share: float = _share()
    alike: float = _share()
    states: int = _count()


@dataclass(frozen=True, slots=True)
class Split:
    """How likely an end is to have two true values."""

    chance: float = _share()
    second_value: float = _share()
    candidates: int = _count()


@dataclass(frozen=True, slots=True)
class Decision:
    """When the machine accepts, and when it calls a conflict."""

    accept: float = _share()
    witnesses: int = _count()
    conflict_ratio: float = _positive()
    conflict_claims: int = _count()
    listed: float = _share()


@dataclass(frozen=True, slots=True)
class MeasurementValue:
    """What a wrong answer and a question cost, in reviews."""

    wrong_cost: float = _positive()
    asking_cost: float = _positive()
    values: int = _count()
    unsound: float = _share()
    spread: float = _positive()
