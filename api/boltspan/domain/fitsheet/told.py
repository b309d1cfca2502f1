"""The texts of all codes that fit sheets hold, by kind, as /v1/vocabulary has them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from boltspan.domain.bench_cautions import BENCH_CAUTIONS
from boltspan.domain.cautions import CAUTIONS as SIZE_CAUTIONS
from boltspan.domain.fitsheet import texts
from boltspan.domain.fitsheet.kits import PART_NOTES, PARTS
from boltspan.domain.fitsheet.sheet import EndSheet, FitSheet
from boltspan.domain.swaps import REASONS as SWAP_REASONS

KINDS: Final[Mapping[str, Mapping[str, str]]] = {
    "fit_verdicts": texts.VERDICTS,
    "fit_reasons": {**SWAP_REASONS, **texts.REASONS},
    "fit_cautions": {**SIZE_CAUTIONS, **BENCH_CAUTIONS, **texts.CAUTIONS},
    "fit_trust": texts.TRUST,
    "fit_steps": texts.STEPS,
    "not_in_kit": texts.NOT_IN_KIT,
    "never_use": texts.NEVER,
    "at_hand": texts.AT_HAND,
    "at_hand_not_read": texts.NOT_READ,
    "kit_parts": PARTS,
    "kit_part_notes": PART_NOTES,
}


def texts_of(sheets: Sequence[FitSheet]) -> dict[str, dict[str, str]]:
    """Return the text of every code in ``sheets``, by kind and in the order of use; kinds without a code are left out.

    The cautions are there in full with every sheet.
    """
    found: dict[str, dict[str, str]] = {}
    for kind, code in _codes(sheets):
        found.setdefault(kind, {})[code] = KINDS[kind][code]
    return found


def _codes(sheets: Sequence[FitSheet]) -> Iterator[tuple[str, str]]:
    for sheet in sheets:
        yield from _all("fit_cautions", sheet.cautions)
        yield from _all("fit_reasons", sheet.size.reasons)
        for way in sheet.ways:
            for end in way.ends:
                yield from _end_codes(end)


def _end_codes(end: EndSheet) -> Iterator[tuple[str, str]]:
    yield "fit_verdicts", end.verdict
    yield from _all("fit_reasons", end.reasons)
    yield from _all("fit_cautions", end.cautions)
    yield from _all("fit_trust", (r.why for r in end.readings if r.why is not None))
    yield from _all("fit_steps", (*end.taking_out, *end.fitting))
    yield from _all("not_in_kit", end.not_in_kit)
    yield from _all("at_hand", (each.how for each in end.served.substitutes))
    yield from _all("never_use", (each.why for each in end.served.never))
    for part in () if end.kit is None else end.kit.parts:
        yield "kit_parts", part.part
        yield from _all("kit_part_notes", part.notes)


def _all(kind: str, codes: Iterable[str]) -> Iterator[tuple[str, str]]:
    for code in codes:
        yield kind, code
