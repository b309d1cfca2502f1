"""The order of work at both ends as one list, so that a step that both ends share stands once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from boltspan.domain.fitsheet.verdicts import GOES_IN

OF_THE_WHOLE: Final = (
    "support_the_bike", "release_the_spring", "note_the_order", "lift_shock_out", "put_shock_in", "full_travel",
    "set_pressure_again",
)  # fmt: skip
"""Steps that are not done at one end."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: its code, and the end it is for when it is for one of the two alone."""

    code: str
    end: str | None = None


def steps(ends: Mapping[str, Mapping[str, Any]], stage: str) -> list[Step]:
    """Return the steps of ``stage`` (``taking_out`` or ``fitting``) of both ends, each end's own in its own order.

    A step that both have stands once, after all that comes before it at either end. A step at one end that the other
    does not have names its end.
    """
    (first, one), (second, other) = ((name, list(end[stage])) for name, end in ends.items())
    found = []
    while one or other:
        if one and one[0] not in other:
            found.append(_alone(one.pop(0), first))
        elif other and other[0] not in one:
            found.append(_alone(other.pop(0), second))
        else:
            shared = one.pop(0)
            other.remove(shared)
            found.append(Step(shared))
    return found


def _alone(code: str, end: str) -> Step:
    return Step(code, None if code in OF_THE_WHOLE else end)


def only_end(listed: Sequence[Step]) -> str | None:
    """Return the end that all steps at an end are for; None when they are for both, or there is none."""
    ends = {step.end for step in listed if step.code not in OF_THE_WHOLE}
    return next(iter(ends)) if len(ends) == 1 else None


def without_answer(ends: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """Return the ends of which nobody can say yet what to do there."""
    return [name for name, end in ends.items() if end["verdict"] not in (*GOES_IN, "incompatible")]
