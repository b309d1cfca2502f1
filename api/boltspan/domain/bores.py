"""Whether a bolt goes into a bore, from the limits of both: ISO 286 for bores and shafts, ISO 965-1 for threads."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import WRONG_SIZE_OVER_UM
from boltspan.domain.bench_cautions import ON_PAPER
from boltspan.domain.lengths import trimmed
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.standards.limits_and_fits import band, shaft_upper_um, tolerance_um
from boltspan.domain.standards.threads import ISO_965_6G

LEAST_GRADE: Final = 6
MOST_GRADE: Final = 13
_LONGEST: Final = 40

# Only the digits 0 to 9: \d would take other scripts' digits too.
_TOLERANCED: Final = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)\s*([fghH])\s*([0-9]{1,2})\s*")
_THREAD: Final = re.compile(r"\s*M([0-9]{1,3})\s*x\s*([0-9]+(?:\.[0-9]+)?)\s*-\s*6g\s*")
_BORE: Final = "a nominal size over 3 up to 80, H, a grade from 6 to 13, as in 8 H9"
_BOLT: Final = "a nominal size with f, g or h and a grade from 6 to 13, as in 8 f7, or a thread as in M8x1.25-6g"

Limits = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class BoreFitRequest:
    """A bore such as ``8 H9`` and a bolt such as ``8 f7`` or ``M8x1.25-6g``; read when the question is answered."""

    bore: str
    bolt: str


@dataclass(frozen=True, slots=True)
class BoreFitAnswer:
    """Smallest and largest clearance in micrometres (below 0 is overlap), and what they mean.

    ``does_not_pass``: even the largest is below 0. ``wrong_size``: the smallest is over 500. ``clearance``: the
    smallest is 0 or more. ``transition``: in between.
    """

    clearance_um: Limits
    verdict: str
    assumed: tuple[Assumed, ...] = (Assumed("wrong_size_over_um", WRONG_SIZE_OVER_UM),)
    cautions: tuple[str, ...] = ON_PAPER


def fit_bore(request: BoreFitRequest) -> BoreFitAnswer:
    """Return the clearance between a bore and a bolt.

    Smallest = smallest bore - largest bolt, largest = largest bore - smallest bolt. Raises BenchRefusal with the codes
    ``not_understood``, ``size_out_of_range``, ``grade_out_of_range`` or ``thread_unknown``.

    >>> fit_bore(BoreFitRequest("8 H9", "M8x1.25-6g")).clearance_um
    (Decimal('28'), Decimal('276'))
    """
    bore_least, bore_most = _bore_um(request.bore)
    bolt_least, bolt_most = _bolt_um(request.bolt)
    smallest, largest = bore_least - bolt_most, bore_most - bolt_least
    return BoreFitAnswer((trimmed(smallest), trimmed(largest)), _verdict(smallest, largest))


def _verdict(smallest: Decimal, largest: Decimal) -> str:
    if largest < 0:
        return "does_not_pass"
    if smallest > WRONG_SIZE_OVER_UM:
        return "wrong_size"
    return "clearance" if smallest >= 0 else "transition"


def _bore_um(text: str) -> Limits:
    found = _TOLERANCED.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None or found[2] != "H":
        raise BenchRefusal("not_understood", "bore", text, _BORE)
    nominal, place, grade = _size_and_grade("bore", found, _BORE)
    return nominal, nominal + tolerance_um(grade, place)


def _bolt_um(text: str) -> Limits:
    short = text if len(text) <= _LONGEST else ""
    thread = _THREAD.fullmatch(short)
    if thread is not None:
        return _thread_um(text, Decimal(thread[1]), Decimal(thread[2]))
    found = _TOLERANCED.fullmatch(short)
    if found is None or found[2] == "H":
        raise BenchRefusal("not_understood", "bolt", text, _BOLT)
    nominal, place, grade = _size_and_grade("bolt", found, _BOLT)
    upper = nominal + shaft_upper_um(found[2], place)
    return upper - tolerance_um(grade, place), upper


def _size_and_grade(field: str, found: re.Match[str], accepted: str) -> tuple[Decimal, int, int]:
    """Nominal size in micrometres, its band, and the grade."""
    nominal_mm, grade = Decimal(found[1]), int(found[3])
    place = band(nominal_mm)
    if place is None:
        raise BenchRefusal("size_out_of_range", field, found[0], accepted)
    if not LEAST_GRADE <= grade <= MOST_GRADE:
        raise BenchRefusal("grade_out_of_range", field, found[0], accepted)
    return nominal_mm * 1000, place, grade


def _thread_um(text: str, nominal_mm: Decimal, pitch_mm: Decimal) -> Limits:
    for row in ISO_965_6G:
        if (row.nominal_mm, row.pitch_mm) == (nominal_mm, pitch_mm):
            return row.crest_min_mm * 1000, row.crest_max_mm * 1000
    known = ", ".join(f"{row.thread}x{row.pitch_mm}-6g" for row in ISO_965_6G)
    raise BenchRefusal("thread_unknown", "bolt", text, f"one of {known}")
