"""Which of the workshop's own tools push a bushing or bearing out of an eyelet, and which catch it.

Tools are measured, not looked up: standards for sockets give largest diameters only. The push tool must pass through
the bore without touching it, the catch tool must clear the part and rest on the eyelet's rim.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import EYELET_RIM_MM, PRESS_MARGIN_MM
from boltspan.domain.bench_cautions import AT_THE_PRESS
from boltspan.domain.lengths import plain
from boltspan.domain.preconditions import require_entries, require_length
from boltspan.domain.refusals import BenchRefusal

Range = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class Tool:
    """A socket or tube as measured: outside and inside diameter and inside depth, in mm."""

    name: str
    outer_mm: Decimal
    inner_mm: Decimal
    depth_mm: Decimal


@dataclass(frozen=True, slots=True)
class PressToolRequest:
    """Eyelet, the part in it, and the tools at hand, in mm.

    ``part_inner_mm`` of a bearing is the inner edge of its *outer* ring, where it may be pushed. ``part_length_mm`` is
    the length of all that comes out: the bushing, or the pin if it is still in. Raises BenchRefusal for a length out
    of range.
    """

    eyelet_bore_mm: Decimal
    eyelet_outer_mm: Decimal
    part_inner_mm: Decimal
    part_outer_mm: Decimal
    part_length_mm: Decimal
    tools: tuple[Tool, ...]
    margin_mm: Decimal = PRESS_MARGIN_MM
    rim_mm: Decimal = EYELET_RIM_MM

    def __post_init__(self) -> None:
        for name in (
            "eyelet_bore_mm", "eyelet_outer_mm", "part_inner_mm", "part_outer_mm", "part_length_mm", "margin_mm",
            "rim_mm",
        ):  # fmt: skip
            require_length(name, getattr(self, name))
        require_entries("tools", self.tools)
        for place, tool in enumerate(self.tools):
            for name in ("outer_mm", "inner_mm", "depth_mm"):
                require_length(f"tools/{place}/{name}", getattr(tool, name))


@dataclass(frozen=True, slots=True)
class PressToolAnswer:
    """The tools by name (absent when none serves) and the dimensions to look for, which are always given.

    A range whose lower end is over its upper end says that no tool can serve with these margins.
    """

    push_outer_range_mm: Range
    catch_inner_range_mm: Range
    catch_depth_min_mm: Decimal
    missing: tuple[str, ...]
    assumed: tuple[Assumed, ...]
    push: str | None = None
    catch: str | None = None
    cautions: tuple[str, ...] = AT_THE_PRESS


def choose_press_tools_as_stated(request: PressToolRequest) -> PressToolAnswer:
    """Return what ``choose_press_tools`` says of a part that somebody measured.

    Raises BenchRefusal for a part whose outside is no larger than its inside.
    """
    if request.part_outer_mm <= request.part_inner_mm:
        raise BenchRefusal("outer_under_inner", "part_outer_mm", plain(request.part_outer_mm),
                           f"over {plain(request.part_inner_mm)}")  # fmt: skip
    return choose_press_tools(request)


def choose_press_tools(request: PressToolRequest) -> PressToolAnswer:
    """Return the push and the catch tool among those at hand, and what to look for where one is missing.

    Push: part_inner <= outer <= eyelet_bore - margin, the largest. Catch: part_outer + margin <= inner <= eyelet_outer
    - 2 rim and depth >= part_length, the smallest inner, then the smallest depth. Bounds count as inside; of equal
    tools the first by name, so that their order makes no difference.
    """
    push_range = (request.part_inner_mm, request.eyelet_bore_mm - request.margin_mm)
    catch_range = (request.part_outer_mm + request.margin_mm, request.eyelet_outer_mm - 2 * request.rim_mm)
    push = _push(request.tools, push_range)
    catch = _catch(request.tools, catch_range, request.part_length_mm)
    missing = []
    if push is None:
        missing.append(f"No push tool: outside diameter {_words(push_range)} is wanted.")
    if catch is None:
        missing.append(
            f"No catch tool: inside diameter {_words(catch_range)} and at least {plain(request.part_length_mm)} mm of "
            "depth are wanted."
        )
    return PressToolAnswer(
        push_outer_range_mm=push_range,
        catch_inner_range_mm=catch_range,
        catch_depth_min_mm=request.part_length_mm,
        missing=tuple(missing),
        assumed=(Assumed("margin_mm", request.margin_mm), Assumed("rim_mm", request.rim_mm)),
        push=push,
        catch=catch,
    )


def _push(tools: Sequence[Tool], within: Range) -> str | None:
    lo, hi = within
    fitting = [tool for tool in tools if lo <= tool.outer_mm <= hi]
    return min(fitting, key=lambda tool: (-tool.outer_mm, tool.name)).name if fitting else None


def _catch(tools: Sequence[Tool], within: Range, depth_mm: Decimal) -> str | None:
    lo, hi = within
    fitting = [tool for tool in tools if lo <= tool.inner_mm <= hi and tool.depth_mm >= depth_mm]
    return min(fitting, key=lambda tool: (tool.inner_mm, tool.depth_mm, tool.name)).name if fitting else None


def _words(within: Range) -> str:
    lo, hi = map(plain, within)
    return f"from {lo} to {hi} mm" if within[0] <= within[1] else f"from {lo} to {hi} mm (which none can have)"
