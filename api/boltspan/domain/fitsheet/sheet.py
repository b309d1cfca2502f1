"""The fit sheet: for each way the shock can stand in the frame, what to do at both ends."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import BUSHING_INNER_MM, TAB_GAP_OVER_MM, THIN_SIDE_MM
from boltspan.domain.cautions import SIZE_CAUTIONS
from boltspan.domain.fitsheet.at_hand import NotRead, Served, Size, serve, sizes_at_hand
from boltspan.domain.fitsheet.building import build_end, kit_of
from boltspan.domain.fitsheet.built import BuiltEnd
from boltspan.domain.fitsheet.checks import check_facts
from boltspan.domain.fitsheet.facts import Bench, FrameEndFacts, FrameFacts, ShockFacts
from boltspan.domain.fitsheet.kits import Kit, KitStyle
from boltspan.domain.fitsheet.needs import Need, need_of
from boltspan.domain.fitsheet.own_readings import Reading, own_readings
from boltspan.domain.fitsheet.press import Pressing, pressing
from boltspan.domain.fitsheet.shock_size import SizeCheck, check_size
from boltspan.domain.fitsheet.verdicts import FITTED, GOES_IN, EndCase, Verdict, decide
from boltspan.domain.fitsheet.work import Job, fitting, not_in_kit, taking_out
from boltspan.domain.lengths import SAME_SIZE_MM
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.domain.values import EndValue

_OTHER: Final = {"body": "shaft", "shaft": "body"}


@dataclass(frozen=True, slots=True)
class SizeTaken:
    """The size of hardware this end takes, in mm; ``width_mm`` is None when only the opening is known."""

    bolt_mm: Decimal
    label: str
    width_mm: Decimal | None = None
    eyelet_bore_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class EndSheet:
    """What to do at one end, and with what. What does not apply is None or empty.

    ``size`` is what to fetch, or what is moved or kept; ``never_over_mm``: no width over this goes between the tabs.
    """

    end: str
    verdict: str
    standing: str
    advice: str
    shock_end: str | None = None
    reasons: tuple[str, ...] = ()
    size: SizeTaken | None = None
    never_over_mm: Decimal | None = None
    readings: tuple[Reading, ...] = ()
    served: Served = Served()
    kit: Kit | None = None
    built: BuiltEnd | None = None
    pressing: Pressing | None = None
    taking_out: tuple[str, ...] = ()
    fitting: tuple[str, ...] = ()
    not_in_kit: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """One way the shock can stand: ``shock_up`` is its end at the frame's first end, None when both are alike."""

    shock_up: str | None
    ends: tuple[EndSheet, EndSheet]

    @property
    def goes_in(self) -> bool:
        """Whether nothing makes this way impossible."""
        return all(each.verdict != "incompatible" for each in self.ends)


@dataclass(frozen=True, slots=True)
class FitSheet:
    """The whole answer: one way, or both with the question between them; what concerns both ends stands beside."""

    ways: tuple[Way, ...]
    size: SizeCheck
    cautions: tuple[str, ...]
    questions: tuple[str, ...]
    not_read: tuple[NotRead, ...]
    assumed: tuple[Assumed, ...]


def fit_sheet(frame: FrameFacts, bench: Bench) -> FitSheet:
    """Return the fit sheet of one frame and one shock.

    Both ways are answered when the shock's ends differ and nothing says which is where; a frame whose ends are named
    body and shaft says so itself. Raises InvalidInput with every impossible thing in the question.
    """
    check_facts(frame, bench)
    size = check_size(frame, bench)
    stock, unread = sizes_at_hand(bench.at_hand or ())
    shelf = _Shelf(stock, {})
    ways = tuple(_way(frame, bench, size, shelf, up) for up in _ways_up(frame, bench))
    sheets = [each for way in ways for each in way.ends]
    cautions = [*SIZE_CAUTIONS, *(["shock_size_not_compared"] if size.outcome == "not_compared" else [])]
    if bench.shock is not None and not bench.shock.size_listed:
        cautions.append("shock_size_not_listed")
    questions = ["which_way_up"] if len(ways) > 1 else []
    if bench.shock is None:
        questions.append("which_shock")
    elif not (bench.shock.eye_to_eye_mm and bench.shock.stroke_mm):
        questions.append("which_shock_size")
    if not size.frame.complete and not bench.same_shock:
        questions.append("which_frame_shock_size")
    return FitSheet(
        ways,
        size,
        tuple(dict.fromkeys([*cautions, *(code for each in sheets for code in each.cautions)])),
        tuple(dict.fromkeys([*questions, *(code for each in sheets for code in each.questions)])),
        unread,
        tuple(dict.fromkeys([*size.assumed, *(each for sheet in sheets for each in sheet.assumed)])),
    )


def _ways_up(frame: FrameFacts, bench: Bench) -> tuple[str | None, ...]:
    first = frame.ends[0].end
    if first in SHOCK_ENDS:
        return (first,)
    if bench.shock is None or bench.shock.alike:
        return (bench.shock_up,)
    return (bench.shock_up,) if bench.shock_up is not None else SHOCK_ENDS


@dataclass(frozen=True, slots=True)
class _Shelf:
    """What both ways share: the sizes at hand, and each end's readings by the old eyelet's width, read once."""

    sizes: tuple[Size, ...]
    read: dict[tuple[str, Decimal | None], tuple[Reading, ...]]

    def readings(self, chart: FrameEndFacts, bench: Bench, old_width: Decimal | None) -> tuple[Reading, ...]:
        """Return what the readings of an end say."""
        key = (chart.end, old_width)
        if key not in self.read:
            self.read[key] = own_readings(bench.readings.get(chart.end), chart, old_width)
        return self.read[key]


def _way(frame: FrameFacts, bench: Bench, size: SizeCheck, shelf: _Shelf, up: str | None) -> Way:
    first, second = frame.ends
    down = None if up is None else _OTHER[up]
    one, other = _end(first, bench, size, shelf, up), _end(second, bench, size, shelf, down)
    return Way(up, (_beside(one, other), _beside(other, one)))


def _beside(sheet: EndSheet, other: EndSheet) -> EndSheet:
    """Return an end's sheet as it is with that of the other end: no work where the shock does not go in at all."""
    if other.verdict != "incompatible" or sheet.verdict not in GOES_IN:
        return sheet
    reasons = (*sheet.reasons, "other_end_incompatible")
    return replace(sheet, advice="do_not_sell", reasons=reasons, taking_out=(), fitting=())


def _end(chart: FrameEndFacts, bench: Bench, size: SizeCheck, shelf: _Shelf, shock_end: str | None) -> EndSheet:
    eyelet = _eyelet(bench.shock, shock_end)
    old, before = bench.old_hardware.get(chart.end), _eyelet(bench.old_shock, shock_end)
    taken_out = _old_eyelet(bench, shock_end)
    old_width = None if old is None else old.eyelet_width_mm
    old_width = old_width or (None if before is None else before.eyelet_width_mm)
    readings = shelf.readings(chart, bench, old_width)
    need = need_of(chart, readings)
    shock = bench.shock
    seen = old is not None or any(not reading.of_the_frame for reading in readings)
    case = EndCase(
        need, size, shock is not None, eyelet, old,
        old_bore_mm=None if old is None else old.eyelet_bore_mm or taken_out.eyelet_bore_mm,
        old_eyelet_mm=None if old is None else old.eyelet_width_mm or taken_out.eyelet_width_mm,
        same_shock=bench.same_shock,
        shock_standing=_shock_standing(shock, shock_end),
        in_the_box=shock is not None and chart.end in shock.in_the_box,
        hardware_seen=seen,
        made=bench.made,
        limits=bench.limits,
    )  # fmt: skip
    verdict = decide(case)
    served = Served()
    serves = verdict.verdict not in ("incompatible", "none_needed") and need.mount in ("hardware", "bearing")
    if shelf.sizes and need.sized and serves:
        served = serve(need, case.bore_mm, shelf.sizes, bench.limits.max_undersize_mm, case.eyelet_mm,
                       onto_bearing=case.onto_bearing)  # fmt: skip
    if verdict.verdict in ("move", "keep"):
        served = Served(never=served.never)  # nothing is to be taken from the shelf
    return _sheet(chart, bench, case, readings, verdict, served, shock_end)


def _sheet(
    chart: FrameEndFacts,
    bench: Bench,
    case: EndCase,
    readings: tuple[Reading, ...],
    verdict: Verdict,
    served: Served,
    shock_end: str | None,
) -> EndSheet:
    need, style = case.need, bench.kit_style or KitStyle()
    width = _fitted_width(verdict, served)
    in_it = case.old if bench.same_shock else None
    own = case.old if verdict.verdict in ("move", "keep") else None
    kit = kit_of(case, style, width, own)
    press = None
    if kit is not None and case.shock_end is not None:
        press = pressing(kit, case.shock_end, in_it, bench.tools, bench.limits)
    something_in = bench.same_shock or bench.old_shock is not None or bool(bench.old_hardware)
    boxed = "hardware_in_the_box" in verdict.reasons
    job = Job("buy" if boxed else verdict.verdict, need.mount, style, kit, something_in, bench.same_shock,
              "bearing_comes_out" in verdict.reasons)  # fmt: skip
    built = (
        build_end(case, chart.end, shock_end, kit, width, bench.readings.get(chart.end))
        if verdict.verdict in GOES_IN and need.mount is not None
        else None
    )
    assumed = [*verdict.assumed, *served.assumed, *(a for r in readings for a in r.assumed)]
    assumed += [] if press is None else press.assumed
    if built is not None and built.clearance_is == "assumed":
        assumed.append(Assumed("tab_gap_over_mm", TAB_GAP_OVER_MM))
    if kit is not None and kit.part("sleeve") is not None and (own is None or own.sleeve_outer_mm is None):
        assumed += [Assumed("bushing_inner_mm", inner) for _, inner in BUSHING_INNER_MM[:1]
                    if kit.parts[0].inner_mm == inner]  # fmt: skip
    thin = _thin(built, verdict)
    if thin:
        assumed.append(Assumed("thin_side_mm", THIN_SIDE_MM))
    return EndSheet(
        end=chart.end,
        verdict=verdict.verdict,
        standing=chart.standing,
        advice=_advice(chart, case, readings, verdict),
        shock_end=shock_end,
        reasons=verdict.reasons,
        size=_size(case, verdict),
        never_over_mm=_never_over(need),
        readings=readings,
        served=served,
        kit=kit,
        built=built,
        pressing=press,
        taking_out=taking_out(job),
        fitting=fitting(job),
        not_in_kit=not_in_kit(job),
        cautions=(*_cautions(verdict, need, served, kit, bench), *(("little_room_beside_eyelet",) if thin else ())),
        questions=_questions(case, press),
        assumed=tuple(dict.fromkeys(assumed)),
    )


def _thin(built: BuiltEnd | None, verdict: Verdict) -> bool:
    """Return whether a kit to buy has spacers so thin that they may not be made. What is moved or kept was made."""
    side = None if built is None or verdict.verdict != "buy" else built.spacer_mm
    return side is not None and 0 < side < THIN_SIDE_MM


def _eyelet(shock: ShockFacts | None, shock_end: str | None) -> ShockEnd | None:
    if shock is None:
        return None
    return shock.end(shock_end) if shock_end is not None else shock.end("body") if shock.alike else None


def _shock_standing(shock: ShockFacts | None, shock_end: str | None) -> str | None:
    """Return how the end that goes in stands in the shock's record; of ends that are alike, the weaker one."""
    if shock is None:
        return None
    standings = [shock.standings.get(end) for end in (SHOCK_ENDS if shock_end is None else (shock_end,))]
    return "provisional" if "provisional" in standings else standings[0]


def _old_eyelet(bench: Bench, shock_end: str | None) -> ShockEnd:
    """Return bore and width of the eyelet that old hardware sits in, as far as the old shock's facts leave no doubt.

    Which way up the old shock stood is known only when its ends are alike or it is the shock that goes back in;
    otherwise what both its ends have in common is known.
    """
    old = bench.old_shock or (bench.new_shock if bench.same_shock else None)
    if old is None:
        return ShockEnd()
    if old.alike or bench.same_shock:
        return _eyelet(old, shock_end) or ShockEnd()
    body, shaft = old.end("body") or ShockEnd(), old.end("shaft") or ShockEnd()
    return ShockEnd(
        eyelet_bore_mm=body.eyelet_bore_mm if body.eyelet_bore_mm == shaft.eyelet_bore_mm else None,
        eyelet_width_mm=body.eyelet_width_mm if body.eyelet_width_mm == shaft.eyelet_width_mm else None,
    )


def _fitted_width(verdict: Verdict, served: Served) -> Decimal | None:
    """Return the width that will sit between the tabs: what is at hand, when it is to be bought, goes first."""
    if verdict.verdict not in FITTED:
        return None
    choice = served.choice if verdict.verdict == "buy" else None
    return verdict.width_mm if choice is None else choice.size.width_mm


def _advice(chart: FrameEndFacts, case: EndCase, readings: tuple[Reading, ...], verdict: Verdict) -> str:
    """Return how far the sheet may be relied on for selling: never further than the chart, or than a reading goes."""
    if verdict.verdict in ("incompatible", "not_known", "disputed"):
        return "do_not_sell"
    measured = case.need.by_readings or chart.stated or "mount_not_stated" in verdict.reasons
    measured = measured or case.shock_standing == "provisional"
    doubt = any(reading.agrees is False for reading in readings)
    measured = measured or case.need.blocked is not None
    if verdict.verdict == "ask_frame_maker" or measured or doubt or "smaller_size_made" in verdict.reasons:
        return "ask_first"
    return chart.advice


def _size(case: EndCase, verdict: Verdict) -> SizeTaken | None:
    need = case.need
    if need.mount not in ("hardware", "bearing") or need.bolt_mm is None or not need.sized:
        return None
    if verdict.verdict in ("incompatible", "disputed"):
        return None
    width = verdict.width_mm or need.width_mm
    return SizeTaken(need.bolt_mm, EndValue(need.mount, need.bolt_mm, width).label, width, case.bore_mm)


def _never_over(need: Need) -> Decimal | None:
    if need.at_most_mm is not None:
        return need.at_most_mm + SAME_SIZE_MM
    if need.mount not in ("hardware", "bearing"):
        return None
    by_name = None if need.width_mm is None else need.width_mm + SAME_SIZE_MM
    by_reading = None if need.gap is None else need.gap.mean_mm + need.gap.uncertainty_mm
    known = [each for each in (by_name, by_reading) if each is not None]
    return min(known) if known else None


def _cautions(verdict: Verdict, need: Need, served: Served, kit: Kit | None, bench: Bench) -> tuple[str, ...]:
    found = list(verdict.cautions)
    choice = served.choice
    if verdict.verdict == "buy" and choice is not None and choice.side_play_likely:
        found.append("side_play_likely")
    if verdict.verdict in FITTED:
        if need.by_readings:
            found.append("measured_on_this_bike_only")
        room = None if need.gap is None else need.gap.mean_mm - need.gap.uncertainty_mm
        width = _fitted_width(verdict, served)
        if room is not None and width is not None and width > room:
            found.append("try_by_hand_first")
    if kit is not None and kit.part("bushing") is not None and bench.kit_style is None:
        found.append("kit_style_assumed")
    return tuple(dict.fromkeys(found))


def _questions(case: EndCase, press: Pressing | None) -> tuple[str, ...]:
    found = [] if press is None else list(press.questions)
    end = case.shock_end
    if case.need.mount in ("hardware", "bearing") and end is not None and end.mount not in (None, "trunnion"):
        found += ["which_eyelet_bore"] if end.eyelet_bore_mm is None else []
        found += ["which_eyelet_width"] if end.eyelet_width_mm is None else []
    return tuple(dict.fromkeys(found))
