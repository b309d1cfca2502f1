"""What a fit sheet is never worked out from: impossible pairs and sizes, each told with its field."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from boltspan.domain.assumptions import READINGS_APART_MM
from boltspan.domain.features import BOLT_FEATURES, WIDTH_FEATURES
from boltspan.domain.fitsheet.facts import Bench, FrameFacts, OldPart, OwnReadings, ShockFacts
from boltspan.domain.fitsheet.kits import BUSHINGS, O_RINGS, SIDES, SLEEVES, KitStyle
from boltspan.domain.fitsheet.verdicts import narrower
from boltspan.domain.instruments import ASSUMED_KINDS, KINDS
from boltspan.domain.lengths import plain
from boltspan.domain.preconditions import require_length
from boltspan.domain.problems import Problems
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.shock_values import BEARINGS, SHOCK_MOUNTS, ShockEnd
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.domain.value_sizes import (
    BOLT_RANGE,
    BORE_RANGE,
    EYE_TO_EYE_RANGE,
    EYELET_OUTER_RANGE,
    EYELET_WIDTH_RANGE,
    STROKE_RANGE,
    WIDTH_RANGE,
)

MOST_ENTRIES: Final = 1000
MOST_READINGS: Final = 100
SLEEVE_RANGE: Final = (Decimal(5), Decimal(30))
READING_RANGE: Final = (Decimal(0), Decimal(2000))
STEP_RANGE: Final = (Decimal(0), Decimal(5))
TAB_RANGE: Final = (Decimal(0), Decimal(60))
MOST_TOLERANCE: Final = Decimal(2)
"""More than this is no tolerance between two names of one size but another size (judgement)."""

Bounds = tuple[Decimal, Decimal]
_SHOCK_END: Final[dict[str, Bounds]] = {
    "eyelet_bore_mm": BORE_RANGE, "eyelet_width_mm": EYELET_WIDTH_RANGE, "eyelet_outer_mm": EYELET_OUTER_RANGE,
}  # fmt: skip
_SHOCK: Final[dict[str, Bounds]] = {"eye_to_eye_mm": EYE_TO_EYE_RANGE, "stroke_mm": STROKE_RANGE}
_OLD_PART: Final[dict[str, Bounds]] = {
    "bolt_mm": BOLT_RANGE, "width_mm": WIDTH_RANGE, "eyelet_bore_mm": BORE_RANGE,
    "eyelet_width_mm": EYELET_WIDTH_RANGE, "bushing_outer_mm": BORE_RANGE,
    "bushing_inner_mm": SLEEVE_RANGE, "sleeve_outer_mm": SLEEVE_RANGE, "sleeve_length_mm": WIDTH_RANGE,
}  # fmt: skip
_AT_HAND: Final[dict[str, Bounds]] = {"bolt_mm": BOLT_RANGE, "width_mm": WIDTH_RANGE, "eyelet_bore_mm": BORE_RANGE}


def check_facts(frame: FrameFacts, bench: Bench) -> None:
    """Raise InvalidInput with every impossible thing in ``bench``, each named by its JSON Pointer in the question."""
    problems = Problems()
    names = tuple(each.end for each in frame.ends)
    _check_shocks(problems, names, bench)
    for group, given in (("old_hardware", bench.old_hardware), ("readings", bench.readings)):
        for end in sorted(set(given) - set(names)):
            problems.add(f"/{group}/{end}", "unknown_end", "the frame has no end of this name", end, ", ".join(names))
    for end, part in bench.old_hardware.items():
        _check_old_part(problems, f"/old_hardware/{end}", part, bench.readings.get(end))
    for end, readings in bench.readings.items():
        _check_readings(problems, f"/readings/{end}", readings)
    _check_at_hand(problems, bench)
    if bench.kit_style is not None:
        _check_style(problems, bench.kit_style)
    problems.raise_any()


def _check_shocks(problems: Problems, names: tuple[str, ...], bench: Bench) -> None:
    for name, shock in (("new_shock", bench.new_shock), ("old_shock", bench.old_shock)):
        if shock is not None:
            _check_shock(problems, f"/{name}", shock)
    if bench.same_shock and bench.new_shock is not None and bench.old_shock not in (None, bench.new_shock):
        problems.add("/same_shock", "two_shocks", "the same shock goes back in, yet two different ones are named", True,
                     "one shock, or same_shock left out")  # fmt: skip
    if bench.same_shock and bench.shock is None:
        problems.add("/same_shock", "shock_missing", "the shock that goes back in is not named", True, "old_shock")
    up = bench.shock_up
    if up is not None and up not in SHOCK_ENDS:
        problems.add("/shock_up", "not_one_of", "a shock has no such end", up, ", ".join(SHOCK_ENDS))
    elif up is not None and names[0] in SHOCK_ENDS and up != names[0]:
        problems.add("/shock_up", "other_way_up", "the frame's own names of its ends say which end of the shock goes "
                     "where", up, names[0])  # fmt: skip


def _check_shock(problems: Problems, at: str, shock: ShockFacts) -> None:
    _check_sizes(problems, at, shock, _SHOCK)
    long, stroke = shock.eye_to_eye_mm, shock.stroke_mm
    if long is not None and stroke is not None and stroke >= long:
        problems.add(f"{at}/stroke_mm", "stroke_longer_than_shock", "the stroke is as long as the shock or longer",
                     plain(stroke), f"under {plain(long)}")  # fmt: skip
    if shock.both is not None and (shock.body is not None or shock.shaft is not None):
        problems.add(f"{at}/both", "end_named_twice", "both ends are stated, and one of them again", "both",
                     "both, or body and shaft")  # fmt: skip
    for name in ("both", *SHOCK_ENDS):
        end = getattr(shock, name)
        if end is not None:
            _check_shock_end(problems, f"{at}/{name}", end)


def _check_shock_end(problems: Problems, at: str, end: ShockEnd) -> None:
    if end.mount is not None and end.mount not in SHOCK_MOUNTS:
        problems.add(f"{at}/mount", "not_one_of", "a shock has no such end", end.mount, ", ".join(SHOCK_MOUNTS))
    _check_sizes(problems, at, end, _SHOCK_END)
    if end.mount == "trunnion":
        for name in _SHOCK_END:
            if getattr(end, name) is not None:
                problems.add(f"{at}/{name}", "field_not_taken", "a trunnion end has no eyelet",
                             plain(getattr(end, name)), "no such field")  # fmt: skip
    if end.bearings is not None and end.mount != "bearing_eyelet":
        problems.add(f"{at}/bearings", "field_not_taken", "only a bearing eyelet has bearings", end.bearings,
                     "no such field")  # fmt: skip
    elif end.bearings is not None and end.bearings not in BEARINGS:
        problems.add(f"{at}/bearings", "not_one_of", "bearings can be swapped or not", end.bearings,
                     ", ".join(BEARINGS))  # fmt: skip
    bore, outer = end.eyelet_bore_mm, end.eyelet_outer_mm
    if bore is not None and outer is not None and outer <= bore:
        problems.add(f"{at}/eyelet_outer_mm", "outer_under_bore", "the eyelet's outside is no larger than its bore",
                     plain(outer), f"over {plain(bore)}")  # fmt: skip


def _check_old_part(problems: Problems, at: str, part: OldPart, readings: OwnReadings | None) -> None:
    _check_sizes(problems, at, part, _OLD_PART)
    for small, large, code, detail in (
        ("bushing_inner_mm", "bushing_outer_mm", "outer_under_inner", "the bushing's outside is no larger than its "
         "inside"),
        ("bolt_mm", "sleeve_outer_mm", "outer_under_inner", "the sleeve's outside is no larger than its bolt"),
        ("bolt_mm", "eyelet_bore_mm", "bolt_over_bore", "the eyelet's bore is no larger than the bolt"),
    ):  # fmt: skip
        less, more = getattr(part, small), getattr(part, large)
        if less is not None and more is not None and more <= less:
            problems.add(f"{at}/{large}", code, detail, plain(more), f"over {plain(less)}")
    sleeve, bushing = part.sleeve_outer_mm, part.bushing_inner_mm
    if sleeve is not None and bushing is not None and sleeve > bushing:
        problems.add(f"{at}/sleeve_outer_mm", "sleeve_over_bushing", "the sleeve is larger than its bushing",
                     plain(sleeve), f"at most {plain(bushing)}")  # fmt: skip
    if part.eyelet_width_mm is not None and narrower(part.width_mm, part.eyelet_width_mm):
        problems.add(f"{at}/eyelet_width_mm", "eyelet_wider_than_hardware", "the eyelet is wider than its hardware",
                     plain(part.eyelet_width_mm), f"at most {plain(part.width_mm)}")  # fmt: skip
    length = part.sleeve_length_mm
    if length is None:
        return
    room, name = part.width_mm, "the hardware's width"
    if readings is not None and readings.features.width == "tab_gap" and readings.readings_mm.width:
        gap = max(readings.readings_mm.width)
        room, name = (gap, "the opening as read") if gap < room else (room, name)
    if length > room:
        problems.add(f"{at}/sleeve_length_mm", "sleeve_longer_than_gap", f"the sleeve is longer than {name}",
                     plain(length), f"at most {plain(room)}")  # fmt: skip


def _check_readings(problems: Problems, at: str, given: OwnReadings) -> None:
    if given.instrument.kind not in KINDS:
        problems.add(f"{at}/instrument/kind", "not_one_of", "this is no kind of instrument", given.instrument.kind,
                     ", ".join(KINDS))  # fmt: skip
    kind = given.instrument.kind
    _check_size(problems, f"{at}/instrument/resolution_mm", given.instrument.resolution_mm, STEP_RANGE)
    _check_size(problems, f"{at}/tab_thickness_mm", given.tab_thickness_mm, TAB_RANGE)
    for part, known in (("bolt", BOLT_FEATURES), ("width", WIDTH_FEATURES)):
        feature, readings = getattr(given.features, part), getattr(given.readings_mm, part)
        if (feature is None) == bool(readings):
            problems.add(f"{at}/readings_mm/{part}", "feature_and_readings",
                         "readings go with the feature that was measured", len(readings),
                         f"{part} in both features and readings_mm, or in neither")  # fmt: skip
        if feature is not None and feature not in known:
            problems.add(f"{at}/features/{part}", "not_one_of", f"this is no feature of the {part}", feature,
                         ", ".join(known))  # fmt: skip
        if len(readings) > MOST_READINGS:
            problems.add(f"{at}/readings_mm/{part}", "wrong_number_of_entries", "too many readings", len(readings),
                         f"at most {MOST_READINGS}")  # fmt: skip
        for place, reading in enumerate(readings):
            _check_size(problems, f"{at}/readings_mm/{part}/{place}", reading, READING_RANGE)
        _check_together(problems, f"{at}/readings_mm/{part}", readings, READINGS_APART_MM[kind in ASSUMED_KINDS])
    if not given.readings_mm.bolt and not given.readings_mm.width:
        problems.add(f"{at}/readings_mm", "nothing_stated", "there is no reading", None, "bolt, width or both")


def _check_together(problems: Problems, at: str, readings: tuple[Decimal, ...], most: Decimal) -> None:
    known = [reading for reading in readings if reading.is_finite()]
    if known and max(known) - min(known) > most:
        problems.add(at, "readings_far_apart", "these are not readings of one thing: measure each anew",
                     f"{plain(min(known))} to {plain(max(known))}", f"at most {plain(most)} mm apart")  # fmt: skip


def _check_at_hand(problems: Problems, bench: Bench) -> None:
    for name, entries in (("at_hand", bench.at_hand or ()), ("tools", bench.tools)):
        if len(entries) > MOST_ENTRIES:
            problems.add(f"/{name}", "wrong_number_of_entries", "too many entries", len(entries),
                         f"at most {MOST_ENTRIES}")  # fmt: skip
    for place, entry in enumerate((bench.at_hand or ())[:MOST_ENTRIES]):
        at = f"/at_hand/{place}"
        numbers = entry.bolt_mm is not None and entry.width_mm is not None
        some = any(getattr(entry, name) is not None for name in _AT_HAND)
        if (entry.label is not None and some) or (entry.label is None and not numbers):
            problems.add(at, "size_missing", "a size is its label, or its bolt and its width", entry.article,
                         "label; or bolt_mm and width_mm, with eyelet_bore_mm where it is known")  # fmt: skip
        _check_sizes(problems, at, entry, _AT_HAND)
    for place, tool in enumerate(bench.tools[:MOST_ENTRIES]):
        for name in ("outer_mm", "inner_mm", "depth_mm"):
            _check_size(problems, f"/tools/{place}/{name}", getattr(tool, name), READING_RANGE)
        if tool.inner_mm >= tool.outer_mm:
            problems.add(f"/tools/{place}/outer_mm", "outer_under_inner", "the tool's outside is no larger than its "
                         "inside", tool.outer_mm, f"over {tool.inner_mm}")  # fmt: skip


def _check_style(problems: Problems, style: KitStyle) -> None:
    for name, known in (("bushing", BUSHINGS), ("sleeve", SLEEVES), ("o_rings", O_RINGS), ("sides", SIDES)):
        word = getattr(style, name)
        if word not in known:
            problems.add(f"/kit_style/{name}", "not_one_of", "no kit is made like this", word, ", ".join(known))
    if style.sleeve == "two_piece" and style.sides != "spacer":
        problems.add("/kit_style/sides", "does_not_go_together", "in the two-piece style spacer and sleeve are one "
                     "piece", style.sides, "spacer, or sides left out")  # fmt: skip


def _check_sizes(problems: Problems, at: str, holder: object, bounds: Mapping[str, Bounds]) -> None:
    for name, within in bounds.items():
        _check_size(problems, f"{at}/{name}", getattr(holder, name), within)


def _check_size(problems: Problems, at: str, value: Decimal | None, within: Bounds) -> None:
    if value is None:
        return
    lo, hi = within
    try:
        require_length(at, value)
        sound = lo < value <= hi
    except BenchRefusal:
        sound = False
    if not sound:
        accepted = f"over {plain(lo)}, at most {plain(hi)} mm"
        problems.add(at, "impossible_size", "no such part has this size", str(value)[:80], accepted)
