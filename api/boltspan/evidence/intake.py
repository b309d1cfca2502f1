"""Reading the JSON of a resolution: every row is checked, and a refusal names the row."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final, NamedTuple

from boltspan.evidence.parameters import Parameters
from boltspan.evidence.vocabulary import BOLT_FEATURES, HARDWARE, MOUNTS, SOURCES, TOOLS, WIDTH_FEATURES

# A kilometre: no unit mistake reaches it, and squares of it stay far from the end of a float.
LONGEST_MM: Final = 1e6

SIZES_EXCHANGED: Final = "sizes_exchanged"
INCH_BOLT: Final = "inch_bolt"

Row = Mapping[str, Any]


class EvidenceInputError(ValueError):
    """Input that cannot be resolved; the message names the row, the field, what was got and what is accepted."""


class CatalogueRow(NamedTuple):
    """How many entries of the catalogue have one value; sizes in mm, nan for a mount without hardware."""

    mount: str
    bolt_mm: float
    width_mm: float
    entries: float


class End(NamedTuple):
    """One end of one frame."""

    end_id: str
    frame_id: str


class Claim(NamedTuple):
    """One claim, ready for the model: readings averaged, sizes in the right order, nan where a size is not given.

    A reading whose contributor named no mount is taken for one of hardware; `mount_stated` tells it apart.
    """

    end: int
    sequence: int
    claim_id: str
    source: str
    contributor: str
    document_id: str | None
    mount: str
    bolt_mm: float
    width_mm: float
    readings: int
    feature: str | None
    width_feature: str | None
    marks: tuple[str, ...]
    mount_stated: bool = True


class Answer(NamedTuple):
    """What an end truly is: the number of its mount, sizes nan for a mount without hardware.

    `later` is the second true value of an end whose part changed while the frame was made.
    """

    mount: int
    bolt_mm: float
    width_mm: float
    later: "Answer | None" = None


def _text(row: Row, key: str, name: str) -> str:
    value = row.get(key)
    if not isinstance(value, str) or not value:
        raise EvidenceInputError(f"{name}: {key} is {_shown(row, key)}; accepted: a text that is not empty")
    return value


def _shown(row: Row, key: str) -> str:
    return repr(row[key])[:60] if key in row else "missing"


def _one_of(row: Row, key: str, name: str, accepted: tuple[str, ...]) -> str:
    value = row.get(key)
    if not isinstance(value, str) or value not in accepted:
        raise EvidenceInputError(f"{name}: {key} is {_shown(row, key)}; accepted: {', '.join(accepted)}")
    return value


def _number(value: Any) -> float:
    """The value as a float, nan for anything that is not a number."""
    if type(value) is float:
        return value
    if type(value) in (int, Decimal):
        try:
            return float(value)
        except OverflowError:
            return math.inf
    return math.nan


def _length(row: Row, key: str, name: str) -> float:
    size = _number(row[key])
    if not 0 < size <= LONGEST_MM:
        raise EvidenceInputError(
            f"{name}: {key} is {_shown(row, key)}; accepted: a number over 0, at most {LONGEST_MM:g}"
        )
    return size


def _readings(row: Row, key: str, name: str) -> tuple[float, int]:
    """Mean and number of the readings. The sum is exact, so their order does not matter.

    A tool may show anything: 0 or less too, when it was zeroed wrongly. Such a claim is believed to be unsound.
    """
    value = row[key]
    sizes = [_number(item) for item in value] if isinstance(value, list | tuple) else []
    if not sizes or not all(-LONGEST_MM <= size <= LONGEST_MM for size in sizes):
        raise EvidenceInputError(
            f"{name}: {key} is {_shown(row, key)}; accepted: a list of numbers up to {LONGEST_MM:g}, and at least one"
        )
    return math.fsum(sizes) / len(sizes), len(sizes)


def read_catalogue(rows: Any) -> list[CatalogueRow]:
    """The rows of `catalogue`, in their order; [] for none.

    EvidenceInputError: not a list of objects, an unknown mount, hardware without both sizes, a count below 0.
    """
    return [_catalogue_row(row, f"catalogue row {number}") for number, row in _rows(rows, "catalogue")]


def _rows(rows: Any, name: str) -> Iterable[tuple[int, Row]]:
    if not isinstance(rows, list | tuple):
        raise EvidenceInputError(f"{name}: accepted: a list of objects")
    for number, row in enumerate(rows, 1):
        if not isinstance(row, Mapping):
            raise EvidenceInputError(f"{name} row {number}: is {str(row)[:60]!r}; accepted: an object")
        yield number, row


def _catalogue_row(row: Row, name: str) -> CatalogueRow:
    mount = _one_of(row, "mount", name, MOUNTS)
    count = _number(row.get("count"))
    if not 0 <= count < math.inf:
        raise EvidenceInputError(f"{name}: count is {_shown(row, 'count')}; accepted: a number from 0 up")
    if mount != HARDWARE:
        return CatalogueRow(mount, math.nan, math.nan, count)
    for key in ("bolt_mm", "width_mm"):
        if key not in row:
            raise EvidenceInputError(f"{name}: {key} is missing; hardware needs both sizes")
    return CatalogueRow(mount, _length(row, "bolt_mm", name), _length(row, "width_mm", name), count)


def read_ends(rows: Any) -> list[End]:
    """The rows of `ends`, in their order; [] for none.

    EvidenceInputError: a missing field, an end given twice, a frame with more than two ends, an `other_end` that
    belongs to another frame.
    """
    ends: dict[str, End] = {}
    others: dict[str, str] = {}
    for number, row in _rows(rows, "ends"):
        end = End(_text(row, "end_id", f"ends row {number}"), _text(row, "frame_id", f"ends row {number}"))
        if end.end_id in ends:
            raise EvidenceInputError(f"end {end.end_id!r}: is given twice")
        ends[end.end_id] = end
        if "other_end" in row:
            others[end.end_id] = _text(row, "other_end", f"end {end.end_id!r}")
    _check_frames(ends, others)
    return list(ends.values())


def _check_frames(ends: Mapping[str, End], others: Mapping[str, str]) -> None:
    for frame_id, count in Counter(end.frame_id for end in ends.values()).items():
        if count > 2:
            raise EvidenceInputError(f"frame {frame_id!r}: has {count} ends; accepted: one or two")
    for end_id, other in others.items():
        if other == end_id or (other in ends and ends[other].frame_id != ends[end_id].frame_id):
            raise EvidenceInputError(f"end {end_id!r}: other_end is {other!r}; accepted: the other end of the frame")


def read_claims(rows: Any, ends: Iterable[End], parameters: Parameters) -> list[Claim]:
    """The rows of `claims`, ordered by end, then `sequence`, then `claim_id`; [] for none.

    A row that repeats another exactly is left out.
    EvidenceInputError: a missing field, a word outside its list, an unknown end, a size that is not a finite number
    (of a tool: a list of them; of a document: over 0), one claim_id with two contents. The message names the claim.
    """
    end_numbers = {end.end_id: number for number, end in enumerate(ends)}
    seen: dict[str, Row] = {}
    claims = []
    for number, row in _rows(rows, "claims"):
        claim_id = _text(row, "claim_id", f"claims row {number}")
        earlier = seen.setdefault(claim_id, row)
        if earlier is not row:
            if earlier != row:
                raise EvidenceInputError(f"claim {claim_id!r}: is given twice with different content")
            continue
        claims.append(_claim(row, claim_id, end_numbers, parameters))
    claims.sort()  # claim_ids are unique, so the first three fields decide
    return claims


def _claim(row: Row, claim_id: str, end_numbers: Mapping[str, int], parameters: Parameters) -> Claim:
    name = f"claim {claim_id!r}"
    end = end_numbers.get(_text(row, "end_id", name))
    if end is None:
        raise EvidenceInputError(f"{name}: end_id is {row['end_id']!r}; accepted: an end_id of `ends`")
    sequence = row.get("sequence")
    if type(sequence) is not int:
        raise EvidenceInputError(f"{name}: sequence is {_shown(row, 'sequence')}; accepted: a whole number")
    source = _one_of(row, "source", name, SOURCES)
    mount = _one_of(row, "mount", name, MOUNTS)
    mount_stated = row.get("mount_stated", True)
    if type(mount_stated) is not bool or not (mount_stated or (source in TOOLS and mount == HARDWARE)):
        raise EvidenceInputError(
            f"{name}: mount_stated is {_shown(row, 'mount_stated')}; accepted: true, or false for a reading of hardware"
        )
    bolt_mm, width_mm, readings = _sizes(row, name, measured=source in TOOLS)
    marks: tuple[str, ...] = ()
    if mount != HARDWARE:
        bolt_mm = width_mm = math.nan
    else:
        bolt_mm, width_mm, marks = _in_order(bolt_mm, width_mm, parameters)
        if source not in TOOLS and _is_inch(bolt_mm, parameters):
            marks += (INCH_BOLT,)
    return Claim(
        end,
        sequence,
        claim_id,
        source,
        _text(row, "contributor", name),
        _text(row, "document_id", name) if "document_id" in row else None,
        mount,
        bolt_mm,
        width_mm,
        readings,
        _one_of(row, "feature", name, BOLT_FEATURES) if "feature" in row else None,
        _one_of(row, "width_feature", name, WIDTH_FEATURES) if "width_feature" in row else None,
        marks,
        mount_stated,
    )


def _sizes(row: Row, name: str, *, measured: bool) -> tuple[float, float, int]:
    """Bolt and width, nan when absent, and the number of readings: of the width, else of the bolt, else 1."""
    bolt_mm = width_mm = math.nan
    readings = 1
    if not measured:
        if "bolt_mm" in row:
            bolt_mm = _length(row, "bolt_mm", name)
        if "width_mm" in row:
            width_mm = _length(row, "width_mm", name)
        return bolt_mm, width_mm, readings
    if "bolt_mm" in row:
        bolt_mm, readings = _readings(row, "bolt_mm", name)
    if "width_mm" in row:
        width_mm, readings = _readings(row, "width_mm", name)
    return bolt_mm, width_mm, readings


def _in_order(bolt_mm: float, width_mm: float, parameters: Parameters) -> tuple[float, float, tuple[str, ...]]:
    """Bolt and width, exchanged (and marked) when no other reading is possible; comparing nan exchanges nothing."""
    sizes = parameters.sizes
    if bolt_mm >= sizes.exchanged_bolt_from_mm and width_mm <= sizes.exchanged_width_to_mm:
        return width_mm, bolt_mm, (SIZES_EXCHANGED,)
    return bolt_mm, width_mm, ()


def _is_inch(bolt_mm: float, parameters: Parameters) -> bool:
    bolt = parameters.bolt
    return any(abs(bolt_mm - inch_mm) <= bolt.inch_tolerance_mm for inch_mm in bolt.inch_mm)


def read_answers(rows: Any, ends: Sequence[End]) -> dict[int, Answer]:
    """The answers by the number of their end among `ends`, ascending; {} for none.

    EvidenceInputError: a missing field, an unknown mount or end, hardware without both sizes, an end answered twice.
    """
    numbers = {end.end_id: number for number, end in enumerate(ends)}
    found: dict[int, Answer] = {}
    for place, row in _rows(rows, "answers"):
        end_id = _text(row, "end_id", f"answers row {place}")
        name = f"answer for end {end_id!r}"
        end = numbers.get(end_id)
        if end is None:
            raise EvidenceInputError(f"{name}: end_id is {end_id!r}; accepted: an end_id of `ends`")
        if end in found:
            raise EvidenceInputError(f"{name}: is given twice")
        found[end] = _answer(row, name)
    return dict(sorted(found.items()))


def _answer(row: Row, name: str) -> Answer:
    mount = _one_of(row, "mount", name, MOUNTS)
    bolt_mm = width_mm = math.nan
    if mount == HARDWARE:
        for key in ("bolt_mm", "width_mm"):
            if key not in row:
                raise EvidenceInputError(f"{name}: {key} is missing; hardware needs both sizes")
        bolt_mm, width_mm = _length(row, "bolt_mm", name), _length(row, "width_mm", name)
    later = None
    if "later" in row:
        if not isinstance(row["later"], Mapping):
            raise EvidenceInputError(f"{name}: later is {_shown(row, 'later')}; accepted: an object")
        later = _answer(row["later"], f"{name}, later")
    return Answer(MOUNTS.index(mount), bolt_mm, width_mm, later)
