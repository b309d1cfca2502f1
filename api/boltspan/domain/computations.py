"""The bench's computations by name: the request each takes, and what works it out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from boltspan.domain.bores import BoreFitRequest, fit_bore
from boltspan.domain.offsets import OffsetSleeveRequest, offset_sleeves
from boltspan.domain.presstools import PressToolRequest, choose_press_tools_as_stated
from boltspan.domain.readings import ReadingRequest, interpret_readings
from boltspan.domain.sizes import SizeChoiceRequest, choose_size
from boltspan.domain.stack import StackRequest, stack_up
from boltspan.domain.swaps import ShockSwapRequest, swap_shock_as_stated


@dataclass(frozen=True, slots=True)
class Computation:
    """One computation: its request's type, the function, and what it says in a line."""

    request: type[Any]
    work: Callable[[Any], object]
    text: str


COMPUTATIONS: Final = {
    "readings": Computation(ReadingRequest, interpret_readings, "say which size caliper readings speak for"),
    "stacks": Computation(StackRequest, stack_up, "add up eyelet and spacers, or a pin, between the tabs"),
    "size-choices": Computation(SizeChoiceRequest, choose_size, "choose a stocked width, never a larger one"),
    "bore-fits": Computation(BoreFitRequest, fit_bore, "say whether a bolt goes into a bore"),
    "press-tools": Computation(
        PressToolRequest, choose_press_tools_as_stated, "choose push and catch tools for a bushing"
    ),
    "shock-swaps": Computation(ShockSwapRequest, swap_shock_as_stated, "say what another shock needs at one end"),
    "offset-sleeves": Computation(OffsetSleeveRequest, offset_sleeves, "say what offset sleeves do to a shock"),
}
"""All but the reading of labels, whose question is a text and not a request."""
