"""The order of work at one end, for taking out and for fitting, and what no kit holds. Codes of texts."""

from __future__ import annotations

from dataclasses import dataclass

from boltspan.domain.fitsheet.kits import Kit, KitStyle
from boltspan.domain.fitsheet.verdicts import GOES_IN

_END: tuple[str, ...] = ("full_travel", "set_pressure_again")


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done at an end: its verdict and mount, what sits in it now, and how the kit is made.

    ``something_in``: a shock or old hardware is there to be taken out. ``same_shock``: the shock that comes out goes in
    again.
    """

    verdict: str
    mount: str | None
    style: KitStyle
    kit: Kit | None
    something_in: bool
    same_shock: bool = False
    bearing_comes_out: bool = False


def taking_out(job: Job) -> tuple[str, ...]:
    """Return the steps that get the old shock out, and the hardware out of it where that is used again or replaced.

    None for a bare frame or without an answer. Hardware of a shock that is put aside stays in it.
    """
    if not job.something_in or job.verdict not in GOES_IN:
        return ()
    undo = "undo_trunnion_bolts" if job.mount == "trunnion" else "undo_frame_bolt"
    steps = ["support_the_bike", "release_the_spring", "note_the_order", undo, "lift_shock_out"]
    renewed = job.verdict == "buy" and job.same_shock
    if job.verdict in ("move", "keep") or renewed:
        steps.append("look_for_wear")  # while the sleeve is still in its bushing: after that there is no play to feel
    if job.mount == "hardware" and (job.verdict == "move" or renewed):
        rings = ["take_o_rings_off"] if job.style.o_rings == "loose" else []
        if job.style.sleeve == "two_piece":
            steps += ["pull_halves_apart", *rings]
        else:
            steps += ["pull_spacers_off", *rings, "push_sleeve_out"]
    if job.mount == "hardware" and renewed:
        steps.append(_bushing_out(job))
    return tuple(steps)


def _bushing_out(job: Job) -> str:
    return "press_metal_bushing_out" if job.style.bushing == "metal" else "take_polymer_bushing_out"


def fitting(job: Job) -> tuple[str, ...]:
    """Return the steps from the bare eyelet to the ride; none without an answer."""
    if job.verdict not in GOES_IN:
        return ()
    steps: list[str] = []
    if job.verdict in ("buy", "move"):
        steps += ["press_bearing_out"] if job.bearing_comes_out else []
        steps += _hardware(job)
    steps += ["put_shock_in"]
    if job.mount == "trunnion":
        return (*steps, "trunnion_bolts_by_makers_values", *_END)
    return (*steps, "try_between_tabs", "bolt_by_makers_values", *_END)


def _hardware(job: Job) -> list[str]:
    spacers = job.kit is not None and job.kit.part("spacer") is not None
    if job.mount == "bearing" or job.kit is None or job.kit.part("bushing") is None:
        return ["clean_and_inspect_eyelet", *(["push_spacers_on"] if spacers else [])]
    first = [] if job.same_shock or job.bearing_comes_out else ["bushing_in_eyelet_first", _bushing_out(job)]
    steps = [
        *first,
        "clean_and_inspect_eyelet",
        "press_metal_bushing_in" if job.style.bushing == "metal" else "put_polymer_bushing_in",
    ]
    rings = ["lay_o_rings_on"] if job.kit.part("o_ring") is not None else []
    if job.style.sleeve == "two_piece":
        return [*steps, *rings, "join_halves"]
    steps += ["slide_sleeve_in", *rings]
    if spacers:
        steps.append("push_spacers_with_rings_on" if job.style.o_rings == "in_spacers" else "push_spacers_on")
    if job.kit.part("crush_washer") is not None:
        steps.append("crush_washers_outward")
    return steps


def not_in_kit(job: Job) -> tuple[str, ...]:
    """Return what the end takes that no kit holds."""
    if job.verdict not in GOES_IN:
        return ()
    if job.mount == "trunnion":
        return ("trunnion_bolts_and_washers", "thread_lock_and_grease")
    return ("frame_bolts", *(("bearing",) if job.mount == "bearing" else ()), "thread_lock_and_grease")
