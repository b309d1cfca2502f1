"""Which of the shop's own tools press the bushing of this end out and in, or which fact is missing to say so."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import BUSHING_OVER_MM
from boltspan.domain.fitsheet.facts import Limits, OldPart
from boltspan.domain.fitsheet.kits import Kit
from boltspan.domain.presstools import PressToolAnswer, PressToolRequest, Tool, choose_press_tools
from boltspan.domain.shock_values import ShockEnd


@dataclass(frozen=True, slots=True)
class Pressing:
    """The tools, or the questions (codes of QUESTIONS) whose answers would tell them."""

    tools: PressToolAnswer | None = None
    questions: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()


def pressing(
    kit: Kit, eyelet: ShockEnd, old: OldPart | None, tools: tuple[Tool, ...], limits: Limits
) -> Pressing | None:
    """Return how a metal bushing is pressed out of this eyelet and into it; None for a kit without one.

    ``old`` is the hardware in this very eyelet, as measured; None for an eyelet that it was not in.
    The push tool is as large as passes through the bore; the catch tool takes the bushing alone, the sleeve being out.
    """
    bushing = kit.part("bushing")
    if bushing is None or kit.style.bushing != "metal":
        return None
    inner = (None if old is None else old.bushing_inner_mm) or bushing.inner_mm
    facts = (
        ("which_eyelet_bore", eyelet.eyelet_bore_mm), ("which_eyelet_outer", eyelet.eyelet_outer_mm),
        ("which_sleeve_outer", inner), ("which_eyelet_width", eyelet.eyelet_width_mm),
    )  # fmt: skip
    missing = tuple(question for question, fact in facts if fact is None)
    if missing:
        return Pressing(questions=missing)
    bore, outer, width = eyelet.eyelet_bore_mm, eyelet.eyelet_outer_mm, eyelet.eyelet_width_mm
    assert bore is not None and outer is not None and inner is not None and width is not None
    measured = None if old is None else old.bushing_outer_mm
    largest: Decimal = max(measured or bore, bore) + (Decimal(0) if measured else BUSHING_OVER_MM)
    answer = choose_press_tools(
        PressToolRequest(bore, outer, inner, largest, width, tools, limits.margin_mm, limits.rim_mm)
    )
    assumed = answer.assumed if measured else (*answer.assumed, Assumed("bushing_over_mm", BUSHING_OVER_MM))
    return Pressing(answer, assumed=assumed)
