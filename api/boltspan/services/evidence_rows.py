"""Records as the evidence reads them: ends, claims, and how often each size stands in the dataset."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.agreement import agreed_value
from boltspan.domain.claims import Claim
from boltspan.domain.findings import speaking
from boltspan.domain.frames import Frame
from boltspan.domain.review import Decision, rulings
from boltspan.domain.sources import Measurement, Source
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.trade_widths import TRADE_WIDTHS_MM
from boltspan.domain.values import EndValue
from boltspan.domain.weighed import WIDTH_TOLERANCE_MM

Row = dict[str, Any]

_USUAL_BOLT_MM: Final = Decimal(8)


def end_id(frame_id: str, end: str) -> str:
    """Return the id of an end in the evidence's rows."""
    return f"{frame_id} {end}"


def end_rows(frame: Frame) -> list[Row]:
    """Return the rows of a frame's two ends."""
    return [{"end_id": end_id(frame.id, end), "frame_id": frame.id} for end in frame.ends]


def claim_rows(frame: Frame, claims: Sequence[Claim], decisions: Sequence[Decision]) -> list[Row]:
    """Return a row for each claim on a frame's ends that is evidence; ``claims`` and ``decisions`` are the frame's."""
    rows = []
    for end in frame.ends:
        said, ruled = [c for c in claims if c.subject == end], [d for d in decisions if d.subject == end]
        rows += [row for c in speaking(frame, said, ruled) if (row := _claim_row(c)) is not None]
    return rows


def _claim_row(claim: Claim) -> Row | None:
    """Return the row of a claim, None when it says nothing that the evidence weighs.

    A size without a mount is taken for hardware. So is a reading whose contributor names no mount, but it says so:
    bearings are measured too. Readings speak for themselves; a size stated beside them is the contributor's conclusion.
    """
    value, measurement = claim.value, claim.source.measurement
    stated = value if isinstance(value, EndValue) else EndValue()
    mount = stated.mount or "hardware"
    sizes = _readings(measurement) if measurement is not None else _stated(stated)
    if stated.mount is None and not sizes:
        return None
    row: Row = {
        "claim_id": claim.id,
        "end_id": end_id(claim.frame, claim.subject),
        "source": source_code(claim.source),
        "contributor": claim.source.by,
        "sequence": claim.sequence,
        "mount": mount,
    }
    if measurement is None and claim.source.kind != "fitted":
        row["document_id"] = claim.source.witness
    if measurement is not None and stated.mount is None:
        row["mount_stated"] = False
    return row | (sizes if mount == "hardware" else {})


def source_code(source: Source) -> str:
    """Return the evidence's word for a source: its kind, or the tool of a measurement."""
    if source.measurement is None:
        return source.kind
    return "caliper" if source.measurement.instrument.endswith("caliper") else "ruler"


def _stated(value: EndValue) -> Row:
    sizes = {"bolt_mm": value.bolt_mm, "width_mm": value.width_mm}
    return {name: float(size) for name, size in sizes.items() if size is not None}


def _readings(measurement: Measurement) -> Row:
    row: Row = {}
    if measurement.bolt_readings_mm:
        row |= {"bolt_mm": [float(x) for x in measurement.bolt_readings_mm], "feature": measurement.bolt_feature}
    if measurement.width_readings_mm:
        row |= {"width_mm": [float(x) for x in measurement.width_readings_mm]}
        row |= {"width_feature": measurement.width_feature}
    return {name: value for name, value in row.items() if value is not None}


def settled_values(frame: Frame, claims: Sequence[Claim], decisions: Sequence[Decision]) -> list[EndValue]:
    """Return the values of a frame's ends that count for the prior: the ruled one, else what accepted claims agree on.

    Never what the evidence itself made likely, or it would feed on its own answers.
    """
    found = []
    for end in frame.ends:
        ruled = [d for d in decisions if d.subject == end]
        standing = rulings(ruled).standing
        said = [c for c in speaking(frame, [c for c in claims if c.subject == end], ruled) if c.state == "accepted"]
        value = standing.value if standing is not None else agreed_value([statement_of(c) for c in said])
        if isinstance(value, EndValue) and value.complete:
            found.append(value)
    return found


def catalogue_rows(values: Iterable[EndValue]) -> list[Row]:
    """Return how often each value stands, with the trade's widths beside them at no count, ordered.

    The trade's widths make sizes known that no frame of the dataset has yet; an empty dataset starts with them alone.
    Widths that one document could name alike are one, the most frequent (ties: the smaller): both would take half of
    its word.
    """
    mounts: Counter[str] = Counter()
    sizes: Counter[tuple[Decimal, Decimal]] = Counter()
    for value in values:
        if value.bolt_mm is not None and value.width_mm is not None and value.mount == "hardware":
            sizes[value.bolt_mm, value.width_mm] += 1
        else:
            mounts[str(value.mount)] += 1
    widths: Counter[Decimal] = Counter(dict.fromkeys(TRADE_WIDTHS_MM, 0))
    for (_, width), count in sizes.items():
        widths[width] += count
    known = _told_apart(widths)
    cells = Counter(dict.fromkeys(((_USUAL_BOLT_MM, width) for width in known), 0))
    for (bolt, width), count in sizes.items():
        cells[bolt, min(known, key=lambda w, width=width: (abs(w - width), w))] += count  # type: ignore[misc]
    rows: list[Row] = [{"mount": mount, "count": count} for mount, count in sorted(mounts.items())]
    for (bolt, width), count in sorted(cells.items()):
        rows.append({"mount": "hardware", "bolt_mm": float(bolt), "width_mm": float(width), "count": count})
    return rows


def _told_apart(widths: Counter[Decimal]) -> list[Decimal]:
    """Return the widths that no document can take for another, the most frequent kept."""
    kept: list[Decimal] = []
    for width in sorted(widths, key=lambda w: (-widths[w], w)):
        if all(abs(width - other) > 2 * WIDTH_TOLERANCE_MM for other in kept):
            kept.append(width)
    return kept
